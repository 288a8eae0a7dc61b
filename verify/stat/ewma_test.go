package stat

import (
	"math"
	"testing"
)

// NIST/SEMATECH e-Handbook 6.3.2.4 (doi 10.18434/M32189; read): λ 0.3 from 50, s 2.0539, printed to
// two decimals; limits
// 52.5884 and 47.4115, which the last point's standard deviation has reached.
func TestSmooth(t *testing.T) {
	x := []float64{52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5, 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1}
	want := []float64{50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33, 50.11, 49.36, 49.52, 50.05, 49.38, 49.92, 50.73, 51.23, 51.94, 51.99}
	const s = 2.0539
	v := make([]float64, len(x))
	for i := range v {
		v[i] = s * s
	}
	got := Smooth(x, v, nil, 50, 0.3)
	for i := range want {
		if math.Abs(got[i].Value-want[i]) > 0.0051 {
			t.Errorf("point %d: %.4f, want %.2f", i+1, got[i].Value, want[i])
		}
	}
	last := got[len(got)-1].SD
	if math.Abs(50+3*last-52.5884) > 2e-4 || math.Abs(50-3*last-47.4115) > 2e-4 {
		t.Errorf("limits %.4f, %.4f", 50-3*last, 50+3*last)
	}
	if Smooth(x, v, nil, 50, 0) != nil || Smooth(nil, nil, nil, 50, 0.3) == nil && len(x) == 0 {
		t.Error("a weight of nothing has an average")
	}
}

// The variance against the sum over all pairs, for neighbours that share readings: v = 2, c = −1
// (derived).
func TestSmoothCovariance(t *testing.T) {
	const n, lambda = 6, 0.3
	v, c, x := make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range v {
		v[i], c[i] = 2, -1
	}
	got := Smooth(x, v, c, 0, lambda)[n-1].SD
	weight := func(i int) float64 { return lambda * math.Pow(1-lambda, float64(n-1-i)) }
	sum := 0.0
	for i := range n {
		sum += 2 * weight(i) * weight(i)
		if i > 0 {
			sum -= 2 * weight(i) * weight(i-1)
		}
	}
	if math.Abs(got-math.Sqrt(sum)) > 1e-12 {
		t.Errorf("sd %.12f, want %.12f", got, math.Sqrt(sum))
	}
}

// Ordinary least squares by hand (derived): t 0 1 2 3, x 1 3 5 8, v 1: slope 2.3, at 0 0.8,
// u(slope) 1/√5.
func TestFitLine(t *testing.T) {
	at, x, v, c := []float64{0, 1, 2, 3}, []float64{1, 3, 5, 8}, []float64{1, 1, 1, 1}, make([]float64, 4)
	l, ok := FitLine(at, x, v, c)
	if !ok || math.Abs(l.Slope-2.3) > 1e-12 || math.Abs(l.At0-0.8) > 1e-12 || math.Abs(l.USlope-1/math.Sqrt(5)) > 1e-12 {
		t.Errorf("%+v %v", l, ok)
	}
	if _, ok := FitLine(at[:2], x[:2], v[:2], c[:2]); ok {
		t.Error("two readings have a line with a residual")
	}
	if _, ok := FitLine([]float64{1, 1, 1}, x[:3], v[:3], c[:3]); ok {
		t.Error("equal t have a slope")
	}
	if _, ok := FitLine(at, x, v, []float64{0, -2, 0, 0}); ok {
		t.Error("a variance that is none is accepted")
	}
}

// Differences of one running counter (derived): readings of u² 1, v 2, c −1. The variance of the
// sum of n differences is 2, so that of their mean, the best constant for equal weights, is at most
// 2/n²; without the covariance it would be 2/n. A fit that ignores it fails here.
func TestFitLineKnowsTheCounter(t *testing.T) {
	const n = 8
	at, x, v, c := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range n {
		at[i], v[i], c[i] = float64(i)-(n-1)/2.0, 2, -1
	}
	l, ok := FitLine(at, x, v, c)
	if !ok || l.UAt0*l.UAt0 > 2.0/(n*n)+1e-12 {
		t.Errorf("variance of the mean %.5f, at most %.5f", l.UAt0*l.UAt0, 2.0/(n*n))
	}
	alone, _ := FitLine(at, x, v, make([]float64, n))
	if l.USlope > 0.55*alone.USlope {
		t.Errorf("u of the slope %.4f, without the covariance %.4f", l.USlope, alone.USlope)
	}
}
