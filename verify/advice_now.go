package verify

import (
	"math"

	"bayproof/verify/crew"
	"bayproof/verify/measure"
	"bayproof/verify/stat"
)

// adviseMeasure says what would close a bay whose target is not shown: the weight that, blown in to the stall, would do
// it; where to put the rod if it takes none; how many bays more, logged like the others, may settle it. A bay whose tube
// was run again already and took nothing is not told to run it once more.
func (w *work) adviseMeasure(a *advisor, b *Bay, bay int) {
	k := a.lot(w, bay)
	if b.Now.Code != ActBlowToStall {
		return
	}
	open := a.opens(k)
	if zeroStall(&a.bench.lots[k]) != nil {
		b.Now = w.afterZero(a, b, k, open)
		return
	}
	var d []Datum
	if mass := a.closingMass(k); !math.IsNaN(mass) {
		d = append(d, Datum{Key: "mass", Value: mass, Dim: Mass})
	}
	if none := a.prob(k, crew.Change{Odds: ZeroStallOdds}); none >= a.bench.sec.Settings.Confidence {
		d = append(d, Datum{Key: "prob_none", Value: none, Dim: Probability})
	}
	d = append(d, open...)
	b.Now.Data = w.room.datums(append(d, w.places(b)...)...)
}

// afterZero is what is left when the tube was run again, stalled, and nothing went in: readings of the depth where they
// may settle it, the bays to come, else the depth all the same, as the bay will take nothing more.
func (w *work) afterZero(a *advisor, b *Bay, k int, open []Datum) Action {
	a.above = a.expected(k)
	depth := a.withoutScatter(b, k, "depth")
	switch {
	case depth >= a.bench.sec.Settings.Confidence:
		return Action{Code: ActMeasureDepth, Data: w.room.datums(Datum{Key: "prob", Value: depth, Dim: Probability})}
	case open != nil:
		return Action{Code: ActLeaveOpen, Data: w.room.datums(open...)}
	}
	return Action{Code: ActMeasureDepth, Data: w.room.datums(w.places(b)...)}
}

// opens is the evidence that the bays to come may settle a lot; nil where they will not.
func (a *advisor) opens(k int) []Datum {
	if a.open == nil || !(a.open[k] >= a.bench.sec.Settings.Confidence) {
		return nil
	}
	return []Datum{{Key: "open_bays", Value: float64(a.more)}, {Key: "prob_open", Value: a.open[k], Dim: Probability}}
}

// leftOpen recomputes the section as if the bays to come were logged, packed and measured like the others: their readings
// stand at even quantiles of N(μ, τ² + u²). It returns each lot's probability then; nil where none is to come.
func (a *advisor) leftOpen() []float64 {
	n := len(a.bench.lots)
	if a.more <= 0 || n == 0 || math.IsNaN(a.bench.section.Mean) {
		return nil
	}
	like := a.bench.lots[n-1]
	like.Terms = nil
	if count := variance(&a.bench.lots[n-1]); count > 0 {
		like.Count = math.Hypot(like.Count, math.Sqrt(count))
	}
	s := a.bench.section
	spread := math.Sqrt(s.SD*s.SD + like.Own*like.Own + like.Count*like.Count)
	lots := append([]measure.Lot(nil), a.bench.lots...)
	more := min(a.more, mostToCome)
	for i := range more {
		next := like
		next.Density = s.Mean + spread*stat.NormalQuantile((float64(i)+0.5)/float64(more))
		lots = append(lots, next)
	}
	seen := a.seen
	if seen.Odds != nil {
		seen.Odds = append([]float64(nil), seen.Odds...)
		for len(seen.Odds) < len(lots) {
			seen.Odds = append(seen.Odds, 1)
		}
	}
	r := crew.Judge(lots, a.bench.sec.Settings.Target, seen)
	out := make([]float64, n)
	for k := range out {
		out[k] = r.Lots[k].ProbAtTarget
	}
	return out
}

// mostToCome bounds the bays to come that are reckoned with.
const mostToCome = 24

// variance is what the readings of a running counter bring to a lot's variance.
func variance(l *measure.Lot) float64 {
	sum := 0.0
	for _, t := range l.Terms {
		sum += square(t.Coef * t.U)
	}
	return sum
}

// adviseAdd adds what to look at if the bay will not take what it lacks.
func (w *work) adviseAdd(b *Bay) {
	if b.Now.Code != ActAdd {
		return
	}
	d := append([]Datum(nil), b.Now.Data...)
	if r := find(b.Reasons, Reach); r == nil || r.IsAnswered() {
		d = append(d, place(BeyondMark, nil)...)
	}
	b.Now.Data = w.room.datums(append(append(d, place(ByHole, nil)...), place(Obstacles, nil)...)...)
}
