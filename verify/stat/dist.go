// Distributions, means and degrees of freedom, each guarded where the library panics, returns 0 or
// loses digits: NaN goes in and NaN comes out, and nothing is clamped.

package stat

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// normalFrom is the number of degrees of freedom from which Student's t is taken as normal: the two
// differ there by less than 1e-8 in probability (the leading term of the difference is at most
// 0.13/ν).
const normalFrom = 2e7

// NormalCDF returns Φ(z), the standard normal distribution function; NaN for NaN.
func NormalCDF(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }

// NormalReach is how many standard deviations from the mean the normal distribution is 0 or 1 to
// 1e-15.
const NormalReach = 8.0

const normalStep = 1.0 / 16 // a cubic through values and slopes is good to 6e-8 at this step

// normal holds Φ and φ: for every step four coefficients each of the cubic in the share of the way
// through it that meets value and slope at both ends (Hermite interpolation). Reading it costs a
// fifth of math.Erfc and math.Exp, for those who ask ten thousand times. Nothing writes to it.
var normal = newNormalTable()

// normalTable has the eight coefficients of each step from −NormalReach to NormalReach: four of Φ,
// then four of φ.
type normalTable [2*int(NormalReach/normalStep) + 1][8]float64

// newNormalTable computes the coefficients. The slope of Φ is φ(z), that of φ is −z·φ(z).
func newNormalTable() (t normalTable) {
	density := func(z float64) float64 { return math.Exp(-0.5*z*z) * (1 / (math.Sqrt2 * 1.7724538509055160273)) }
	cubic := func(from, slope, to, next float64) [4]float64 {
		rise := to - from
		slope, next = slope*normalStep, next*normalStep
		return [4]float64{from, slope, 3*rise - 2*slope - next, slope + next - 2*rise}
	}
	for i := range t {
		a := -NormalReach + float64(i)*normalStep
		b := a + normalStep
		whole, bell := cubic(NormalCDF(a), density(a), NormalCDF(b), density(b)), cubic(density(a), -a*density(a), density(b), -b*density(b))
		copy(t[i][:4], whole[:])
		copy(t[i][4:], bell[:])
	}
	return t
}

// TableCDF returns Φ(z) to 1e-7.
func TableCDF(z float64) float64 {
	switch {
	case z >= NormalReach:
		return 1
	case !(z > -NormalReach): // NaN goes to the cautious side
		return 0
	}
	f := (z + NormalReach) * (1 / normalStep)
	i := int(f)
	f -= float64(i)
	return normal[i][0] + f*(normal[i][1]+f*(normal[i][2]+f*normal[i][3])) // a copy of the row takes longer
}

// TableNormal returns Φ(z) and φ(z) to 1e-7.
func TableNormal(z float64) (cdf, density float64) {
	switch {
	case z >= NormalReach:
		return 1, 0
	case !(z > -NormalReach):
		return 0, 0
	}
	f := (z + NormalReach) * (1 / normalStep)
	i := int(f)
	f -= float64(i)
	cdf = normal[i][0] + f*(normal[i][1]+f*(normal[i][2]+f*normal[i][3]))
	return cdf, normal[i][4] + f*(normal[i][5]+f*(normal[i][6]+f*normal[i][7]))
}

// NormalQuantile returns Φ⁻¹(p); −Inf at 0, +Inf at 1, NaN outside 0 to 1.
func NormalQuantile(p float64) float64 {
	if !(p >= 0 && p <= 1) {
		return math.NaN()
	}
	return -math.Sqrt2 * math.Erfcinv(2*p)
}

// StudentCDF returns P(T ≤ t) for Student's t with ν degrees of freedom, which need not be whole. ν
// = +Inf is the normal distribution. It is NaN for ν ≤ 0 and for NaN arguments: a spread from no
// readings says nothing. (The library panics at ν = 0.)
func StudentCDF(t, nu float64) float64 {
	switch {
	case math.IsNaN(t) || !(nu > 0):
		return math.NaN()
	case nu >= normalFrom || math.IsInf(t, 0):
		return NormalCDF(t)
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: nu}.CDF(t)
}

// StudentQuantile returns the t for which P(T ≤ t) = p with ν degrees of freedom, to about 1e-12 of
// its value. ν = +Inf is the normal distribution. It is NaN for ν ≤ 0 and p outside 0 to 1.
//
// From ν = 3 on it is found by Newton's iteration from an expansion in 1/ν: the library's inverse
// takes six times as long and is off by 1e-8 at ν = 1e7; below, where the expansion is poor, the
// library's is used.
func StudentQuantile(p, nu float64) float64 {
	switch {
	case !(p >= 0 && p <= 1) || !(nu > 0):
		return math.NaN()
	case nu >= normalFrom || p == 0 || p == 1:
		return NormalQuantile(p)
	case p < 0.5:
		return -StudentQuantile(1-p, nu)
	case nu < 3:
		return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: nu}.Quantile(p)
	}
	t := fisherExpansion(NormalQuantile(p), nu)
	for range 30 {
		step := (StudentCDF(t, nu) - p) / studentDensity(t, nu)
		t -= step
		if math.Abs(step) < 1e-9*(1+t) {
			break
		}
	}
	return t
}

// fisherExpansion returns the asymptotic expansion of the t quantile to the second power of 1/ν, z
// being the normal quantile (Abramowitz & Stegun 26.7.5, from memory; only the starting point of
// Newton's iteration).
func fisherExpansion(z, nu float64) float64 {
	z2 := z * z
	g1 := z * (z2 + 1) / 4
	g2 := z * ((5*z2+16)*z2 + 3) / 96
	return z + (g1+g2/nu)/nu
}

// studentDensity returns the density of Student's t, Γ((ν+1)/2)/(Γ(ν/2)·√(νπ))·(1 +
// t²/ν)^(−(ν+1)/2).
func studentDensity(t, nu float64) float64 {
	a, _ := math.Lgamma((nu + 1) / 2)
	b, _ := math.Lgamma(nu / 2)
	return math.Exp(a-b-(nu+1)/2*math.Log1p(t*t/nu)) / math.Sqrt(nu*math.Pi)
}

// ProbAtLeast returns P(Y ≥ limit) for a quantity with best estimate y, standard uncertainty u and
// ν effective degrees of freedom, the conformity probability of JCGM 106, clause 7: P(T ≤ (y −
// limit)/u) of Student's t. With u = 0 it is 0 or 1; NaN where an argument is, or u < 0.
func ProbAtLeast(y, u, nu, limit float64) float64 {
	if u == 0 {
		switch {
		case y >= limit:
			return 1
		case y < limit:
			return 0
		}
		return math.NaN()
	}
	if !(u > 0) {
		return math.NaN()
	}
	return StudentCDF((y-limit)/u, nu)
}

// Mean returns the arithmetic mean; NaN of no values. It adds in the order of the values: the
// library's sum takes them in pairs that depend on where they lie in memory, so that its last digit
// may differ from run to run.
func Mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

// MeanSD returns the mean and the standard deviation s, s² = Σ(x − mean)²/(n − 1), in two passes
// (JCGM 100, 4.2); the second pass carries the correction for the rounding of the mean. The
// deviation of fewer than two values is NaN, not 0.
func MeanSD(x []float64) (mean, sd float64) {
	mean = Mean(x)
	if len(x) < 2 {
		return mean, math.NaN()
	}
	return mean, math.Sqrt(SumOfSquares(x, mean) / float64(len(x)-1))
}

// SumOfSquares returns Σ(x − mean)², corrected for what rounding left in the mean: less (Σ(x −
// mean))²/n. NaN of no values.
func SumOfSquares(x []float64, mean float64) float64 {
	var ss, rest float64
	for _, v := range x {
		d := v - mean
		ss += d * d
		rest += d
	}
	return ss - rest*rest/float64(len(x))
}

// Moments are how many values were taken in, their mean and Σ(x − mean)². They are kept in one pass
// without the cancellation of a sum of squares: each value moves the mean and adds the product of
// its deviations from the mean before and after it (Welford 1962). The zero value is that of none.
type Moments struct{ N, Mean, SS float64 }

// Add takes in a value.
func (m *Moments) Add(x float64) {
	m.N++
	before := x - m.Mean
	m.Mean += before / m.N
	m.SS += before * (x - m.Mean)
}

// Join takes in the values of another: with d the difference of the two means, SS grows by its SS
// and d²·N·N'/(N + N') (Chan, Golub and LeVeque 1983).
func (m *Moments) Join(o Moments) {
	if o.N == 0 {
		return
	}
	n, d := m.N+o.N, o.Mean-m.Mean
	m.SS += o.SS + d*d*m.N*o.N/n
	m.Mean += d * o.N / n
	m.N = n
}

// Pool gathers squared deviations of repeated readings about the mean of each place: together they
// give the pooled variance. The zero value is ready.
type Pool struct {
	SS  float64 // sum of squared deviations
	DOF float64 // Σ(n − 1)
}

// Add takes in the readings of one place. One reading adds nothing.
func (p *Pool) Add(x []float64) {
	if len(x) < 2 {
		return
	}
	p.SS += SumOfSquares(x, Mean(x))
	p.DOF += float64(len(x) - 1)
}

// Join takes in another pool.
func (p *Pool) Join(o Pool) { p.SS += o.SS; p.DOF += o.DOF }

// Var returns the pooled variance; 0 with no degrees of freedom, which DOF tells apart.
func (p Pool) Var() float64 {
	if p.DOF == 0 {
		return 0
	}
	return p.SS / p.DOF
}

// Freedom sums independent variances and their effective degrees of freedom by Welch–Satterthwaite
// (JCGM 100, G.4.1):
//
//	ν = u⁴ / Σ (uᵢ⁴/νᵢ),  u² = Σ uᵢ²
//
// Parts that use the same estimated spread are not independent, and must be added to each other
// before they come here. ν is not rounded. The zero value is ready.
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
