// Shares and rates: intervals, rates of several groups drawn together, sampling to find bad ones,
// false discoveries among many p-values, and seeded random numbers.

package stat

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"sort"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Wilson returns the two-sided score interval of a share, k in n seen, at the given level (E. B.
// Wilson 1927; NIST/SEMATECH e-Handbook 7.2.4.1): with p = k/n and z = Φ⁻¹((1 + level)/2)
//
//	(p + z²/2n ± z·√(p(1 − p)/n + z²/4n²)) / (1 + z²/n)
//
// A one-sided bound at level c is the end of the two-sided interval at 2c − 1. It is 0 to 1 for n =
// 0, where nothing is known; NaN for k outside 0 to n or a level outside 0 to 1.
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

// BetaPrior is a beta distribution of a rate among crews: Alpha and Beta weigh as so many ones and
// noughts seen beforehand.
type BetaPrior struct{ Alpha, Beta float64 }

// FitBeta returns the beta distribution with the given mean m and standard deviation s, by moments:
// α + β = m·(1 − m)/s² − 1, α = m·(α + β). Where the spread is 0 or too wide for that it is the
// weakest that has the mean: one observation's worth.
func FitBeta(mean, sd float64) BetaPrior {
	size := mean*(1-mean)/(sd*sd) - 1
	if !(size > 1) || math.IsInf(size, 0) {
		size = 1
	}
	return BetaPrior{Alpha: mean * size, Beta: (1 - mean) * size}
}

// FitRates returns the beta distribution of the true rates behind k[i] in n[i], by moments: the
// spread between the raw rates less what counting alone explains (spreadBetween). With fewer than
// three groups, or no spread beyond counting, all groups have one rate: the prior then weighs as
// much as all that was seen. Groups of 0 are passed over; Beta(1/2, 1/2) where none is left.
func FitRates(k, n []int) BetaPrior {
	var sumK, sumN, groups int
	for i := range n {
		if n[i] > 0 {
			sumK, sumN, groups = sumK+k[i], sumN+n[i], groups+1
		}
	}
	if groups == 0 {
		return BetaPrior{Alpha: 0.5, Beta: 0.5}
	}
	mean := (float64(sumK) + 0.5) / (float64(sumN) + 1) // never exactly 0 or 1
	between := spreadBetween(k, n, mean)
	if groups < 3 || !(between > 0) {
		return BetaPrior{Alpha: mean * float64(sumN), Beta: (1 - mean) * float64(sumN)}
	}
	return FitBeta(mean, math.Sqrt(between))
}

// spreadBetween returns the moment estimate of the variance of the true rates behind k[i] in n[i]
// with mean m, weighted by n, as in a one-way analysis of variance:
//
//	(Σ nᵢ·(kᵢ/nᵢ − m)² − (g − 1)·m·(1 − m)) / (N − Σ nᵢ²/N − (g − 1)),  N = Σ nᵢ
//
// over the g groups that have any. It is below 0 where the rates differ by less than counting alone
// explains, and NaN or infinite for one group.
func spreadBetween(k, n []int, mean float64) float64 {
	var s, sumN, sumN2, groups float64
	for i := range n {
		if n[i] == 0 {
			continue
		}
		m := float64(n[i])
		d := float64(k[i])/m - mean
		s += m * d * d
		sumN, sumN2, groups = sumN+m, sumN2+m*m, groups+1
	}
	noise := mean * (1 - mean)
	return (s - (groups-1)*noise) / (sumN - sumN2/sumN - (groups - 1))
}

// NoneFoundChance returns the chance that a sample of n out of a lot finds none of its bad ones:
// the hypergeometric probability of 0, ∏ (lot − n − i)/(lot − i) over i < bad. It is 1 where
// nothing is drawn or nothing is bad; NaN for numbers that do not fit the lot.
func NoneFoundChance(lot, bad, n int) float64 {
	if lot < 0 || bad < 0 || bad > lot || n < 0 || n > lot {
		return math.NaN()
	}
	if bad > n {
		bad, n = n, bad // drawing n and asking for bad is drawing bad and asking for n
	}
	chance := 1.0
	for i := range bad {
		left := lot - n - i
		if left <= 0 {
			return 0
		}
		chance *= float64(left) / float64(lot-i)
	}
	return chance
}

// DetectionSize returns how many of a lot have to be opened so that, with the given confidence, at
// least one bad one is found if the share of bad ones is rate or more (hypergeometric; FAO/IPPC
// ISPM 31, appendix 1). A rate of less than one in the lot counts as one. 0 where the arguments are
// out of range.
func DetectionSize(lot int, rate, confidence float64) int {
	if lot < 1 || !(rate > 0 && rate <= 1) || !(confidence > 0 && confidence < 1) {
		return 0
	}
	bad := max(1, int(math.Ceil(rate*float64(lot)-1e-9)))
	return 1 + sort.Search(lot-1, func(i int) bool { return NoneFoundChance(lot, bad, 1+i) <= 1-confidence })
}

// ChiSquare returns Pearson's statistic Σ (observed − expected)²/expected of observed counts
// against expected shares, and the chance p of one at least as large, with one degree of freedom
// less than there are cells of positive share. share has the length of observed and adds up to 1.
// NaN where nothing was observed or fewer than two cells are left; +Inf and 0 where something was
// observed in a cell of no share.
func ChiSquare(observed []int, share []float64) (x2, p float64) {
	total, cells := 0, 0
	for i, k := range observed {
		total += k
		if share[i] > 0 {
			cells++
		}
	}
	if total == 0 || cells < 2 {
		return math.NaN(), math.NaN()
	}
	seen, expected := make([]float64, len(observed)), make([]float64, len(observed))
	for i, k := range observed {
		seen[i], expected[i] = float64(k), share[i]*float64(total)
	}
	x2 = stat.ChiSquare(seen, expected) // +Inf where something was seen in a cell of no share
	return x2, distuv.ChiSquared{K: float64(cells - 1)}.Survival(x2)
}

// Rand returns a stream of random numbers that is the same for the same seed, on every machine
// (PCG). The second word of the generator's state follows from the first: the fraction of the
// golden ratio keeps the two apart.
func Rand(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, seed^0x9e3779b97f4a7c15)) }

// FalseDiscoveries returns, for each p-value, the smallest rate of false discoveries at which it
// counts as one, whatever the dependence between them (Benjamini and Yekutieli 2001): with the m
// p-values in rising order
//
//	qᵢ = min over j ≥ i of pⱼ·m·(1 + 1/2 + … + 1/m)/j, at most 1
//
// Of the findings with q ≤ 0.05 no more than one in twenty is expected to be false. NaN values stay
// NaN and do not count into m: they were not looked at.
func FalseDiscoveries(p []float64) []float64 {
	order := make([]int, 0, len(p))
	q := make([]float64, len(p))
	for i, v := range p {
		q[i] = math.NaN()
		if !math.IsNaN(v) {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(p[a], p[b]) })
	m, harmonic := float64(len(order)), 0.0
	for i := range order {
		harmonic += 1 / float64(i+1)
	}
	least := 1.0
	for i := len(order) - 1; i >= 0; i-- {
		least = math.Min(least, p[order[i]]*m*harmonic/float64(i+1))
		q[order[i]] = least
	}
	return q
}

// BinomialTail returns P(K ≥ k) of K successes in n trials of probability p; 1 for k ≤ 0, 0 for k >
// n, NaN for p outside 0 to 1. It is the regularized incomplete beta function I_p(k, n − k + 1).
func BinomialTail(n, k int, p float64) float64 {
	switch {
	case !(p >= 0 && p <= 1):
		return math.NaN()
	case k <= 0:
		return 1
	case k > n:
		return 0
	}
	return mathext.RegIncBeta(float64(k), float64(n-k+1), p)
}

// BetaQuantile returns the quantile p of the beta distribution: the inverse of the regularized
// incomplete beta function. NaN for p outside 0 to 1 and parameters that are not positive.
func BetaQuantile(p, alpha, beta float64) float64 {
	if !(p >= 0 && p <= 1 && alpha > 0 && beta > 0) {
		return math.NaN()
	}
	return mathext.InvRegIncBeta(alpha, beta, p)
}

// PoissonTail returns P(K ≥ k) of a Poisson variable with the given mean: the regularized lower
// incomplete gamma function P(k, mean). 1 for k ≤ 0; NaN for a mean that is not positive.
func PoissonTail(k int, mean float64) float64 {
	switch {
	case !(mean > 0):
		return math.NaN()
	case k <= 0:
		return 1
	}
	return mathext.GammaIncReg(float64(k), mean)
}

// Hash returns the 64-bit FNV-1a hash of some bytes: for keys that are compared within one run, and
// for seeds that must be the same everywhere.
func Hash(data []byte) uint64 {
	h := uint64(14695981039346656037)
	for _, b := range data {
		h = (h ^ uint64(b)) * 1099511628211
	}
	return h
}
