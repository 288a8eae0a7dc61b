package verify

import (
	"math"
	"slices"

	"bayproof/model"
	"bayproof/verify/crew"
	"bayproof/verify/measure"
	"bayproof/verify/stat"
)

// advise works out, by recomputing, what would settle a section's bays: for MEASURE the weight that would close it, for
// ADD what to look at if the bay will not take it, and for the next bay what would have settled this one.
func (c *check) advise() {
	if !c.opts.Advice {
		return
	}
	for s := range c.sections {
		if only := c.opts.AdviceIn; only == "" || only == c.sections[s].of.Name {
			c.adviseSection(s)
		}
	}
}

// adviseSection replaces the plain actions of a section's bays that have an answer by recomputing. Only a bay whose target is
// not shown is told what would have settled it.
func (c *check) adviseSection(s int) {
	a := c.newAdvisor(s)
	if a == nil {
		return
	}
	for i, b := range c.baysOf(s) {
		if !b.Judged() {
			continue
		}
		k := int(c.measured.LotOf[i] - c.measured.Sections[s].From)
		switch b.Now.Code {
		case ActBlowToStall:
			b.Now = a.blowToStall(b, k)
		case ActAdd:
			b.Now.Data = orElse(b)
		}
		if stands(b.Reasons, NotShown) != nil {
			b.NextBay = a.nextBay(b, k)
		}
	}
}

// orElse is the evidence of ADD with what to look at if the bay will not take what it lacks.
func orElse(b *Bay) []Datum {
	d := b.Now.Data
	if stands(b.Reasons, Reach) == nil {
		d = append(d, place(BeyondMark, nil)...)
	}
	return append(append(d, place(ByHole, nil)...), place(Obstacles, nil)...)
}

// advisor holds what the other bays of a section say about each lot that is not settled. Lots are numbered as in the
// section's own; guarded has no predictions.
type advisor struct {
	*sectionLots
	settings  *model.Settings
	bag, step float64 // kg, and the step that the section's counts are reckoned with in bags
	job       *check
	place     int                      // of the section in the job
	predicted map[int]*crew.Predictive // by lot, of those that are neither shown to reach the target nor to be short
	toCome    int                      // bays of the section that are not filled yet, as far as log and sections table know
	ifOpen    []float64                // by lot: probability if it is left open while the next bays are logged; nil where none is to come
	ifRunning []float64                // by lot: probability if the counts had run on from bay to bay; nil until asked
}

// newAdvisor returns nil where no lot of the section is unsettled or short.
func (c *check) newAdvisor(s int) *advisor {
	lots := &c.sections[s]
	st := &lots.of.Settings
	a := &advisor{sectionLots: lots, job: c, place: s, settings: st, bag: c.measured.Bag.Mass, step: c.measured.Steps[s].Used}
	// A lot of unknown density is in neither group: its probability is NaN.
	var which []int
	short := false
	for k := range lots.lots {
		switch p := lots.decided[k].prob; {
		case p <= 1-st.Confidence:
			short = true
		case p < st.Confidence:
			which = append(which, k)
		}
	}
	if len(which) == 0 && !short {
		return nil
	}
	if len(which) == 0 || c.rule != model.RuleProcess {
		return a
	}
	a.predicted = make(map[int]*crew.Predictive, len(which))
	predictions := lots.result.Predict(&c.given[s], which)
	for i, k := range which {
		a.predicted[k] = &predictions[i]
	}
	notFilled := 0
	for _, b := range c.baysOf(s) {
		if b.State == NotFilled {
			notFilled++
		}
	}
	filled := lots.out.Bays
	a.toCome = max(filled+notFilled, lots.of.Expected-leftIn(c.job, lots.of)) - filled
	a.ifOpen = a.leftOpen()
	return a
}

// prob is the probability P(density ≥ target) that a lot would have after a change: by what the others predict for it under
// rule process, by itself under guarded.
func (a *advisor) prob(k int, change crew.Change) float64 {
	if p := a.predicted[k]; p != nil {
		prob, _ := p.Prob(change)
		return prob
	}
	l := &a.lots[k]
	// What the depths of the job share is relative: it grows with the density.
	grown := l.Shared
	if l.Density > 0 {
		grown *= 1 + change.Add/l.Density
	}
	u2 := l.U*l.U - l.Shared*l.Shared + grown*grown + change.Var
	if change.Whole {
		u2 = change.Var + l.Common*l.Common + grown*grown
	}
	changed := measure.Lot{Density: l.Density + change.Add, U: math.Sqrt(u2), DOF: l.DOF, OneSided: l.OneSided}
	return changed.ProbAtLeast(a.settings.Target)
}

// blown is the change that so many kg more make, weighed to ± within kg: the sizes' part of the variance grows with the
// density.
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
	l, st := &a.lots[k], a.settings
	closes := func(mass float64) bool {
		return a.prob(k, blown(l, mass, st.WeighWithin)) >= st.Confidence && a.prob(k, blown(l, mass, 0)) >= st.Confidence
	}
	// Bisection: more mass makes the target surer, up to the ceiling, above which material goes elsewhere.
	lo, hi := 0.0, (st.Ceiling-l.Density)*l.Volume
	if !(hi > 0) || !closes(hi) {
		return math.NaN()
	}
	for range 14 { // to a sixteen-thousandth of the way to the ceiling
		if mid := (lo + hi) / 2; closes(mid) {
			hi = mid
		} else {
			lo = mid
		}
	}
	return hi
}

// blowToStall says what would close a bay whose target is not shown: the weight that, blown in to the stall, would do
// it; where to put the rod if it takes none; how many bays more, logged like the others, may settle it.
//
// A bay whose tube was run again already and took nothing is not told to run it once more. What is left for it: readings of
// the depth where they may settle it, the bays to come, else the depth all the same.
func (a *advisor) blowToStall(b *Bay, k int) Action {
	confidence := a.settings.Confidence
	var open []Datum // the evidence that the bays to come may settle it
	if a.ifOpen != nil && a.ifOpen[k] >= confidence {
		open = []Datum{num("open_bays", float64(a.toCome), Number), num("prob_open", a.ifOpen[k], Probability)}
	}
	if zeroStall(&a.lots[k]) != nil {
		depth := a.depthAgain(b, k)
		switch {
		case depth >= confidence:
			return Action{Code: ActMeasureDepth, Data: []Datum{num("prob", depth, Probability)}}
		case open != nil:
			return Action{Code: ActLeaveOpen, Data: open}
		}
		return Action{Code: ActMeasureDepth, Data: places(b)}
	}
	var d []Datum
	if mass := a.closingMass(k); !math.IsNaN(mass) {
		d = append(d, num("mass", mass, Mass))
	}
	return Action{Code: ActBlowToStall, Data: slices.Concat(d, open, places(b))}
}

// mostToCome bounds the bays to come that are reckoned with.
const mostToCome = 24

// leftOpen recomputes the section as if the bays to come were logged, packed and measured like the last one: their readings
// stand at even quantiles of N(μ, τ² + u²). It returns each lot's probability then; nil where none is to come.
func (a *advisor) leftOpen() []float64 {
	n := len(a.lots)
	if a.toCome <= 0 || n == 0 || math.IsNaN(a.out.Mean) {
		return nil
	}
	// The next bay is like the last; its readings of a counter count as noise of its own, as nobody knows their neighbours.
	next := a.lots[n-1]
	next.Count, next.Terms = math.Sqrt(countVar(&next)), nil
	spread := math.Sqrt(a.out.SD*a.out.SD + next.Own*next.Own + next.Count*next.Count)
	more := min(a.toCome, mostToCome)
	lots := slices.Clone(a.lots)
	for i := range more {
		next.Density = a.out.Mean + spread*stat.NormalQuantile((float64(i)+0.5)/float64(more))
		lots = append(lots, next)
	}
	return a.judged(lots)[:n]
}

// countVar is what counting brings to a lot's variance, (kg/m³)²: ends or fresh counts, and readings of a running counter.
func countVar(l *measure.Lot) float64 {
	sum := l.Count * l.Count
	for _, t := range l.Terms {
		sum += square(t.Coef * t.U)
	}
	return sum
}

// judged is the probability of every lot of a section that reads otherwise.
func (a *advisor) judged(lots []measure.Lot) []float64 {
	given := slices.Clone(a.job.given)
	given[a.place].Lots = lots
	r := crew.JudgeJob(given, emptied(a.job.found.Totals.Emptied))[a.place]
	out := make([]float64, len(lots))
	for k := range out {
		out[k] = r.Lots[k].ProbAtTarget
	}
	return out
}

// nextBay says what, done at this bay, would have settled it, by recomputing: the least trouble that reaches the
// confidence comes first; where none does, what comes nearest. It is nothing that the crew does already.
func (a *advisor) nextBay(b *Bay, k int) Advice {
	// Ordered by the trouble that they are; an improvement of less than half a percent is none.
	var best Advice
	for _, way := range [...]func(*Bay, int) Advice{a.runOn, a.finerStep, a.threeDepths, a.eachMeasured, a.weighed} {
		next := way(b, k)
		switch {
		case next.Input == "" || math.IsNaN(next.Prob):
		case next.Prob >= a.settings.Confidence:
			return next
		case next.Prob > best.Prob+0.005 && next.Prob > b.ProbAtTarget:
			best = next
		}
	}
	return best
}

// finer is the probability of a lot if it had been read in a finer way, which is taken to have read what all evidence now
// holds for its most likely density.
func (a *advisor) finer(k int, change crew.Change) float64 {
	if p := a.predicted[k]; p != nil {
		_, change.Add = p.Mean()
	}
	return a.prob(k, change)
}

// afresh numbers readings that no counter has.
const afresh = 1 << 30

// runOn: the same counts kept running from bay to bay, so that each reading is shared by the two bays beside it. The
// section is recomputed as if they had been read off one counter, in the same steps.
func (a *advisor) runOn(_ *Bay, k int) Advice {
	l := &a.lots[k]
	if len(l.Terms) > 0 || !(l.Count > 0) || a.predicted == nil {
		return Advice{}
	}
	if a.ifRunning == nil {
		lots := slices.Clone(a.lots)
		for k := range lots {
			l := &lots[k]
			if !(l.Count > 0) || len(l.Terms) > 0 || math.IsNaN(l.Bags) {
				continue
			}
			coef, u := a.bag/l.Volume, a.step/math.Sqrt(12)
			l.Count, l.Interval = 0, 0
			l.Terms = []measure.Term{{Reading: afresh + k, Coef: -coef, U: u}, {Reading: afresh + k + 1, Coef: coef, U: u}}
		}
		a.ifRunning = a.judged(lots)
	}
	return Advice{Input: "counting", Prob: a.ifRunning[k]}
}

// finerStep: the bags read to half the step: a quarter of the count's variance stays. Finer than to a quarter of a bag
// nobody reads a hopper.
func (a *advisor) finerStep(_ *Bay, k int) Advice {
	l := &a.lots[k]
	if a.step/2 < 0.25 || !(l.Count > 0) && len(l.Terms) == 0 {
		return Advice{}
	}
	change := crew.Change{Var: -0.75 * countVar(l)}
	if l.Interval > 0 {
		change = crew.Change{Whole: true, Var: l.Own*l.Own + countVar(l)/4}
	}
	return Advice{Input: "bag_step", Data: []Datum{num("step", a.step/2, Bags)}, Prob: a.finer(k, change)}
}

// threeDepths: the depth read at three places instead of so many as it was.
func (a *advisor) threeDepths(b *Bay, k int) Advice {
	return Advice{Input: "depth", Prob: a.depthAgain(b, k)}
}

// depthAgain is the probability if the depth had been read at three places: two thirds of what its readings scatter falls
// away, what the tape's readings share stays. NaN where the scatter of its readings is not known.
func (a *advisor) depthAgain(b *Bay, k int) float64 {
	l := &a.lots[k]
	// The budget has the depth's share of the variance, tape and scatter together; the tape's parts are taken off.
	tape := (1-measure.CommonShare)*square(l.Tape[measure.Depth]) + l.Shared*l.Shared
	scatter := shareOf(b, "depth")*l.U*l.U - tape
	if scatter <= 1e-9*l.U*l.U {
		return math.NaN()
	}
	return a.finer(k, crew.Change{Var: -scatter * 2 / 3})
}

// shareOf is an input's share of a bay's variance; 0 where it has none.
func shareOf(b *Bay, input string) float64 {
	for _, s := range b.Budget {
		if s.Input == input {
			return s.Share
		}
	}
	return 0
}

// eachMeasured: the bay's own sizes measured instead of taken over.
func (a *advisor) eachMeasured(b *Bay, k int) Advice {
	share := shareOf(b, "ditto")
	if share == 0 {
		return Advice{}
	}
	l := &a.lots[k]
	return Advice{Input: "ditto", Prob: a.finer(k, crew.Change{Var: -share * l.U * l.U})}
}

// weighed: the part bag weighed instead of read off.
func (a *advisor) weighed(_ *Bay, k int) Advice {
	l, within := &a.lots[k], a.settings.WeighWithin
	if !(l.Count > 0) && len(l.Terms) == 0 {
		return Advice{}
	}
	change := crew.Change{Whole: true, Var: l.Own*l.Own + square(within/l.Volume)/3}
	return Advice{Input: "weight", Data: []Datum{num("within", within, Mass)}, Prob: a.finer(k, change)}
}
