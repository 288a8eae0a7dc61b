package stat_test

import (
	"math"
	"testing"

	"bayproof/verify/stat"
)

// TestMeanSD: JCGM 100, 4.4.3 (from memory), printed to three decimals.
func TestMeanSD(t *testing.T) {
	x := []float64{
		96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07,
		100.33, 100.42, 100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72,
	}
	mean, s := stat.MeanSD(x)
	near(t, "mean", mean, 100.145, 0.0005)
	near(t, "s", s, 1.489, 0.0005)
	near(t, "s of the mean", s/math.Sqrt(20), 0.333, 0.0005)
}

// TestSummation: NIST StRD, certified values; two passes keep 8 digits of s on NumAcc4.
func TestSummation(t *testing.T) {
	mean, s := stat.MeanSD([]float64{10000001, 10000003, 10000002})
	near(t, "NumAcc1 mean", mean, 10000002, 0)
	near(t, "NumAcc1 s", s, 1, 0)
	mean, s = stat.MeanSD(alternating(1000000.2))
	near(t, "NumAcc3 mean", mean, 1000000.2, 1e-8)
	near(t, "NumAcc3 s", s, 0.1, 1e-9)
	mean, s = stat.MeanSD(alternating(10000000.2))
	near(t, "NumAcc4 mean", mean, 10000000.2, 1e-7)
	near(t, "NumAcc4 s", s, 0.1, 1e-8)
	if got := shortcut(alternating(10000000.2)); math.Abs(got-0.1) < 1e-3 {
		t.Errorf("the sum-of-squares shortcut keeps the digits too (%v): NumAcc4 shows nothing", got)
	}
}

// alternating is x, then x − 0.1 and x + 0.1 by turns, 1001 values.
func alternating(x float64) []float64 {
	out := []float64{x}
	for range 500 {
		out = append(out, x-0.1, x+0.1)
	}
	return out
}

// shortcut is s from sums of squares, which loses all digits here.
func shortcut(x []float64) float64 {
	var sum, squares float64
	for _, v := range x {
		sum, squares = sum+v, squares+v*v
	}
	n := float64(len(x))
	return math.Sqrt(max(0, (squares-sum*sum/n)/(n-1)))
}

// TestFewValues: one value has no spread, none has no mean.
func TestFewValues(t *testing.T) {
	if _, s := stat.MeanSD([]float64{7}); !math.IsNaN(s) {
		t.Errorf("s of one value: %v", s)
	}
	if m := stat.Mean(nil); !math.IsNaN(m) {
		t.Errorf("mean of nothing: %v", m)
	}
}

// TestPool: two places of two readings pool their deviations about their own means, one reading
// adds nothing.
func TestPool(t *testing.T) {
	var p stat.Pool
	p.Add([]float64{10, 12})
	p.Add([]float64{100, 104})
	p.Add([]float64{55})
	near(t, "ν", p.DOF, 2, 0)
	near(t, "s²", p.Var(), (2.0+8.0)/2, 1e-12)
}

// TestMoments: values taken in one by one, or in two parts, have the moments of two passes; NIST
// StRD NumAcc4 to the digits that those keep.
func TestMoments(t *testing.T) {
	x := alternating(10000000.2)
	for cut := range len(x) {
		var m, rest stat.Moments
		for i, v := range x {
			if i < cut {
				m.Add(v)
			} else {
				rest.Add(v)
			}
		}
		m.Join(rest)
		near(t, "n", m.N, 1001, 0)
		near(t, "NumAcc4 mean", m.Mean, 10000000.2, 1e-7)
		near(t, "NumAcc4 s", math.Sqrt(m.SS/(m.N-1)), 0.1, 1e-8)
	}
}
