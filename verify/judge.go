// The verdict on one bay, and what is found by judging again with something changed.
//
// judgeBay turns a lot's decision into a bay's figures, reasons and verdict. The advisor asks "what
// if": what more material, another reading, a finer way of counting or the bays to come would make
// of the probability. Under rule process it asks the predictive distribution of the lot
// (crew.Result.Predict), which answers without judging the section anew; where a change concerns
// all lots the section is judged again.

package verify

import (
	"math"
	"slices"
	"strings"

	"bayproof/model"
	"bayproof/verify/crew"
	"bayproof/verify/measure"
	"bayproof/verify/stat"
)

// judgeBay fills in the figures, reasons and verdict of bay i (by its place in the job), and what
// would bring it to the aim: aim·V − m kg, where it is ADD.
func (c *check) judgeBay(i int) {
	b, src, z := &c.found.Bays[i], c.job.Bays[i], &c.measured.Sizes[i]
	b.Bay, b.Further = src, c.nothing
	b.Volume, b.Sized, b.Level = z.Volume, z.Sized, Level
	b.noFigures()
	if cores := c.coresOf(src); cores != nil {
		c.further(b).Cores = cores
	}
	l, d := c.lotOf(i)
	switch {
	case src.Struck:
		b.State = Struck
	}
	if l == nil {
		return // the zero values of state and verdict hold: not filled, MEASURE
	}
	if b.State = Filled; len(src.Closed) > 0 { // a fact, whatever is said about the bay afterwards
		b.State = Closed
	}
	b.Mass, b.Bags = l.Mass, l.Bags
	if len(l.Bays) > 1 { // each has its volume's part
		// Nobody knows which of them holds how much: one density is taken for all.
		b.Mass, b.Bags = l.Mass*z.Volume/l.Volume, l.Bags*z.Volume/l.Volume
	}
	if c.opts.Budget {
		c.further(b).Budget = c.measured.Sections[c.measured.SectionOf(i)].Budgets[c.measured.LotOf[i]]
	}
	c.figures(b, l, d, z)
	c.reasons(i, b, l, d)
	b.Verdict = verdictOf(b)
	if aim := src.Section.Settings.Aim; b.Verdict == Add && aim*b.Volume-b.Mass > 0 {
		b.AddMass, b.AddDensity = aim*b.Volume-b.Mass, aim
		b.AddBags = b.AddMass / c.measured.Bag.Mass
	}
}

// further makes room for what is not known of every bay. Until then a bay shares an empty Further,
// which nobody writes to.
func (c *check) further(b *Bay) *Further {
	if b.Further == c.nothing {
		b.Further = new(Further)
	}
	return b.Further
}

// noFigures marks the figures that a bay does not have until they are filled in: NaN.
func (b *Bay) noFigures() {
	n := math.NaN()
	b.Mass, b.Bags = n, n
	b.Density, b.U, b.DOF, b.Lo, b.Hi = n, n, n, n, n
	b.ProbMeasured, b.ProbAtTarget, b.Basis = n, n, Own
	b.AddMass, b.AddBags, b.AddDensity = n, n, n
	b.EmptyLength, b.EmptyLengthLo, b.EmptyLengthHi, b.CouldHide = n, n, n, n
}

// figures fills in the density that a lot shows for its bays, with the interval y ± k·u at Level,
// and the lengths in m that the rule gives as shares. What is missing from a shared count may all
// be missing from this one bay: there a share is of the length that all of the lot's volume would
// have at this bay's cross-section.
func (c *check) figures(b *Bay, l *measure.Lot, d *decision, z *measure.Sizes) {
	b.Density, b.U, b.DOF = l.Density, l.U, l.DOF
	half := c.factor.at(l.DOF) * l.U
	b.Lo, b.Hi = l.Density-half, l.Density+half
	b.ProbMeasured, b.ProbAtTarget, b.Basis = d.prob, d.prob, d.basis
	if c.rule != model.RuleGuarded {
		b.ProbMeasured = l.ProbAtLeast(b.Bay.Section.Settings.Target)
	}
	length := z.Length
	if z.Volume != l.Volume {
		length = length * l.Volume / z.Volume
	}
	b.CouldHide = d.couldHide * length
	b.EmptyLength, b.EmptyLengthLo, b.EmptyLengthHi = d.empty*length, d.emptyLo*length, d.emptyHi*length
}

// expansion is the factor k of the expanded interval y ± k·u: the two-sided quantile of Student's t
// for the effective degrees of freedom, at Level (JCGM 100, G.3). It keeps the last one, as most
// bays of a job have the same degrees of freedom and the quantile is found by iteration.
type expansion struct {
	dof, k float64 // the last degrees of freedom, and their factor; k 0 before the first
}

// at returns k for so many degrees of freedom; NaN where they are.
func (e *expansion) at(dof float64) float64 {
	if e.dof != dof || e.k == 0 {
		e.dof, e.k = dof, stat.StudentQuantile((1+Level)/2, dof)
	}
	return e.k
}

// verdictOf returns the action that a bay asks for: ADD before PROBE before MEASURE before CLOSE.
// With p the probability that decides and γ the confidence asked for:
//
//   - ADD where p ≤ 1 − γ, or nothing is in the bay;
//
//   - PROBE where a suspicion stands unanswered;
//
//   - CLOSE where p ≥ γ and no reason holds the bay;
//
//   - MEASURE else, and where p or the density is NaN: the zero value guesses nothing.
func verdictOf(b *Bay) Verdict {
	confidence := b.Bay.Section.Settings.Confidence
	switch p := b.ProbAtTarget; {
	case !math.IsNaN(p) && !math.IsNaN(b.Density) && (p <= 1-confidence || b.Mass <= 0):
		return Add
	case leading(b.Reasons) != nil:
		return Probe
	case p >= confidence && !math.IsNaN(b.Density) && held(b.Reasons) == nil:
		return Close
	}
	return Measure
}

// reasons gathers what speaks about a bay: the figure first, then what holds it, then suspicions.
// Of an empty bay the crew's other bays say nothing that the count does not.
func (c *check) reasons(i int, b *Bay, l *measure.Lot, d *decision) {
	// An unanswered reason about the figure holds the verdict by the figure itself; it is told so
	// that it can be answered.
	confidence := b.Bay.Section.Settings.Confidence
	density, half := num("density", b.Density, Density), num("half_width", (b.Hi-b.Lo)/2, Density)
	switch p := d.prob; {
	case math.IsNaN(p) || math.IsNaN(l.Density):
		c.raise(b, NoFigure)
	case l.Mass <= 0:
		c.raise(b, NoMaterial)
	case p <= 1-confidence:
		c.raise(b, Short, density, half, num("prob_short", 1-p, Probability))
	case p < confidence:
		c.raise(b, NotShown, density, half, num("prob", p, Probability))
	}
	if said := b.Bay.StallSaid(); l.OneSided > 0 && said != model.Yes && said != model.No && d.prob < confidence {
		c.raise(b, StallUnsaid, num("step", l.OneSided, Density), num("prob_stalled", stat.ProbAtLeast(l.Density, l.U, l.DOF, b.Bay.Section.Settings.Target), Probability))
	}
	if unlike := l.Unlike(); len(unlike) > 0 && l.Mass > 0 {
		data := []Datum{named("input", strings.Join(unlike, ", "))}
		if from := b.Bay.From; from != nil {
			data = append(data, named("from", from.Name))
		}
		c.raise(b, SizeUnlike, data...)
	}
	if data := c.sections[c.measured.SectionOf(i)].contradicted; data != nil && l.PerBag > 0 {
		c.raise(b, TotalsShort, data...)
	}
	if of := b.Bay.Section; of.OpenFace() && l.Mass > 0 && !bulged(b.Bay) {
		c.raise(b, BulgeMissing, named("face", of.Face))
	}
	c.suspect(b, l, d)
	if l.Mass > 0 {
		b.Reasons = append(b.Reasons, d.reasons...)
	}
}

// reasonsAhead is for how many reasons memory is taken at a time.
const reasonsAhead = 16

// raise opens a reason that any bay may have: with its evidence only where that is wanted, which is
// most of what it costs.
func (c *check) raise(b *Bay, code Code, data ...Datum) {
	if b.Reasons == nil {
		if len(c.spare) == 0 {
			c.spare = make([]Reason, reasonsAhead)
		}
		b.Reasons, c.spare = c.spare[:0:1], c.spare[1:]
	}
	if r := b.raise(code); !c.opts.Codes {
		r.Data = slices.Clone(data)
	}
}

// raise opens a reason of the bay. What it returns is for filling in the answer at once: the next
// reason may move it.
func (b *Bay) raise(code Code, data ...Datum) *Reason {
	b.Reasons = append(b.Reasons, Reason{Code: code, Data: data})
	return &b.Reasons[len(b.Reasons)-1]
}

// find returns the first reason of a code; nil where there is none.
func find(reasons []Reason, code Code) *Reason {
	for i := range reasons {
		if reasons[i].Code == code {
			return &reasons[i]
		}
	}
	return nil
}

// stands returns the first reason of a code where nothing has answered it; nil otherwise.
func stands(reasons []Reason, code Code) *Reason {
	if r := find(reasons, code); r != nil && !r.IsAnswered() {
		return r
	}
	return nil
}

// leading returns the unanswered suspicion that decides what is done first, the one with the least
// Leads in the table of codes; nil where none stands.
func leading(reasons []Reason) *Reason {
	var first *Reason
	for i := range reasons {
		r := &reasons[i]
		if !r.IsAnswered() && isSuspicion(r.Code) && (first == nil || rowOf(r.Code).Leads < rowOf(first.Code).Leads) {
			first = r
		}
	}
	return first
}

// held returns the first unanswered reason that keeps a bay from CLOSE whatever its own figure
// says; nil where none does.
func held(reasons []Reason) *Reason {
	for i := range reasons {
		if r := &reasons[i]; !r.IsAnswered() && rowOf(r.Code).Holds {
			return r
		}
	}
	return nil
}

// Held returns the reason that holds a bay at MEASURE whatever its own figure says; nil where there
// is none.
func (b *Bay) Held() *Reason {
	if b.Verdict != Measure {
		return nil
	}
	return held(b.Reasons)
}

// advisor holds what the other bays of a section say about each lot that is not shown to reach the
// target. Lots are numbered as in the section's own; rule guarded has no predictions.
type advisor struct {
	*sectionLots
	settings  *model.Settings
	bag, step float64 // kg, and the step that the section's counts are reckoned with in bags
	job       *check
	place     int                      // of the section in the job
	predicted map[int]*crew.Predictive // by lot, of those that are not shown to reach the target
	filled    int                      // bays of the section
	toCome    int                      // bays of the section that are not filled yet, as far as log and sections table know
	ifOpen    []float64                // by lot: probability if it is left open while the next bays are logged; nil where none is to come
	ifRunning []float64                // by lot: probability if the counts had run on from bay to bay; nil until asked
}

// newAdvisor asks what the others predict for the lots of section s that do not reach the
// confidence.
func (c *check) newAdvisor(s int) *advisor {
	lots := &c.sections[s]
	st := &lots.of.Settings
	a := &advisor{sectionLots: lots, job: c, place: s, settings: st, bag: c.measured.Bag.Mass, step: c.measured.Sections[s].Step.Used}
	var which []int
	for k := range lots.lots {
		if lots.decided[k].prob < st.Confidence { // a lot of unknown density has none: its probability is NaN
			which = append(which, k)
		}
	}
	notFilled := 0
	for _, b := range c.baysOf(s) {
		if b.State == NotFilled {
			notFilled++
		}
	}
	a.filled = lots.out.Bays
	a.toCome = max(a.filled+notFilled, lots.of.Expected-leftIn(c.job, lots.of)) - a.filled
	if len(which) == 0 || c.rule != model.RuleProcess {
		return a
	}
	a.predicted = make(map[int]*crew.Predictive, len(which))
	predictions := lots.result.Predict(&lots.given, which)
	for i, k := range which {
		a.predicted[k] = &predictions[i]
	}
	a.ifOpen = a.leftOpen()
	return a
}

// lotOf returns the place of a filled bay's lot in the section.
func (a *advisor) lotOf(bay int) int {
	return int(a.job.measured.LotOf[bay])
}

// prob returns the probability P(density ≥ target) that lot k would have after a change: by what
// the others predict for it under rule process, by itself under guarded. There
//
//	u² = U² + change.Var,  or  change.Var + Common² + Shared²  with change.Whole
//
// where Shared, what the depths of the job have in common, is relative and grows with the density.
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

// leftOpen judges the section again as if the bays to come (mostToCome at most) were logged, packed
// and measured like the last one: their readings stand at the even quantiles (i + ½)/n of N(μ, τ² +
// u²), the most ordinary sample there is. It returns each lot's probability then; nil where none is
// to come or the mean is not known.
func (a *advisor) leftOpen() []float64 {
	n := len(a.lots)
	if a.toCome <= 0 || n == 0 || math.IsNaN(a.out.Mean) {
		return nil
	}
	// The next bay is like the last; its readings of a counter count as noise of its own, as nobody
	// knows their neighbors.
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

// FullTakes is how much more a bay packed to the stall takes, kg/m³: what a hose and a hole's mouth
// hold (this tool's own).
const FullTakes = 0.05 * model.PoundPerCubicFoot

// fullTakes returns how much more a full lot may seem to have taken, kg: FullTakes·V, and what
// weighing cannot tell.
func fullTakes(l *measure.Lot, st *model.Settings) float64 {
	return FullTakes*l.Volume + st.WeighWithin
}

// tookSince returns what went into a lot after its flow had stalled, kg, by top-ups that no look
// explains: a place that was found soft or empty, blown into and found firm after it is like the
// rest again.
func tookSince(l *measure.Lot, bag, step float64) (kg float64) {
	for _, b := range l.Bays {
		stalled, soft, since := b.Section.Settings.ToStall == model.Yes, false, 0.0
		for _, e := range b.Rows {
			if !inForce(b, e) {
				continue
			}
			switch {
			case e.Kind == model.EntryTopup && stalled && !e.Material.AddsNothing():
				since += materialOf(e, bag, step)
			case isSoft(e.Probe):
				soft = true
			case soft && (e.Probe == model.RodFirm || e.Probe == model.HandFirm || e.Probe == model.SmokeStill):
				soft, since = false, 0
			}
			if e.Stall != model.Unsaid {
				stalled = e.Stall == model.Yes
			}
		}
		kg += since
	}
	return kg
}

// materialOf returns what a row says went in for certain, kg. A step of a count may be reading
// alone, and is taken off.
func materialOf(e *model.Entry, bag, step float64) float64 {
	m := &e.Material
	switch {
	case m.Kind == model.MaterialWeight:
		return m.Mass
	case m.Kind == model.MaterialCounter:
		return math.Max(m.Bags-m.Prev-step, 0) * bag
	case m.Part != 0:
		return m.Bags*bag + m.Part
	}
	return math.Max(m.Bags-step, 0) * bag
}

// tookMore returns, by lot, the factor on the odds of a bad bay: crew.TakesMore of lots that took
// more after their stall than a full one would, 1 of the others; nil where there are none.
func (s *sectionLots) tookMore(bag, step float64) (odds []float64) {
	for k := range s.lots {
		if tookSince(&s.lots[k], bag, step) <= fullTakes(&s.lots[k], &s.of.Settings) {
			continue
		}
		if odds == nil {
			odds = slices.Repeat([]float64{1}, len(s.lots))
		}
		odds[k] = crew.TakesMore
	}
	return odds
}

// atLeastFull keeps more material from making a verdict worse: a lot that took more than a full one
// is at least as sure as if it had taken only as much as that, with no odds against it. What is
// over 99 % sure, which is all that is said of it, is left as it is: asking costs another
// inference.
func (s *sectionLots) atLeastFull(given *crew.Section, r *crew.Result, bag, step float64) {
	var which []int
	for k, odds := range given.Seen.Odds {
		if odds > 1 && s.decided[k].prob < 0.99 {
			which = append(which, k)
		}
	}
	if which == nil {
		return
	}
	for i, p := range r.Predict(given, which) {
		l := &s.lots[which[i]]
		// What it would have been judged as, had it taken no more than a full bay does.
		less := tookSince(l, bag, step) - fullTakes(l, &s.of.Settings)
		prob, _ := p.Prob(crew.Change{Add: -less / l.Volume, Odds: 1 / crew.TakesMore})
		if d := &s.decided[which[i]]; prob > d.prob {
			d.prob = prob
		}
	}
}

// countVar returns what counting brings to a lot's variance, (kg/m³)²: Count² of ends or fresh
// counts, and Σ (Coef·U)² of the readings of a running counter.
func countVar(l *measure.Lot) float64 {
	sum := l.Count * l.Count
	for _, t := range l.Terms {
		sum += square(t.Coef * t.U)
	}
	return sum
}

// judged returns the probability of every lot of a section whose lots read otherwise, by judging it
// again.
func (a *advisor) judged(lots []measure.Lot) []float64 {
	s := a.given
	s.Lots = lots
	r := a.result.Again(&s)
	out := make([]float64, len(lots))
	for k := range out {
		out[k] = r.Lots[k].ProbAtTarget
	}
	return out
}

// nextBay says what, done at bay b, would have settled it, by recomputing: the least trouble that
// reaches the confidence comes first; where none does, what comes nearest. It is nothing that the
// crew does already. Empty where nothing would have helped.
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

// finer returns the probability of lot k if it had been read in a finer way, which is taken to have
// read the density that all evidence now holds for its most likely one.
func (a *advisor) finer(k int, change crew.Change) float64 {
	if p := a.predicted[k]; p != nil {
		_, change.Add = p.Mean()
	}
	return a.prob(k, change)
}

// afresh is from where readings are numbered that no counter has.
const afresh = 1 << 30

// runOn is the advice to keep counts running from bay to bay, so that each reading is shared by the
// two bays beside it. The section is judged again as if the same counts had been read off one
// counter in the same steps, q/√12 a reading.
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

// finerStep is the advice to read bags to half the step: a quarter of the count's variance stays.
// Finer than to a quarter of a bag nobody reads a hopper.
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

// threeDepths is the advice to read the depth at three places.
func (a *advisor) threeDepths(b *Bay, k int) Advice {
	return Advice{Input: "depth", Prob: a.depthAgain(b, k)}
}

// depthAgain returns the probability if the depth had been read at three places instead of one: two
// thirds of the variance that its readings' scatter brings fall away, what the tape's readings
// share stays. NaN where the scatter of its readings is not known.
func (a *advisor) depthAgain(b *Bay, k int) float64 {
	l := &a.lots[k]
	// The budget has the depth's share of the variance, tape and scatter together; the tape's parts
	// are taken off.
	tape := (1-measure.CommonShare)*square(l.Tape(measure.Depth)) + l.Shared*l.Shared
	scatter := shareOf(b, "depth")*l.U*l.U - tape
	if scatter <= 1e-9*l.U*l.U {
		return math.NaN()
	}
	return a.finer(k, crew.Change{Var: -scatter * 2 / 3})
}

// shareOf returns an input's share of a bay's variance; 0 where it has none, or budgets were not
// asked for.
func shareOf(b *Bay, input string) float64 {
	for _, s := range b.Budget {
		if s.Input == input {
			return s.Share
		}
	}
	return 0
}

// eachMeasured is the advice to measure the bay's own sizes instead of taking them over: the
// variance of taking over falls away.
func (a *advisor) eachMeasured(b *Bay, k int) Advice {
	share := shareOf(b, "ditto")
	if share == 0 {
		return Advice{}
	}
	l := &a.lots[k]
	return Advice{Input: "ditto", Prob: a.finer(k, crew.Change{Var: -share * l.U * l.U})}
}

// weighed is the advice to weigh the part bag instead of reading it off: of the count's variance
// the scale's (within/V)²/3 stays.
func (a *advisor) weighed(_ *Bay, k int) Advice {
	l, within := &a.lots[k], a.settings.WeighWithin
	if !(l.Count > 0) && len(l.Terms) == 0 {
		return Advice{}
	}
	change := crew.Change{Whole: true, Var: l.Own*l.Own + square(within/l.Volume)/3}
	return Advice{Input: "weight", Data: []Datum{num("within", within, Mass)}, Prob: a.finer(k, change)}
}
