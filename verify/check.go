package verify

import (
	"iter"
	"math"

	"bayproof/model"
	"bayproof/verify/crew"
	"bayproof/verify/measure"
	"bayproof/verify/stat"
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

// Check finds out everything about a job. It changes nothing in the job; the findings point into it and are the caller's to
// keep. A job without bays gives findings without bays.
func Check(job *model.Job, opts Options) *Findings {
	c := measured(job, opts)
	if c.rule == model.RuleProcess {
		c.found.Priors = Priors()
	}
	for s := range c.sections {
		c.decide(s)
	}
	for i := range job.Bays {
		c.judgeBay(i)
	}
	c.pool()
	c.warn()
	c.advise()
	c.history()
	c.total()
	return c.found
}

// check is a job being checked: what was measured, what was decided about it, and the findings as they come together.
type check struct {
	job      *model.Job
	opts     Options
	rule     model.Rule
	measured *measure.Measured
	sections []sectionLots
	found    *Findings
	factor   expansion
	used     float64 // bags that the log's rows used, over sections with a filled bay
	usedVar  float64 // bags², its variance
}

// sectionLots are the lots of one section in fill order and what a rule decided about each. A section's verdicts rest on
// these alone, so a section can be judged by itself.
type sectionLots struct {
	of      *model.Section
	lots    []measure.Lot
	decided []decision // one a lot, for the rule to fill in
	named   []bool     // lots that say nothing about the crew: over-full, or of a swapped pair; nil under rule guarded
	out     *Section   // Mean, SD, LowerTolerance, Drift and Reasons are the rule's to set
}

// decision is what a rule says about one lot.
type decision struct {
	prob                    float64 // P(density ≥ target): decides
	basis                   Basis
	blind                   float64 // shares of a bay's length; NaN where the rule has none
	empty, emptyLo, emptyHi float64
	reasons                 []Reason // suspicions that rest on the crew's other bays
}

// measured starts a check: the job is measured, and nothing is decided yet.
func measured(job *model.Job, opts Options) *check {
	rule := job.Settings.Rule
	c := &check{
		job: job, opts: opts, rule: rule,
		measured: measure.Of(job, measure.Options{Budget: opts.Budget}),
		sections: make([]sectionLots, len(job.Sections)),
		found:    &Findings{Job: job, RuleUsed: rule, Bays: make([]Bay, len(job.Bays)), Sections: make([]Section, len(job.Sections))},
	}
	decided := make([]decision, len(c.measured.Lots))
	for s, r := range c.measured.Sections {
		c.sections[s] = sectionLots{
			of: job.Sections[s], lots: c.measured.Lots[r.From:r.To], decided: decided[r.From:r.To], out: &c.found.Sections[s],
		}
	}
	return c
}

// lotOf returns the lot that a bay (by its place in the job) is in, and what was decided about it; nil while it is not filled.
func (c *check) lotOf(bay int) (*measure.Lot, *decision) {
	k := c.measured.LotOf[bay]
	if k < 0 {
		return nil, nil
	}
	s := c.measured.SectionOf(bay)
	return &c.measured.Lots[k], &c.sections[s].decided[k-c.measured.Sections[s].From]
}

// baysOf goes through the bays of a section that were not withdrawn, in the log's order.
func (c *check) baysOf(section int) iter.Seq2[int, *Bay] {
	return func(yield func(int, *Bay) bool) {
		for i := range c.found.Bays {
			if b := &c.found.Bays[i]; c.measured.SectionOf(i) == section && b.State != Struck && !yield(i, b) {
				return
			}
		}
	}
}

// decide lets the job's rule decide about the lots of one section. It rests on what was measured and on no other
// section's decisions. Rule guarded takes the measurement alone: nothing that rests on the crew's other bays is looked at,
// and the findings say so.
func (c *check) decide(section int) {
	s := &c.sections[section]
	guarded(s)
	if c.rule == model.RuleProcess {
		c.process(s)
	}
}

// guarded decides by the measurement alone (JCGM 106, decision with a guard band): prob_at_target is prob_measured.
// Its blind length is that of the lot's own uncertainty around the aim, as nothing is known of the crew's other bays.
func guarded(s *sectionLots) {
	none := math.NaN()
	for i := range s.lots {
		l, st := &s.lots[i], &s.of.Settings
		s.decided[i] = decision{
			prob: stat.ProbAtLeast(l.Density, l.U, l.DOF, st.Target), basis: Own, blind: BlindFactor * l.U / st.Aim,
			empty: none, emptyLo: none, emptyHi: none,
		}
	}
	s.out.Mean, s.out.SD, s.out.LowerTolerance = none, none, none
}

// process decides with the crew's other bays as evidence (JCGM 106, prior knowledge of the process), and raises what
// only those can show: bays short of the crew, over-full ones, swapped neighbours, drift. A lot that its own measurement
// shows to reach the target rests on that.
func (c *check) process(s *sectionLots) {
	st := &s.of.Settings
	odds := stalledAtZero(s.lots)
	seen := crew.Seen{Odds: odds, Unordered: c.job.OrderDoubtful}
	r := crew.Judge(s.lots, st.Target, seen)
	before := r // without the top-ups of nothing
	if odds != nil {
		seen.Odds = nil
		before = crew.Judge(s.lots, st.Target, seen)
	}
	s.named = r.Named
	for i := range s.lots {
		d, p := &s.decided[i], &r.Lots[i]
		if d.prob < st.Confidence || math.IsNaN(d.prob) {
			d.basis = Crew
		}
		d.prob, d.blind = p.ProbAtTarget, p.Blind
	}
	if r.Process.Lots > 0 {
		s.out.Mean, s.out.SD, s.out.LowerTolerance = r.Process.Mean, r.Process.SD, r.Process.LowerTolerance
	}
	c.suspectCrew(s, &r, &before)
	s.out.Drift = c.drift(s, &r)
}

// ZeroStallOdds is the factor on the odds of a void after the tube was run again, stalled, and nothing went in.
const ZeroStallOdds = 0.25

// stalledAtZero returns for each lot the factor on the odds of its being bad that its top-ups of nothing give; nil where
// there are none. A second run of the same tube in the same bay says the same thing again: it counts once.
func stalledAtZero(lots []measure.Lot) []float64 {
	// nil lets the posterior be computed once: with odds it is computed without them too, to tell what they answered.
	var odds []float64
	for i := range lots {
		if zeroStall(&lots[i]) == nil {
			continue
		}
		if odds == nil {
			odds = make([]float64, len(lots))
			for k := range odds {
				odds[k] = 1
			}
		}
		odds[i] = ZeroStallOdds
	}
	return odds
}

// zeroStall returns the row of a lot that says that the tube was run again, stalled, and nothing went in. Where bays share
// a count every one of them must have such a row. Nothing that went in later may stand after it.
func zeroStall(l *measure.Lot) *model.Entry {
	var row *model.Entry
	for _, b := range l.Bays {
		row = nil
		for _, e := range b.Rows {
			if !inForce(b, e) || e.Kind != model.EntryTopup {
				continue
			}
			if row = nil; e.Stall == model.Yes && e.Material.AddsNothing() {
				row = e
			}
		}
		if row == nil {
			return nil
		}
	}
	return row
}

// num is one number of the evidence, in the unit of its dimension.
func num(key string, value float64, dim Dim) Datum { return Datum{Key: key, Value: value, Dim: dim} }

// named is one name of the evidence.
func named(key, text string) Datum { return Datum{Key: key, Text: text, Dim: Name} }
