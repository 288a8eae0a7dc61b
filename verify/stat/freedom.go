package stat

import "math"

// Freedom sums independent variances and their effective degrees of freedom by Welch–Satterthwaite (JCGM 100, G.4.1):
// ν = u⁴ / Σ(uᵢ⁴/νᵢ). Parts that use the same estimated spread must be added to each other before they come here.
// ν is not rounded. The zero value is ready.
type Freedom struct {
	Var  float64 // u²
	quar float64 // Σ uᵢ⁴/νᵢ
}

// Add takes in a variance with ν degrees of freedom; +Inf where it was not estimated from readings.
func (f *Freedom) Add(variance, nu float64) {
	f.Var += variance
	if !math.IsInf(nu, 1) && variance != 0 {
		f.quar += variance * variance / nu
	}
}

// U returns the combined standard uncertainty.
func (f *Freedom) U() float64 { return math.Sqrt(f.Var) }

// DOF returns the effective degrees of freedom; +Inf where nothing was estimated from readings.
func (f *Freedom) DOF() float64 {
	if f.quar == 0 {
		return math.Inf(1)
	}
	return f.Var * f.Var / f.quar
}
