package audit

import (
	"math"

	"bayproof/verify/stat"
)

// A habit is only telling beside the habits of others: k in n of one crew against what the other crews' rates, fitted
// without it, let expect (beta-binomial).
type habit struct {
	names []string // crews
	jobs  [][]int
	k, n  []int
	all   *stat.BetaPrior // fitted to all groups, where they are too many to leave each out in turn
}

// fewCrews is the number below which jobs stand for themselves.
const fewCrews = 3

// mostFitted is the number of groups up to which each is left out in turn.
const mostFitted = 400

// habitOf counts over crews, or over jobs where there are only a few crews.
func habitOf(jobs []*Job, of func(*looked) (k, n int)) habit {
	crews := map[string]int{}
	for _, j := range jobs {
		crews[j.Crew] = 0
	}
	delete(crews, "")
	byCrew := len(crews) >= fewCrews
	clear(crews)
	var h habit
	for i, j := range jobs {
		k, n := of(&j.looked)
		if n == 0 || byCrew && j.Crew == "" {
			continue
		}
		at, known := crews[j.Crew]
		if !byCrew || !known {
			at = len(h.k)
			crews[j.Crew] = at
			name := ""
			if byCrew {
				name = j.Crew
			}
			h.names, h.jobs, h.k, h.n = append(h.names, name), append(h.jobs, nil), append(h.k, 0), append(h.n, 0)
		}
		h.jobs[at] = append(h.jobs[at], i)
		h.k[at], h.n[at] = h.k[at]+k, h.n[at]+n
	}
	return h
}

// chances: atLeast is the chance of k or more in n of group i, and others that of nought; rate is the others' mean.
func (h *habit) chances(i int) (atLeast, none, rate float64) {
	prior := h.without(i)
	rate = prior.Alpha / (prior.Alpha + prior.Beta)
	below := 0.0
	for x := range h.k[i] {
		below += betaBinomial(prior, x, h.n[i])
	}
	return math.Max(0, 1-below), betaBinomial(prior, 0, h.n[i]), rate
}

// without fits the rates of all groups but one.
func (h *habit) without(i int) stat.BetaPrior {
	if len(h.k) > mostFitted {
		if h.all == nil {
			prior := stat.FitRates(h.k, h.n)
			h.all = &prior
		}
		return *h.all
	}
	k := append(append([]int(nil), h.k[:i]...), h.k[i+1:]...)
	n := append(append([]int(nil), h.n[:i]...), h.n[i+1:]...)
	return stat.FitRates(k, n)
}

// betaBinomial is the probability of k in n where the rate has the beta distribution b.
func betaBinomial(b stat.BetaPrior, k, n int) float64 {
	x, m := float64(k), float64(n)
	return math.Exp(lgamma(m+1) - lgamma(x+1) - lgamma(m-x+1) +
		lgamma(x+b.Alpha) + lgamma(m-x+b.Beta) - lgamma(m+b.Alpha+b.Beta) -
		lgamma(b.Alpha) - lgamma(b.Beta) + lgamma(b.Alpha+b.Beta))
}

func lgamma(x float64) float64 {
	v, _ := math.Lgamma(x)
	return v
}
