// Habits that are telling only beside those of others.
//
// Observed is k in n of a crew: of n bays k that did not stall, of n jobs k with empties counted.
// Unknown is the rate of an honest crew. It differs from crew to crew: rates ~ Beta(α, β), fitted
// by moments to the other crews alone (stat.FitRates). What a new crew does is then beta-binomial,
// and p is its tail. It is an empirical Bayes test: with few other crews the beta distribution is
// weak or wide, and little is unlikely.

package plausible

import (
	"math"
	"slices"

	"bayproof/verify"
	"bayproof/verify/stat"
)

// habit is how often each group had a habit, k in n; "others" are the groups but one.
type habit struct {
	groups []habitGroup
	all    *stat.BetaPrior // fitted to all groups, where they are too many to leave each out in turn
}

// habitGroup is a crew, or a job where there are only a few crews.
type habitGroup struct {
	crew string // empty of a job
	jobs []int  // places of its jobs
	k, n int    // how often it was so, of how often it could have been
}

const (
	fewCrews       = 3   // crews below which jobs stand for themselves
	mostFitted     = 400 // groups up to which each is left out in turn
	leastStalls    = 20  // bays from which on it says something that all stalled
	leastUncounted = 4   // jobs from which on it says something that no empties were counted
)

// habits sets each crew's habits beside the others': not one bay that did not stall, empties that
// are never counted, times after the day, amendments upwards after a verdict.
func (t *tests) habits(jobs []*Job) {
	h := newHabit(jobs, func(c *checks) (int, int) { return c.no, c.stalls })
	t.never(h, AllStalled, leastStalls)
	h = newHabit(jobs, func(c *checks) (int, int) {
		if c.over.known {
			return 1, 1
		}
		return 0, 1
	})
	t.never(h, NeverCounted, leastUncounted)
	h = newHabit(jobs, func(c *checks) (int, int) {
		switch {
		case c.timed == 0:
			return 0, 0
		case c.late:
			return 1, 1
		}
		return 0, 1
	})
	t.often(h, LateTimes, true)
	h = newHabit(jobs, func(c *checks) (int, int) { return c.raised, c.judged })
	t.often(h, RaisedAfter, false)
}

// never adds, for each group that could have had the habit `least` times, the chance that a group
// like the others never has it, P(K = 0). A group that has it counts as looked at, with p = 1.
// Nothing is added where there are fewer than fewCrews groups.
func (t *tests) never(h *habit, code verify.Code, least int) {
	for i, g := range h.groups {
		if len(h.groups) < fewCrews || g.n < least || code == NeverCounted && g.crew == "" {
			continue
		}
		p, rate := 1.0, 0.0
		if g.k == 0 {
			others := h.without(i)
			p, rate = betaBinomial(others, 0, g.n), mean(others)
		}
		t.add(p, func() Finding { return g.finding(code, rate) })
	}
}

// often adds, for each group, the chance that a group like the others has the habit as often or
// more,
//
//	P(K ≥ k) = 1 − Σ P(K = i) over i < k
//
// of the beta-binomial distribution. A group that never does so counts as looked at, with p = 1.
func (t *tests) often(h *habit, code verify.Code, crewsOnly bool) {
	if len(h.groups) < fewCrews {
		return
	}
	for i, g := range h.groups {
		if crewsOnly && g.crew == "" {
			continue
		}
		p, rate := 1.0, 0.0
		if g.k > 0 {
			others, fewer := h.without(i), 0.0
			for k := range g.k {
				fewer += betaBinomial(others, k, g.n)
			}
			p, rate = math.Max(0, 1-fewer), mean(others)
		}
		t.add(p, func() Finding { return g.finding(code, rate) })
	}
}

// finding says how often a group had the habit, and the rate of the others.
func (g *habitGroup) finding(code verify.Code, rate float64) Finding {
	others := verify.Datum{Key: "others", Value: rate, Dim: verify.Probability}
	return Finding{Code: code, Jobs: g.jobs, Crew: g.crew, Data: []verify.Datum{number("times", float64(g.k)), number("of", float64(g.n)), others}}
}

// newHabit counts over crews, or over jobs where there are fewer than fewCrews named crews: then
// "others" are the other jobs. A job whose crew is not said counts for no crew and is left out
// beside crews that are named; so is a job of which `of` says n = 0.
func newHabit(jobs []*Job, of func(*checks) (k, n int)) *habit {
	crews := map[string]bool{}
	for _, j := range jobs {
		crews[j.Crew] = true
	}
	delete(crews, "")
	byCrew := len(crews) >= fewCrews
	h, at := &habit{}, map[string]int{} // a crew's place among the groups
	places := make([]int, len(jobs))
	if !byCrew {
		h.groups = make([]habitGroup, 0, len(jobs))
	}
	for i, j := range jobs {
		places[i] = i
		k, n := of(j.checks)
		if n == 0 || byCrew && j.Crew == "" {
			continue
		}
		place, known := at[j.Crew]
		if !byCrew {
			h.groups = append(h.groups, habitGroup{jobs: places[i : i+1 : i+1], k: k, n: n})
			continue
		}
		if !known {
			place, at[j.Crew] = len(h.groups), len(h.groups)
			h.groups = append(h.groups, habitGroup{crew: j.Crew})
		}
		g := &h.groups[place]
		g.jobs, g.k, g.n = append(g.jobs, i), g.k+k, g.n+n
	}
	return h
}

// without returns the beta distribution of the rates of all groups but one: a group must not be
// held against a prior that it has bent itself. With more than mostFitted groups one does not bend
// it, and fitting anew for each would take the square of their number: all groups are taken.
func (h *habit) without(i int) stat.BetaPrior {
	if len(h.groups) <= mostFitted {
		return fitted(slices.Delete(slices.Clone(h.groups), i, i+1))
	}
	if h.all == nil {
		prior := fitted(h.groups)
		h.all = &prior
	}
	return *h.all
}

// fitted returns the beta distribution of the rates of some groups.
func fitted(groups []habitGroup) stat.BetaPrior {
	var k, n []int
	for _, g := range groups {
		k, n = append(k, g.k), append(n, g.n)
	}
	return stat.FitRates(k, n)
}

// mean is the rate that the distribution lets expect, α/(α + β).
func mean(b stat.BetaPrior) float64 { return b.Alpha / (b.Alpha + b.Beta) }

// betaBinomial returns the probability of k in n where the rate has the beta distribution b: C(n,
// k)·B(k + α, n − k + β)/B(α, β), in logarithms.
func betaBinomial(b stat.BetaPrior, k, n int) float64 {
	x, m := float64(k), float64(n)
	return math.Exp(lgamma(m+1) - lgamma(x+1) - lgamma(m-x+1) +
		lgamma(x+b.Alpha) + lgamma(m-x+b.Beta) - lgamma(m+b.Alpha+b.Beta) -
		lgamma(b.Alpha) - lgamma(b.Beta) + lgamma(b.Alpha+b.Beta))
}

// lgamma returns ln Γ(x) of positive x, whose sign is known.
func lgamma(x float64) float64 {
	v, _ := math.Lgamma(x)
	return v
}
