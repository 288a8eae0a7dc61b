package stat

import "math"

// EWMA is one point of an exponentially weighted moving average with the standard deviation that it has by chance.
type EWMA struct{ Value, SD float64 }

// Smooth returns the exponentially weighted moving average zᵢ = λ·xᵢ + (1 − λ)·zᵢ₋₁ from z₀ = start, with
//
//	var zᵢ = (1 − λ)²·var zᵢ₋₁ + λ²·vᵢ + 2·λ²·(1 − λ)·cᵢ
//
// where vᵢ is the variance of xᵢ and cᵢ its covariance with xᵢ₋₁ (nil for none; earlier ones are taken as 0). With equal
// variances and no covariance it tends to v·λ/(2 − λ) (NIST/SEMATECH e-Handbook 6.3.2.4). Empty input gives nil; λ
// outside 0 to 1 gives nil.
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
