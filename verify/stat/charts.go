// Series of readings in order: a moving average and a straight line, both of readings whose
// neighbors are correlated, as those along a running counter are. Without covariances both are the
// textbook's; with them a counter's rounding does not look like drift (TestFitLineKnowsTheCounter).

package stat

import (
	"math"
	"slices"
)

// EWMA is one point of an exponentially weighted moving average with the standard deviation that it
// has by chance, in the unit of the readings.
type EWMA struct{ Value, SD float64 }

// Smooth returns the exponentially weighted moving average zᵢ = λ·xᵢ + (1 − λ)·zᵢ₋₁ from z₀ =
// start, with
//
//	var zᵢ = (1 − λ)²·var zᵢ₋₁ + λ²·vᵢ + 2·λ²·(1 − λ)·cᵢ
//
// where vᵢ is the variance of xᵢ and cᵢ its covariance with xᵢ₋₁. c may be nil for none;
// covariances with earlier readings are taken as 0, which is what a running counter brings. The
// last term is derived here; without it, and with equal variances, var z tends to v·λ/(2 − λ)
// (NIST/SEMATECH e-Handbook 6.3.2.4).
//
// v has the length of x, and c too if it is not nil. Empty x gives no points; λ outside 0
// (excluded) to 1 gives nil.
func Smooth(x, v, c []float64, start, lambda float64) []EWMA {
	if !(lambda > 0 && lambda <= 1) {
		return nil
	}
	out := make([]EWMA, 0, len(x))
	z, variance := start, 0.0
	for i := range x {
		z = lambda*x[i] + (1-lambda)*z
		keep := 1 - lambda
		variance = keep*keep*variance + lambda*lambda*v[i]
		if c != nil && i > 0 {
			variance += 2 * lambda * lambda * keep * c[i]
		}
		out = append(out, EWMA{z, math.Sqrt(variance)})
	}
	return out
}

// Line is a straight line At0 + Slope·t through correlated readings, with the standard
// uncertainties of both and their correlation.
type Line struct {
	At0, Slope         float64 // of x at t = 0, and per unit of t
	UAt0, USlope, Corr float64 // their standard uncertainties, and the correlation of the two
}

// FitLine fits x = a + b·t to readings with variances v and covariances c with the reading before
// (c[0] is not used; c must have the length of v), by generalized least squares:
//
//	β = (XᵀV⁻¹X)⁻¹·XᵀV⁻¹x, cov β = (XᵀV⁻¹X)⁻¹
//
// X has the columns 1 and t. V is tridiagonal, and the products with its inverse are solved for by
// elimination (Golub and Van Loan, Matrix Computations, 4.3). ok is false for fewer than three
// readings, equal t, or a V that is not positive definite.
func FitLine(t, x, v, c []float64) (line Line, ok bool) {
	if len(t) < 3 {
		return line, false
	}
	ones := slices.Repeat([]float64{1}, len(t))
	vOnes, vT := slices.Clone(ones), slices.Clone(t) // to become V⁻¹·1 and V⁻¹·t
	if !eliminate(v, c, vOnes, vT) {
		return line, false
	}
	s11, s1t, stt := dot(vOnes, ones), dot(vOnes, t), dot(vT, t)
	s1x, stx := dot(vOnes, x), dot(vT, x)
	det := s11*stt - s1t*s1t
	if !(det > 1e-12*s11*stt) {
		return line, false
	}
	line.Slope = (s11*stx - s1t*s1x) / det
	line.At0 = (stt*s1x - s1t*stx) / det
	line.USlope, line.UAt0 = math.Sqrt(s11/det), math.Sqrt(stt/det)
	line.Corr = -s1t / math.Sqrt(s11*stt)
	return line, true
}

// eliminate turns the right-hand sides y and z into the solutions of V·y' = y and V·z' = z, for a
// symmetric tridiagonal V with diagonal v and c[i] between i − 1 and i. It returns false where a
// pivot is not above 0: where V is not positive definite.
func eliminate(v, c, y, z []float64) bool {
	n := len(v)
	d := make([]float64, n) // pivots
	for i := range n {
		d[i] = v[i]
		if i > 0 {
			m := c[i] / d[i-1]
			d[i] -= m * c[i]
			y[i] -= m * y[i-1]
			z[i] -= m * z[i-1]
		}
		if !(d[i] > 0) {
			return false
		}
	}
	y[n-1] /= d[n-1]
	z[n-1] /= d[n-1]
	for i := n - 2; i >= 0; i-- {
		y[i] = (y[i] - c[i+1]*y[i+1]) / d[i]
		z[i] = (z[i] - c[i+1]*z[i+1]) / d[i]
	}
	return true
}

// dot is the scalar product Σ aᵢ·bᵢ.
func dot(a, b []float64) float64 {
	sum := 0.0
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}
