package stat

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// ChiSquare returns Pearson's statistic of observed counts against expected shares and the chance of one at least as
// large, with one degree of freedom less than there are cells of positive share. NaN where nothing was observed or
// fewer than two cells are left.
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
	for i, k := range observed {
		if share[i] > 0 {
			d := float64(k) - share[i]*float64(total)
			x2 += d * d / (share[i] * float64(total))
		} else if k > 0 {
			return math.Inf(1), 0
		}
	}
	return x2, distuv.ChiSquared{K: float64(cells - 1)}.Survival(x2)
}

// FalseDiscoveries returns, for each p-value, the smallest rate of false discoveries at which it counts as one, whatever
// the dependence between them (Benjamini and Yekutieli 2001). NaN values stay NaN and were not looked at.
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
