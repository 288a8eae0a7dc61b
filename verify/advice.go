package verify

import (
	"math"

	"bayproof/model"
	"bayproof/verify/crew"
	"bayproof/verify/measure"
	"bayproof/verify/stat"
)

// adviseSection works out, by recomputing, what would settle the section's bays: for MEASURE the weight that would close
// it, for ADD what to look at if the bay will not take it, and for the next bay what would have settled this one.
func (w *work) adviseSection(s int) {
	a := w.newAdvisor(s)
	if a == nil {
		return
	}
	for i := range w.f.Bays {
		b := &w.f.Bays[i]
		if w.m.SectionOf(i) != s || b.State == Struck || b.State == NotFilled {
			continue
		}
		switch b.Verdict {
		case Measure:
			w.adviseMeasure(a, b, i)
		case Add:
			w.adviseAdd(b)
		}
		if r := find(b.Reasons, NotShown); r != nil && !r.IsAnswered() {
			b.NextBay = w.nextBay(a, b, i)
		}
	}
}

// advisor holds what the other bays of a section say about each lot that is not settled.
type advisor struct {
	bench   *bench
	from    int   // number of the section's first lot
	seat    []int // by lot of the bench: its place in seats, −1 for none
	seats   []crew.Predictive
	seen    crew.Seen
	open    []float64 // by lot: probability if it is left open while the next bays are logged; nil where none is to come
	running []float64 // by lot: probability if the counts had run on; nil until asked
	more    int       // bays that are to come
	above   float64   // kg/m³: by how much the lot at hand is likely denser than it reads
}

// newAdvisor returns nil where no lot of the section is unsettled.
func (w *work) newAdvisor(s int) *advisor {
	b := &w.benches[s]
	a := &advisor{bench: b, from: int(w.m.Sections[s].From), seat: make([]int, len(b.lots))}
	conf := b.sec.Settings.Confidence
	var which []int
	add := false
	for k := range b.lots {
		a.seat[k] = -1
		if p := b.out[k].prob; p < conf && p > 1-conf {
			a.seat[k] = len(which)
			which = append(which, k)
		}
		add = add || b.out[k].prob <= 1-conf
	}
	if len(which) == 0 && !add {
		return nil
	}
	a.seen.Odds, _ = stalledAtZero(b.lots)
	a.seen.Unordered = w.job.OrderDoubtful
	if len(which) > 0 && w.rule == model.RuleProcess {
		a.seats = crew.Predict(b.lots, b.sec.Settings.Target, a.seen, b.named, which)
		a.more = w.toCome(s)
		a.open = a.leftOpen()
	}
	return a
}

// toCome is the number of bays of a section that are not filled yet, as far as the log and the sections table know.
func (w *work) toCome(s int) int {
	filled, log := 0, 0
	for i := range w.f.Bays {
		if b := &w.f.Bays[i]; w.m.SectionOf(i) == s && b.State != Struck {
			log++
			if b.State != NotFilled {
				filled++
			}
		}
	}
	return max(log, w.job.Sections[s].Expected) - filled
}

// lot is the place of a bay's lot in the bench.
func (a *advisor) lot(w *work, bay int) int { return int(w.m.LotOf[bay]) - a.from }

// prob is the probability that a lot would have after a change: by its seat under rule process, by itself under guarded.
func (a *advisor) prob(k int, c crew.Change) float64 {
	l := &a.bench.lots[k]
	if a.seats != nil && a.seat[k] >= 0 {
		p, _ := a.seats[a.seat[k]].Prob(c)
		return p
	}
	u2 := l.U*l.U + c.Var
	if c.Whole {
		u2 = c.Var + l.Common*l.Common
	}
	return stat.ProbAtLeast(l.Density+c.Add, math.Sqrt(u2), l.DOF, a.bench.sec.Settings.Target)
}

// blown is the change that so much more mass makes, weighed: the sizes' part of the variance grows with the density.
func blown(l *measure.Lot, mass, within float64) crew.Change {
	add := mass / l.Volume
	grow := 0.0
	if l.Density > 0 {
		grow = square(1+add/l.Density) - 1
	}
	return crew.Change{Add: add, Var: l.Own*l.Own*grow + square(within/l.Volume)/3}
}

// closingMass is the least mass, weighed, that would bring a lot to the confidence, in kg; NaN where none below the
// ceiling does. A less certain total leans more on the crew and may for that alone look surer; so the mass must do
// with an exact scale too.
func (a *advisor) closingMass(k int) float64 {
	l, st := &a.bench.lots[k], &a.bench.sec.Settings
	closes := func(mass float64) bool {
		return a.prob(k, blown(l, mass, st.WeighWithin)) >= st.Confidence && a.prob(k, blown(l, mass, 0)) >= st.Confidence
	}
	lo, hi := 0.0, (st.Ceiling-l.Density)*l.Volume
	if !(hi > 0) || !closes(hi) {
		return math.NaN()
	}
	for range 14 {
		if mid := (lo + hi) / 2; closes(mid) {
			hi = mid
		} else {
			lo = mid
		}
	}
	return hi
}
