package verify

import (
	"fmt"
	"math"
	"slices"
	"strings"

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

// ruleOf is the rule that decides this job.
func ruleOf(job *model.Job) model.Rule { return job.Settings.Rule }

// decide lets the job's rule decide about every lot of every section. Rule guarded takes the measurement alone: nothing
// that rests on the crew's other bays is looked at, and the findings say so.
func (w *work) decide() {
	if w.rule == model.RuleProcess {
		w.f.Priors = w.priors()
	}
	for s := range w.benches {
		w.decideSection(s)
	}
}

// decideSection decides about one section; it rests on what was measured and on no other section's decisions.
func (w *work) decideSection(s int) {
	guarded(&w.benches[s])
	if w.rule == model.RuleProcess {
		w.process(&w.benches[s])
	}
}

// guarded decides by the measurement alone (JCGM 106, decision with a guard band): prob_at_target is prob_measured.
// Its blind length is that of the lot's own uncertainty around the aim, as nothing is known of the crew's other bays.
func guarded(b *bench) {
	target, aim := b.sec.Settings.Target, b.sec.Settings.Aim
	for i := range b.lots {
		l, d := &b.lots[i], &b.out[i]
		d.prob, d.basis = stat.ProbAtLeast(l.Density, l.U, l.DOF, target), Own
		d.blind = BlindFactor * l.U / aim
		d.empty, d.emptyLo, d.emptyHi, d.reasons = math.NaN(), math.NaN(), math.NaN(), nil
	}
	b.section.Mean, b.section.SD, b.section.LowerTolerance = math.NaN(), math.NaN(), math.NaN()
}

// process decides with the crew's other bays as evidence (JCGM 106, prior knowledge of the process), and raises what
// only those can show: bays short of the crew, over-full ones, swapped neighbours, drift.
func (w *work) process(b *bench) {
	st := &b.sec.Settings
	odds, any := stalledAtZero(b.lots)
	seen := crew.Seen{Odds: odds, Unordered: w.job.OrderDoubtful}
	r := crew.Judge(b.lots, st.Target, seen)
	before := r
	if any {
		seen.Odds = nil
		before = crew.Judge(b.lots, st.Target, seen)
	}
	b.named = r.Named
	for i := range b.lots {
		w.decideLot(b, i, &r.Lots[i])
	}
	if r.Process.Lots > 0 {
		b.section.Mean, b.section.SD = r.Process.Mean, r.Process.SD
		b.section.LowerTolerance = r.Process.LowerTolerance
	}
	w.suspectCrew(b, &r, &before)
	b.section.Drift = w.drift(b, &r)
}

// decideLot takes a lot's probability and lengths over from the posterior.
func (w *work) decideLot(b *bench, i int, p *crew.Posterior) {
	d := &b.out[i]
	d.blind, d.empty, d.emptyLo, d.emptyHi = p.Blind, math.NaN(), math.NaN(), math.NaN()
	own := d.prob // of the measurement alone
	d.prob, d.basis = p.ProbAtTarget, Crew
	if own >= b.sec.Settings.Confidence {
		d.basis = Own
	}
}

// ZeroStallOdds is the factor on the odds of a void after the tube was run again, stalled, and nothing went in.
const ZeroStallOdds = 0.25

// stalledAtZero returns for each lot the factor on the odds of its being bad that its top-ups of nothing give, and
// whether there was any. A second run of the same tube in the same bay says the same thing again: it counts once.
func stalledAtZero(lots []measure.Lot) (odds []float64, any bool) {
	for i := range lots {
		row := zeroStall(&lots[i])
		if row == nil {
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
	return odds, odds != nil
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

// priors lists what the rule rests on besides the log, with sources: its prior statements, then the limits of suspicion.
func (w *work) priors() []Constant {
	if w.fixed != nil {
		return w.fixed
	}
	for _, p := range append(crew.Priors(), crew.Limits()...) {
		w.fixed = append(w.fixed, Constant{Name: p.Name, Value: p.Value, Unit: p.Unit, Source: p.Source, Use: p.Use})
	}
	w.fixed = append(w.fixed, Constant{Name: "top-up of nothing", Value: fmt.Sprint(ZeroStallOdds), Unit: "factor on the odds",
		Source: "this tool's own: a second run of the tube that stalls at once misses one void in four", Use: "short-of-crew, once a bay"})
	return w.fixed
}

// ledger is the room that the findings take their small slices from. What was handed out is never moved or shared, until it is reset.
type ledger struct {
	reasons []Reason
	data    []Datum
	open    []Reason // reasons of the bay at hand
}

// reset makes room for what the bays of an ordinary job need, where that of the job before does not do.
func (l *ledger) reset(lots int) {
	l.reasons, l.data, l.open = l.reasons[:0], l.data[:0], l.open[:0]
	if cap(l.data) < 2*lots+8 {
		l.reasons, l.data, l.open = make([]Reason, 0, lots/2+4), make([]Datum, 0, 2*lots+8), make([]Reason, 0, 4)
	}
}

// datums keeps the data of a reason.
func (l *ledger) datums(d ...Datum) []Datum {
	from := len(l.data)
	l.data = append(l.data, d...)
	return l.data[from:len(l.data):len(l.data)]
}

// add opens a reason for the bay at hand.
func (l *ledger) add(code Code, d ...Datum) *Reason {
	l.open = append(l.open, Reason{Code: code, Data: l.datums(d...)})
	return &l.open[len(l.open)-1]
}

// close keeps the open reasons and makes room for the next bay's.
func (l *ledger) close() []Reason {
	if len(l.open) == 0 {
		return nil
	}
	from := len(l.reasons)
	l.reasons = append(l.reasons, l.open...)
	l.open = l.open[:0]
	return l.reasons[from:len(l.reasons):len(l.reasons)]
}

// listing is a list of names as one text, kept for the next job, which mostly has the same.
type listing struct {
	names []string
	text  string
}

// list is the names with commas between.
func (l *listing) list(names []string) string {
	if !slices.Equal(l.names, names) {
		l.names, l.text = slices.Clone(names), strings.Join(names, ", ")
	}
	return l.text
}
