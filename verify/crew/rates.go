package crew

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/mathext"
)

// rateCount is the number of nodes of the integral over the rate of bad bays, chainRates that along a counter, where each
// costs a sum over the readings' errors; with the rest of them at weight 0.
const (
	rateCount  = 6
	chainRates = 3
)

// rateNode is a node of the integral over the rate of bad bays.
type rateNode struct{ rate, weight float64 }

// rateRule integrates over the rate. Its weights are in units of exp(logScale).
type rateRule struct {
	nodes    [rateCount]rateNode
	logScale float64
}

// mostSure bounds how many bays a rule is shaped after.
const mostSure = 200

// rateRuleFor returns a rule for a section in which at least so many bays are certainly bad and so many certainly good:
// such bays multiply the prior Beta(1.2, 7) by rate^bad·(1 − rate)^good, so that the nodes of Gauss and Jacobi for that
// product stand where the posterior of the rate is, and what is left to integrate is smooth.
func rateRuleFor(count, bad, good int) *rateRule {
	bad, good = min(bad, mostSure), min(good, mostSure)
	key := [3]int{count, bad, good}
	if r, ok := rateRules.Load(key); ok {
		return r.(*rateRule)
	}
	r := newRateRule(count, float64(bad), float64(good))
	rateRules.Store(key, r)
	return r
}

// rateRules keeps the rules that were worked out: there are as many as counts differ.
var rateRules sync.Map

// newRateRule finds nodes and weights as the eigenvalues of the Jacobi matrix of the weight's orthogonal polynomials, and the
// squares of its eigenvectors' first components (Golub and Welsch, Math. Comp. 23, 1969). The weight's own factor
// rate^bad·(1 − rate)^good is divided out of each weight again.
func newRateRule(count int, bad, good float64) *rateRule {
	a, b := badBeta+good-1, badAlpha+bad-1 // powers of 1 − x and 1 + x on [−1, 1]
	jacobi := mat.NewSymDense(count, nil)
	for k := range count {
		n := float64(k)
		sum := 2*n + a + b
		diagonal := (b - a) / (a + b + 2)
		if k > 0 {
			diagonal = (b*b - a*a) / (sum * (sum + 2))
			beside := 4 * n * (n + a) * (n + b) * (n + a + b) / (sum * sum * (sum + 1) * (sum - 1))
			if k == 1 {
				beside = 4 * (1 + a) * (1 + b) / (sq(2+a+b) * (3 + a + b))
			}
			jacobi.SetSym(k-1, k, math.Sqrt(beside))
		}
		jacobi.SetSym(k, k, diagonal)
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(jacobi, true) {
		panic("crew: the Jacobi matrix of the rate has no eigenvalues")
	}
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	r := &rateRule{}
	var logs [rateCount]float64
	most := math.Inf(-1)
	for k, x := range eigen.Values(nil) {
		rate := (1 + x) / 2
		logs[k] = 2*math.Log(math.Abs(vectors.At(0, k))) - bad*math.Log(rate) - good*math.Log1p(-rate)
		most = math.Max(most, logs[k])
		r.nodes[k].rate = rate
	}
	for k := range count {
		r.nodes[k].weight = math.Exp(logs[k] - most)
	}
	r.logScale = most + mathext.Lbeta(badAlpha+bad, badBeta+good) - mathext.Lbeta(badAlpha, badBeta)
	return r
}
