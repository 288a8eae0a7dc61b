package verify

import (
	"fmt"
	"math"

	"bayproof/model"
	"bayproof/verify/crew"
	"bayproof/verify/measure"
)

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
