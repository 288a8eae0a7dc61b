package verify

import (
	"math"
	"strings"

	"bayproof/model"
	"bayproof/verify/measure"
	"bayproof/verify/stat"
)

// judgeBay fills in a bay's figures, reasons and verdict, and what to do.
func (c *check) judgeBay(i int) {
	b, src, z := &c.found.Bays[i], c.job.Bays[i], &c.measured.Sizes[i]
	b.Bay = src
	b.Volume, b.Sized, b.Level = z.Volume, z.Sized, Level
	b.noFigures()
	b.Cores = c.coresOf(src)
	l, d := c.lotOf(i)
	switch {
	case src.Struck:
		b.State = Struck
	case l == nil && src.Owes != model.OwesNothing:
		b.Now = Action{Code: owed[src.Owes]}
	case l == nil:
		b.Now = Action{Code: ActFill}
	}
	if l == nil {
		return // the zero values of state and verdict hold: not filled, MEASURE
	}
	if b.State = Filled; len(src.Closed) > 0 { // a fact, whatever is said about the bay afterwards
		b.State = Closed
	}
	b.Mass, b.Bags = l.Mass, l.Bags
	if len(l.Bays) > 1 { // each has its volume's part
		b.Mass, b.Bags = l.Mass*z.Volume/l.Volume, l.Bags*z.Volume/l.Volume
	}
	b.Budget = l.Budget
	c.figures(b, l, d, z)
	c.reasons(i, b, l, d)
	b.Verdict = verdictOf(b)
	if aim := src.Section.Settings.Aim; b.Verdict == Add && aim*b.Volume-b.Mass > 0 {
		b.AddMass, b.AddDensity = aim*b.Volume-b.Mass, aim
		b.AddBags = b.AddMass / c.measured.Bag.Mass
	}
	b.Now = act(b)
}

// owed is what a bay waits for, by what it lacks.
var owed = [...]Code{model.OwesShare: ActLogCount, model.OwesSizes: ActAwaitSizes, model.OwesCount: ActAwaitCount}

// noFigures marks the figures that a bay does not have until they are filled in.
func (b *Bay) noFigures() {
	n := math.NaN()
	b.Mass, b.Bags = n, n
	b.Density, b.U, b.DOF, b.Lo, b.Hi = n, n, n, n, n
	b.ProbMeasured, b.ProbAtTarget, b.Basis = n, n, Own
	b.AddMass, b.AddBags, b.AddDensity = n, n, n
	b.EmptyLength, b.EmptyLengthLo, b.EmptyLengthHi, b.CouldHide = n, n, n, n
}

// figures fills in the density that a lot shows for its bays, with the interval y ± k·u at Level, and the lengths in m that
// the rule gives as shares. What is missing from a shared count may all be missing from this one bay: there a share is
// of the length that all of the lot's volume would have at this bay's section.
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

// expansion is the factor k of the expanded interval y ± k·u: Student's t for the effective degrees of freedom, at Level
// (JCGM 100, G.3). It keeps the last one, as most bays of a job have the same degrees of freedom and the quantile is found by
// iteration.
type expansion struct {
	dof, k float64
}

func (e *expansion) at(dof float64) float64 {
	if e.dof != dof || e.k == 0 {
		e.dof, e.k = dof, stat.StudentQuantile((1+Level)/2, dof)
	}
	return e.k
}

// verdictOf is the action that a bay asks for: ADD before PROBE before MEASURE before CLOSE. Where p is the probability that
// decides and γ the confidence asked for, ADD stands where p ≤ 1 − γ and CLOSE where p ≥ γ.
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

// reasons gathers what speaks about a bay: the figure first, then what holds it, then suspicions. Of an empty bay the crew's
// other bays say nothing that the count does not.
func (c *check) reasons(i int, b *Bay, l *measure.Lot, d *decision) {
	// An unanswered reason about the figure holds the verdict by the figure itself; it is told so that it can be answered.
	confidence := b.Bay.Section.Settings.Confidence
	density, half := num("density", b.Density, Density), num("half_width", (b.Hi-b.Lo)/2, Density)
	switch p := d.prob; {
	case math.IsNaN(p) || math.IsNaN(l.Density):
		b.raise(NoFigure)
	case l.Mass <= 0:
		b.raise(NoMaterial)
	case p <= 1-confidence:
		b.raise(Short, density, half, num("prob_short", 1-p, Probability))
	case p < confidence:
		b.raise(NotShown, density, half, num("prob", p, Probability))
	}
	if said := b.Bay.StallSaid(); l.OneSided > 0 && said != model.Yes && said != model.No && d.prob < confidence {
		b.raise(StallUnsaid, num("step", l.OneSided, Density), num("prob_stalled", stat.ProbAtLeast(l.Density, l.U, l.DOF, b.Bay.Section.Settings.Target), Probability))
	}
	if unlike := l.Unlike(); len(unlike) > 0 && l.Mass > 0 {
		data := []Datum{named("input", strings.Join(unlike, ", "))}
		if from := b.Bay.From; from != nil {
			data = append(data, named("from", from.Name))
		}
		b.raise(SizeUnlike, data...)
	}
	if data := c.sections[c.measured.SectionOf(i)].contradicted; data != nil && l.PerBag > 0 {
		b.raise(TotalsShort, data...)
	}
	if f := b.Bay.Section.Face; (f == "netting" || f == "membrane") && l.Mass > 0 && !bulged(b.Bay) {
		b.raise(BulgeMissing, named("face", f))
	}
	c.suspect(b, l, d)
	if l.Mass > 0 {
		b.Reasons = append(b.Reasons, d.reasons...)
	}
}

// raise opens a reason of the bay. What it returns is for filling in the answer at once: the next reason may move it.
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

// leading returns the unanswered suspicion that decides what is done first, by the table of codes; nil where none stands.
func leading(reasons []Reason) *Reason {
	var first *Reason
	for i := range reasons {
		r := &reasons[i]
		if !r.IsAnswered() && isSuspicion(r.Code) && (first == nil || rowOf[r.Code].Leads < rowOf[first.Code].Leads) {
			first = r
		}
	}
	return first
}

// held returns the first unanswered reason that keeps a bay from CLOSE whatever its own figure says; nil where none does.
func held(reasons []Reason) *Reason {
	for i := range reasons {
		if r := &reasons[i]; !r.IsAnswered() && rowOf[r.Code].Holds {
			return r
		}
	}
	return nil
}

// Held returns the reason that holds a bay at MEASURE whatever its own figure says; nil where there is none.
func (b *Bay) Held() *Reason {
	if b.Verdict != Measure {
		return nil
	}
	return held(b.Reasons)
}

// act says what a man with a tube and a rod can do about a filled bay in two minutes: what the table of codes has for the
// reason that decides.
func act(b *Bay) Action {
	if b.saying() {
		return Action{Code: rowOf[StallUnsaid].Act, Data: []Datum{named("column", "stall")}}
	}
	switch b.Verdict {
	case Close:
		return Action{Code: ActClose}
	case Add:
		data := []Datum{num("mass", b.AddMass, Mass), num("bags", b.AddBags, Bags), num("density", b.AddDensity, Density)}
		if r := stands(b.Reasons, Reach); r != nil {
			data = append(data, place(BeyondMark, r.Data)...)
		}
		return Action{Code: ActAdd, Data: data}
	case Probe:
		r := leading(b.Reasons)
		row := rowOf[r.Code]
		switch row.Where {
		case "":
			return Action{Code: row.Act}
		case BeyondMark:
			return Action{Code: row.Act, Data: places(b)}
		}
		return Action{Code: row.Act, Data: place(row.Where, r.Data)}
	}
	r := held(b.Reasons)
	if r == nil {
		r = &b.Reasons[0] // what keeps a bay from a verdict stands first
	}
	a := Action{Code: rowOf[r.Code].Act}
	if a.Code == ActMeasureSize {
		a.Data = r.Data
	}
	return a
}

// saying tells whether a word about the stall comes before any work: where nobody spoke of it yet, the bay is not held by anything
// else, and is not short whatever is said.
func (b *Bay) saying() bool {
	r := stands(b.Reasons, StallUnsaid)
	if r == nil || b.Bay.StallSaid() != model.Unsaid || held(b.Reasons) != nil || stands(b.Reasons, NoMaterial) != nil {
		return false
	}
	return b.Verdict == Measure || b.Verdict == Add && r.Data[1].Value > 1-b.Bay.Section.Settings.Confidence
}

// places lists where to probe, in the order of common practice: beyond the tube's last mark; the last foot by the fill
// hole; beside wires, pipes and blocking; the far corners of bays over 20 in wide. Places in m from the low end.
func places(b *Bay) []Datum {
	var reached []Datum
	if r := find(b.Reasons, Reach); r != nil {
		reached = r.Data
	}
	d := append(place(BeyondMark, reached), place(ByHole, nil)...)
	if t := tubeOf(b.Bay); !math.IsNaN(t.hole) {
		d = append(d, num("from", max(t.hole-model.Foot, 0), Length), num("to", min(t.hole+model.Foot, max(t.length, b.Bay.LongWay())), Length))
	}
	d = append(d, place(Obstacles, nil)...)
	for i := range b.Bay.Pieces {
		p := b.Bay.Pieces[i]
		if size := p.Dims(); !p.Less && max(size.Width, size.Width2) > WideBay {
			return append(d, place(FarCorners, nil)...)
		}
	}
	return d
}

// place is a place to probe with what the evidence says about where it is: the name first, then from and to, or at, in m
// from the low end.
func place(code Code, evidence []Datum) []Datum {
	d := []Datum{named("place", string(code))}
	for _, e := range evidence {
		if e.Key == "from" || e.Key == "to" || e.Key == "at" {
			d = append(d, e)
		}
	}
	return d
}
