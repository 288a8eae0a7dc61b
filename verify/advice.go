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
	return max(log, w.job.Sections[s].Expected-leftIn(w.job, w.job.Sections[s])) - filled
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
