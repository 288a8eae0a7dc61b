package stat

import "math"

// Wilson returns the two-sided score interval of k in n at the given level (E. B. Wilson 1927; NIST/SEMATECH e-Handbook
// 7.2.4.1). A one-sided bound at level c is the end of the two-sided interval at 2c − 1. It is 0 to 1 for n = 0: nothing
// is known; NaN for k outside 0 to n or a level outside 0 to 1.
func Wilson(k, n int, level float64) (lo, hi float64) {
	if k < 0 || k > n || !(level > 0 && level < 1) {
		return math.NaN(), math.NaN()
	}
	if n == 0 {
		return 0, 1
	}
	z := NormalQuantile((1 + level) / 2)
	m, p := float64(n), float64(k)/float64(n)
	mid := (p + z*z/(2*m)) / (1 + z*z/m)
	half := z / (1 + z*z/m) * math.Sqrt(p*(1-p)/m+z*z/(4*m*m))
	lo, hi = math.Max(0, mid-half), math.Min(1, mid+half)
	if k == 0 {
		lo = 0 // exactly: mid and half are equal there but for rounding
	}
	if k == n {
		hi = 1
	}
	return lo, hi
}

// FunnelLimits returns the limits within which the observed share of n stays with the given two-sided level when the
// true share is the baseline p: p ± z·√(p(1 − p)/n), kept within 0 to 1. It is the Wilson interval inverted: a share
// lies within the limits exactly where its Wilson interval holds the baseline. 0 to 1 for n = 0.
func FunnelLimits(p float64, n int, level float64) (lo, hi float64) {
	return controlLimits(p, n, NormalQuantile((1+level)/2))
}

// controlLimits are the limits of a p-chart at z standard deviations for a sample of n (NIST/SEMATECH e-Handbook 6.3.3.2).
func controlLimits(p float64, n int, z float64) (lo, hi float64) {
	if !(p >= 0 && p <= 1) || n < 0 || math.IsNaN(z) {
		return math.NaN(), math.NaN()
	}
	if n == 0 {
		return 0, 1
	}
	half := z * math.Sqrt(p*(1-p)/float64(n))
	return math.Max(0, p-half), math.Min(1, p+half)
}
