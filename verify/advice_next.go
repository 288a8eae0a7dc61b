package verify

import (
	"math"

	"bayproof/verify/crew"
	"bayproof/verify/measure"
)

// nextBay says what, done at this bay, would have settled it, by recomputing: the least trouble that reaches the
// confidence comes first; where none does, what comes nearest. It is nothing that the crew does already. A finer way is
// taken to have read what all evidence now holds for the bay's most likely density.
func (w *work) nextBay(a *advisor, b *Bay, bay int) Advice {
	k := a.lot(w, bay)
	var best Advice
	a.above = a.expected(k)
	for _, way := range [...]func(*work, *advisor, *Bay, int) Advice{runOn, finerStep, threeDepths, eachMeasured, weighed} {
		next := way(w, a, b, k)
		switch {
		case next.Input == "" || math.IsNaN(next.Prob):
		case next.Prob >= a.bench.sec.Settings.Confidence:
			return next
		case next.Prob > best.Prob+0.005 && next.Prob > b.ProbAtTarget:
			best = next
		}
	}
	return best
}

// expected is by how much a lot's density is likely above what it reads.
func (a *advisor) expected(k int) float64 {
	if a.seats == nil || a.seat[k] < 0 {
		return 0
	}
	_, above := a.seats[a.seat[k]].Mean()
	return above
}

// runOn: the same counts kept running from bay to bay.
func runOn(w *work, a *advisor, b *Bay, k int) Advice {
	l := &a.bench.lots[k]
	if len(l.Terms) > 0 || !(l.Count > 0) || a.seats == nil {
		return Advice{}
	}
	if a.running == nil {
		a.running = a.asRunning(w)
	}
	return Advice{Input: "counting", Prob: a.running[k]}
}

// afresh numbers readings that no counter has.
const afresh = 1 << 30

// asRunning recomputes the section as if its counts had been read off one running counter: the same steps, each reading
// shared by the two bays beside it.
func (a *advisor) asRunning(w *work) []float64 {
	lots := append([]measure.Lot(nil), a.bench.lots...)
	for k := range lots {
		l := &lots[k]
		if !(l.Count > 0) || len(l.Terms) > 0 || math.IsNaN(l.Bags) {
			continue
		}
		coef, u := w.m.Bag.Mass/l.Volume, a.step(w)/math.Sqrt(12)
		l.Count, l.Interval = 0, 0
		l.Terms = []measure.Term{{Reading: afresh + k, Coef: -coef, U: u}, {Reading: afresh + k + 1, Coef: coef, U: u}}
	}
	r := crew.Judge(lots, a.bench.sec.Settings.Target, a.seen)
	out := make([]float64, len(lots))
	for k := range out {
		out[k] = r.Lots[k].ProbAtTarget
	}
	return out
}

// step is the step of a bag that the section's counts are reckoned with.
func (a *advisor) step(w *work) float64 {
	for s := range w.benches {
		if &w.benches[s] == a.bench {
			return w.m.Steps[s].Used
		}
	}
	return a.bench.sec.Settings.BagStep
}

// finerStep: the bags read to half the step.
func finerStep(w *work, a *advisor, b *Bay, k int) Advice {
	l := &a.bench.lots[k]
	step := a.step(w)
	if step < 0.2 || !(l.Count > 0) && len(l.Terms) == 0 {
		return Advice{}
	}
	count := l.Count*l.Count + variance(l)
	c := crew.Change{Add: a.above, Var: -0.75 * count}
	if l.Interval > 0 {
		c = crew.Change{Add: a.above, Whole: true, Var: l.Own*l.Own + count/4}
	}
	return Advice{Input: "bag_step", Data: w.room.datums(Datum{Key: "step", Value: step / 2, Dim: Bags}), Prob: a.prob(k, c)}
}

// threeDepths: the depth read at three places instead of so many as it was.
func threeDepths(w *work, a *advisor, b *Bay, k int) Advice {
	return Advice{Input: "depth", Prob: a.withoutScatter(b, k, "depth")}
}

// withoutScatter is the probability if a size had been read at three places: two thirds of what its readings scatter falls
// away, what the tape's readings share stays. NaN where the scatter of its readings is not known.
func (a *advisor) withoutScatter(b *Bay, k int, input string) float64 {
	l := &a.bench.lots[k]
	for _, s := range b.Budget {
		if s.Input == input {
			scatter := s.Share*l.U*l.U - square(l.Tape[measure.Depth])
			if scatter <= 1e-9*l.U*l.U {
				return math.NaN()
			}
			return a.prob(k, crew.Change{Add: a.above, Var: -scatter * 2 / 3})
		}
	}
	return math.NaN()
}

// eachMeasured: the bay's own sizes measured instead of taken over.
func eachMeasured(w *work, a *advisor, b *Bay, k int) Advice {
	l := &a.bench.lots[k]
	for _, s := range b.Budget {
		if s.Input == "ditto" {
			return Advice{Input: "ditto", Prob: a.prob(k, crew.Change{Add: a.above, Var: -s.Share * l.U * l.U})}
		}
	}
	return Advice{}
}

// weighed: the part bag weighed instead of read off.
func weighed(w *work, a *advisor, b *Bay, k int) Advice {
	l := &a.bench.lots[k]
	if !(l.Count > 0) && len(l.Terms) == 0 {
		return Advice{}
	}
	within := a.bench.sec.Settings.WeighWithin
	whole := l.Own*l.Own + square(within/l.Volume)/3
	return Advice{Input: "weight", Data: w.room.datums(Datum{Key: "within", Value: within, Dim: Mass}), Prob: a.prob(k, crew.Change{Add: a.above, Whole: true, Var: whole})}
}
