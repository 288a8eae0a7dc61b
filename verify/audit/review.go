package audit

import (
	"maps"
	"slices"

	"bayproof/model"
	"bayproof/verify/stat"
)

// Review is what was found out about many jobs.
type Review struct {
	Jobs     []*Job // in the order of the inputs
	Tally    Tally
	Pass     Rate
	Crews    []Group
	Kinds    []Group
	Months   []Group
	Findings []Finding // all that was looked at and is a discovery at Rate, least likely first
	Looked   int       // how many probabilities were looked at
	Asks     Asks
	Sample   *Sample // nil where none was asked for
	Opened   OpenedSum
	Figures  bool // plausibility was not looked at
	Bad      []Bad
}

// Bad is a job that could not be read.
type Bad struct {
	Place  string   // the input, and the job in it
	Faults []string // one line each
	More   int      // faults beyond those
}

// Builder takes in summaries one after the other, in the order of the inputs. What of a job is only needed to be set beside
// other jobs, its rows and its candidates for the sample, it takes over and does not leave in the job.
type Builder struct {
	opt    Options
	review Review
	crews  map[string]*Tally
	kinds  map[string]*Tally
	months map[string]*Tally
	pool   [strata][]drawn // candidates for the sample
	rows   *rowTable
}

// NewBuilder returns a review of nothing yet.
func NewBuilder(opt Options) *Builder {
	return &Builder{
		opt: opt, rows: newRowTable(), crews: map[string]*Tally{}, kinds: map[string]*Tally{}, months: map[string]*Tally{},
		review: Review{Tally: newTally(), Asks: opt.Asks, Figures: opt.Figures},
	}
}

// Add takes in a job.
func (b *Builder) Add(j *Job) {
	b.hand(j, len(b.review.Jobs))
	b.review.Jobs = append(b.review.Jobs, j)
	b.rows.add(j)
	b.review.Tally.add(&j.Tally)
	into(b.crews, j.Crew, &j.Tally)
	into(b.months, j.Date[:min(7, len(j.Date))], &j.Tally) // "2026-05" of "2026-05-17"; empty where no day is known
	for i := range j.Sections {
		t := j.Sections[i].Tally
		t.Jobs = 1
		into(b.kinds, j.Sections[i].Kind, &t)
	}
}

// Fail takes in a job that could not be read.
func (b *Builder) Fail(bad Bad) { b.review.Bad = append(b.review.Bad, bad) }

// Finish sets everything side by side. Findings come before the sample, as a job that something speaks against is a class of
// its own there.
func (b *Builder) Finish() *Review {
	r := &b.review
	tellApart(r.Jobs)
	r.Pass = r.Tally.Pass()
	r.Crews, r.Kinds, r.Months = groups(b.crews), groups(b.kinds), groups(b.months)
	if !b.opt.Figures {
		r.plausibility(b.rows)
		b.rows = nil
	}
	r.Opened = sumOpened(r.Jobs)
	if b.opt.Inspect > 0 {
		r.Sample = drawSample(r, &b.pool, b.opt)
	}
	return r
}

// into adds a tally to that of a name.
func into(by map[string]*Tally, name string, t *Tally) {
	if by[name] == nil {
		none := newTally()
		by[name] = &none
	}
	by[name].add(t)
}

// Level is the level of intervals and of the inner funnel limits, and OuterLevel that of the outer ones.
const (
	Level      = 0.95
	OuterLevel = 0.998
)

// Group are the jobs of one crew, section kind or month. Figures are over bays, so a large job weighs as it should.
type Group struct {
	Name   string // empty where the jobs do not say
	Tally  Tally
	Pass   Rate
	Shrunk float64 // share of CLOSE, drawn towards the other groups as far as few bays ask for; NaN without bays
	// The funnel: where the share of a group of this size lies if it is like all together.
	Lo, Hi, OuterLo, OuterHi float64
	Outside                  int // -2, -1, 1, 2: below or above the inner or the outer limits; 0 within
}

// Rate is a share of bays, K of N, with its Wilson interval at Level.
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

// Pass is the share of the filled bays that are CLOSE: of a section, a job or all jobs.
func (t *Tally) Pass() Rate { return newRate(int(t.Close), int(t.Filled)) }

// groups sorts tallies by name and sets each against all together: its share of CLOSE with an interval, the share drawn
// towards the others by the beta distribution fitted to all of them, and the limits within which a group of so many bays
// lies at the two levels if it is like all.
func groups(by map[string]*Tally) []Group {
	names := slices.Sorted(maps.Keys(by))
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
		switch p := g.Pass.Share(); {
		case p < g.OuterLo:
			g.Outside = -2
		case p < g.Lo:
			g.Outside = -1
		case p > g.OuterHi:
			g.Outside = 2
		case p > g.Hi:
			g.Outside = 1
		}
		out[i] = g
	}
	return out
}

// Warning is one kind of warning that the reader gave on a job's files.
type Warning struct {
	Code, Text string // of the first of its kind
	File       string // where that stands; empty where no place is known
	Line       int    // from 1; 0 when the whole file is meant
	Count      int    // how many of its kind
}

// warningsOf keeps the first warning of every kind and counts the rest; nil where there is none. Its texts are no part of a row,
// and what is said of a file of many jobs is one text for all of them.
func warningsOf(warnings []model.Warning) []Warning {
	var out []Warning
next:
	for i := range warnings {
		w := &warnings[i]
		for k := range out {
			if out[k].Code == w.Code {
				out[k].Count++
				continue next
			}
		}
		out = append(out, Warning{w.Code, w.Text, w.Src.File, w.Src.Line, 1})
	}
	return out
}

// tellApart adds where it was found to the name of every job that shares it with another.
func tellApart(jobs []*Job) {
	with := make(map[string]int, len(jobs))
	for _, j := range jobs {
		with[j.Name]++
	}
	for _, j := range jobs {
		if with[j.Name] > 1 {
			j.Name += " (" + j.At.Input + ")"
		}
	}
}
