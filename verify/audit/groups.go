package audit

import (
	"sort"

	"bayproof/verify/stat"
)

// Level is the level of intervals and of the inner funnel limits, and OuterLevel that of the outer ones.
const (
	Level      = 0.95
	OuterLevel = 0.998
)

// Group are the jobs of one crew, section kind or month.
type Group struct {
	Name   string // empty where the jobs do not say
	Tally  Tally
	Pass   Rate
	Shrunk float64 // share of CLOSE, drawn towards the other groups as far as few bays ask for; NaN without bays
	// The funnel: where the share of a group of this size lies if it is like all together.
	Lo, Hi, OuterLo, OuterHi float64
	Outside                  int // -2, -1, 1, 2: below or above the inner or the outer limits; 0 within
}

// Rate is a share of bays with its Wilson interval at Level.
type Rate struct {
	K, N   int
	Lo, Hi float64
}

// newRate returns k in n with its interval.
func newRate(k, n int) Rate {
	lo, hi := stat.Wilson(k, n, Level)
	return Rate{K: k, N: n, Lo: lo, Hi: hi}
}

// Share is the raw share; NaN of none.
func (r Rate) Share() float64 { return float64(r.K) / float64(r.N) }

// pass is the share of the filled bays that are CLOSE.
func (t *Tally) pass() Rate { return newRate(int(t.Close), int(t.Filled)) }

// Pass is the share of a job's filled bays that are CLOSE.
func (j *Job) Pass() Rate { return j.Tally.pass() }

// Pass is the share of a section's filled bays that are CLOSE.
func (s *Section) Pass() Rate { return s.Tally.pass() }

// groups sorts tallies by name and sets each against all together.
func groups(by map[string]*Tally) []Group {
	names := make([]string, 0, len(by))
	for name := range by {
		names = append(names, name)
	}
	sort.Strings(names)
	k, n := make([]int, len(names)), make([]int, len(names))
	sumK, sumN := 0, 0
	for i, name := range names {
		k[i], n[i] = int(by[name].Close), int(by[name].Filled)
		sumK, sumN = sumK+k[i], sumN+n[i]
	}
	prior := stat.FitRates(k, n)
	baseline := float64(sumK) / float64(sumN)
	out := make([]Group, len(names))
	for i, name := range names {
		g := Group{Name: name, Tally: *by[name], Pass: newRate(k[i], n[i]), Shrunk: prior.Shrink(k[i], n[i])}
		g.Lo, g.Hi = stat.FunnelLimits(baseline, n[i], Level)
		g.OuterLo, g.OuterHi = stat.FunnelLimits(baseline, n[i], OuterLevel)
		g.Outside = outside(&g)
		out[i] = g
	}
	return out
}

// outside tells on which side of which limit of the funnel a group's share lies.
func outside(g *Group) int {
	switch p := g.Pass.Share(); {
	case p < g.OuterLo:
		return -2
	case p < g.Lo:
		return -1
	case p > g.OuterHi:
		return 2
	case p > g.Hi:
		return 1
	}
	return 0
}
