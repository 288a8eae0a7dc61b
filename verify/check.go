package verify

import (
	"math"

	"bayproof/model"
	"bayproof/verify/measure"
)

// Options say which costly parts of the findings are wanted. The zero value gives verdicts, reasons, sections and totals
// only; All gives everything but Logged.
type Options struct {
	Budget   bool   // shares of the inputs in every bay's variance
	Charts   bool   // the density along the fill order, bay by bay
	Advice   bool   // actions and advice that are found by recomputing
	AdviceIn string // the section that Advice is wanted for; empty for all
	Closings bool   // verdicts as they stood at each `closed` row, amendments after a verdict, reasons that went away
	Logged   bool   // the verdict right after each fill, by recomputing the job row by row
}

// All asks for everything that a record shows.
func All() Options { return Options{Budget: true, Charts: true, Advice: true, Closings: true} }

// Check finds out everything about a job. It changes nothing in the job; the findings point into it. A job without bays
// gives findings without bays.
func Check(job *model.Job, opts Options) *Findings {
	return new(Checker).Check(job, opts)
}

// Checker checks jobs one after the other and takes its memory again for the next: findings that came out of it are good
// until then. Its zero value is ready; it is not for several goroutines at once.
type Checker struct{ work work }

// Check is as the function of that name.
func (c *Checker) Check(job *model.Job, opts Options) *Findings {
	w := &c.work
	w.start(job, opts)
	w.decide()
	for i := range job.Bays {
		w.judgeBay(i)
	}
	w.f.RuleUsed = w.rule
	w.pool()
	w.warn()
	w.advise()
	w.history()
	w.total()
	return w.f
}

// work is a job on the table. It may be started again with another job.
type work struct {
	job     *model.Job
	opts    Options
	rule    model.Rule
	m       measure.Measured
	f       *Findings
	benches []bench    // by section
	out     []decision // by lot
	room    ledger
	factor  expansion
	fixed   []Constant // the statements of rule process, once needed
	inputs  listing    // of which nothing was read twice
	used    float64    // bags that the log's rows used, and their variance
	uUsed2  float64
}

// start measures the job and lays out the findings, in the memory of the job before.
func (w *work) start(job *model.Job, opts Options) {
	w.job, w.opts, w.rule, w.used, w.uUsed2 = job, opts, ruleOf(job), 0, 0
	w.m.Measure(job, measure.Options{Budget: opts.Budget})
	if w.f == nil {
		w.f = new(Findings)
	}
	*w.f = Findings{
		Job: job, RuleUsed: w.rule,
		Bays:     measure.Zeroed(w.f.Bays, len(job.Bays)),
		Sections: measure.Zeroed(w.f.Sections, len(job.Sections)),
		Warnings: w.f.Warnings[:0],
	}
	w.benches = measure.Zeroed(w.benches, len(job.Sections))
	w.out = measure.Zeroed(w.out, len(w.m.Lots))
	w.room.reset(len(w.m.Lots))
	for s, r := range w.m.Sections {
		w.benches[s] = bench{
			sec: job.Sections[s], lots: w.m.Lots[r.From:r.To], out: w.out[r.From:r.To], section: &w.f.Sections[s],
		}
	}
}

// bench is one section's measurement, ready for a rule.
type bench struct {
	sec     *model.Section
	lots    []measure.Lot // in fill order
	out     []decision    // one a lot, for the rule to fill in
	named   []bool        // lots that say nothing about the crew: over-full, or of a swapped pair
	section *Section      // Mean, SD, LowerTolerance, Drift and Reasons are the rule's to set
}

// decision is what a rule says about one lot.
type decision struct {
	prob                    float64 // P(density ≥ target): decides
	basis                   Basis
	blind                   float64 // shares of a bay's length; NaN where the rule has none
	empty, emptyLo, emptyHi float64
	reasons                 []Reason // suspicions that rest on the crew's other bays
}

// lotOf returns the lot of a bay and what was decided about it; nil while it is not filled.
func (w *work) lotOf(i int) (*measure.Lot, *decision) {
	k := w.m.LotOf[i]
	if k < 0 {
		return nil, nil
	}
	s := w.m.SectionOf(i)
	from := w.m.Sections[s].From
	return &w.m.Lots[k], &w.benches[s].out[k-from]
}

// missing marks the figures that a bay does not have.
func (b *Bay) missing() {
	n := math.NaN()
	b.Mass, b.Bags = n, n
	b.noDensity()
}

// noDensity marks what a bay does not have whose volume or mass is not known.
func (b *Bay) noDensity() {
	n := math.NaN()
	b.Density, b.U, b.DOF, b.Lo, b.Hi = n, n, n, n, n
	b.ProbMeasured, b.ProbAtTarget, b.Basis = n, n, Own
	b.noLengths()
}

// noLengths marks what only some bays have.
func (b *Bay) noLengths() {
	n := math.NaN()
	b.AddMass, b.AddBags, b.AddDensity = n, n, n
	b.EmptyLength, b.EmptyLengthLo, b.EmptyLengthHi, b.BlindLength = n, n, n, n
}
