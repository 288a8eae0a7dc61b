package verify

import (
	"math"
	"strings"

	"bayproof/model"
	"bayproof/verify/measure"
	"bayproof/verify/stat"
)

// judgeBay fills in a bay's figures, reasons and verdict.
func (w *work) judgeBay(i int) {
	b, src := &w.f.Bays[i], w.job.Bays[i]
	b.Bay, b.SharedWith = src, src.SharedWith
	z := &w.m.Sizes[i]
	b.Volume, b.Sized, b.Level = z.Volume, z.Sized, Level
	if len(w.job.Cores) > 0 {
		b.Cores = w.coresOf(src)
	}
	l, d := w.lotOf(i)
	if l == nil {
		b.missing()
		b.State, b.Verdict = NotFilled, Measure
		if src.Struck {
			b.State = Struck
		} else {
			b.Now = Action{Code: ActFill}
			if src.Waiting {
				b.Now.Code = ActLogCount
			}
		}
		return
	}
	b.State = stateOf(src)
	w.figures(b, l, d, z)
	unlike := w.unlike(l)
	if unlike != "" {
		b.noDensity()
	}
	w.reason(b, l, d, unlike)
	b.Reasons = w.room.close()
	b.Verdict = verdictOf(b, &src.Section.Settings)
	w.toAim(b)
	b.Now = w.act(b)
}

// stateOf tells whether a filled bay was closed. That it was stays a fact whatever is said about the bay afterwards.
func stateOf(b *model.Bay) State {
	if len(b.Closed) > 0 {
		return Closed
	}
	return Filled
}

// figures fills in what the lot says about one of its bays. Bays that share a count share its density; each has its
// volume's part of the mass.
func (w *work) figures(b *Bay, l *measure.Lot, d *decision, z *measure.Sizes) {
	st := &b.Bay.Section.Settings
	b.Mass, b.Bags = l.Mass, l.Bags
	if len(l.Bays) > 1 {
		b.Mass, b.Bags = l.Mass*z.Volume/l.Volume, l.Bags*z.Volume/l.Volume
	}
	b.Density, b.U, b.DOF, b.Budget = l.Density, l.U, l.DOF, l.Budget
	half := w.factor.at(l.DOF) * l.U
	b.Lo, b.Hi = l.Density-half, l.Density+half
	b.ProbMeasured = d.prob
	if w.rule != model.RuleGuarded {
		b.ProbMeasured = stat.ProbAtLeast(l.Density, l.U, l.DOF, st.Target)
	}
	b.ProbAtTarget, b.Basis = d.prob, d.basis
	b.noLengths()
	reach := lotLength(z.Volume, l.Volume, z.Length)
	b.BlindLength = d.blind * reach
	b.EmptyLength, b.EmptyLengthLo, b.EmptyLengthHi = d.empty*reach, d.emptyLo*reach, d.emptyHi*reach
}

// unlike names the sizes that a lot took over from bays so unlike it that its volume is not known: where they alone let
// the expanded interval of the density reach down to nothing, first-order propagation says nothing any more (JCGM 100,
// 5.1.2, note). Empty where the lot has a density.
func (w *work) unlike(l *measure.Lot) string {
	var sum float64
	for _, u := range l.Taken {
		sum += u * u
	}
	if sum == 0 || !(l.Density > 0) || w.factor.at(l.DOF)*math.Sqrt(sum) < l.Density {
		return ""
	}
	var names []string
	for d, u := range l.Taken {
		if u*u >= sum/10 { // the others do not matter
			names = append(names, measure.Dim(d).String())
		}
	}
	return strings.Join(names, ", ")
}

// lotLength is the length by which a share of the lot is turned into feet of one of its bays: what is missing from a
// shared count may all be missing from that bay.
func lotLength(bay, lot, length float64) float64 {
	if bay == lot {
		return length
	}
	return length * lot / bay
}

// expansion is the factor k of the expanded interval, kept for the degrees of freedom asked last.
type expansion struct {
	dof, k float64
}

func (e *expansion) at(dof float64) float64 {
	if e.dof != dof || e.k == 0 {
		e.dof, e.k = dof, stat.StudentQuantile((1+Level)/2, dof)
	}
	return e.k
}

// verdictOf is the action that a bay asks for: ADD before PROBE before MEASURE before CLOSE.
func verdictOf(b *Bay, st *model.Settings) Verdict {
	p := b.ProbAtTarget
	switch {
	case math.IsNaN(p) || math.IsNaN(b.Density):
		if suspicious(b.Reasons) {
			return Probe
		}
		return Measure
	case p <= 1-st.Confidence || b.Mass <= 0:
		return Add
	case suspicious(b.Reasons):
		return Probe
	case p >= st.Confidence:
		return Close
	}
	return Measure
}

// suspicious tells whether a suspicion stands that nothing has answered.
func suspicious(reasons []Reason) bool {
	for i := range reasons {
		if r := &reasons[i]; !r.IsAnswered() && isSuspicion(r.Code) {
			return true
		}
	}
	return false
}

// reason gathers what speaks about a bay: the figure first, then suspicions. unlike names the sizes that leave it without a
// figure.
func (w *work) reason(b *Bay, l *measure.Lot, d *decision, unlike string) {
	st := &b.Bay.Section.Settings
	switch p := d.prob; {
	case unlike != "":
		w.room.add(SizeUnlike, Datum{Key: "input", Text: unlike, Dim: Name})
	case math.IsNaN(p) || math.IsNaN(l.Density):
		w.room.add(NoFigure)
	case l.Mass <= 0:
		w.room.add(NoMaterial)
	case p <= 1-st.Confidence:
		w.figure(Short, b, "prob_short", 1-p)
	case p < st.Confidence:
		w.figure(NotShown, b, "prob", p)
	}
	w.suspect(b, l, d)
	if l.Mass > 0 && unlike == "" { // of an empty bay the crew's other bays say nothing that the count does not
		w.room.open = append(w.room.open, d.reasons...)
	}
}

// figure opens a reason that rests on the density.
func (w *work) figure(c Code, b *Bay, key string, p float64) {
	w.room.add(c, Datum{Key: "density", Value: b.Density, Dim: Density},
		Datum{Key: "half_width", Value: (b.Hi - b.Lo) / 2, Dim: Density}, Datum{Key: key, Value: p, Dim: Probability})
}

// toAim fills in what brings a short bay to the aim: pounds, bags, and the density that it then has.
func (w *work) toAim(b *Bay) {
	if b.Verdict != Add {
		return
	}
	aim := b.Bay.Section.Settings.Aim
	if mass := aim*b.Volume - b.Mass; mass > 0 {
		b.AddMass, b.AddBags, b.AddDensity = mass, mass/w.m.Bag.Mass, aim
	}
}

// act says what a man with a tube and a rod can do about a filled bay in two minutes.
func (w *work) act(b *Bay) Action {
	switch b.Verdict {
	case Close:
		return Action{Code: ActClose}
	case Add:
		return w.actAdd(b)
	case Probe:
		return w.actProbe(b, leading(b.Reasons))
	}
	if len(b.Reasons) > 0 {
		switch r := &b.Reasons[0]; r.Code {
		case NoFigure:
			return Action{Code: ActCheckEntry}
		case SizeUnlike:
			return Action{Code: ActMeasureSize, Data: r.Data}
		}
	}
	return Action{Code: ActBlowToStall}
}

// actAdd says how much brings the bay to the aim, and where the tube has not been.
func (w *work) actAdd(b *Bay) Action {
	d := [...]Datum{
		{Key: "mass", Value: b.AddMass, Dim: Mass}, {Key: "bags", Value: b.AddBags, Dim: Bags},
		{Key: "density", Value: b.AddDensity, Dim: Density},
	}
	data := d[:]
	if r := find(b.Reasons, Reach); r != nil && !r.IsAnswered() {
		data = append(data, place(BeyondMark, r.Data)...)
	}
	return Action{Code: ActAdd, Data: w.room.datums(data...)}
}

// leading returns the suspicion that decides what is done first: material gone elsewhere before all, then what a look
// has found, then where nobody has looked.
func leading(reasons []Reason) *Reason {
	order := [...]Code{OverFull, ProbeSoft, Reach, NoStall, NeighbourSwap, ShortOfCrew, CoreDisagrees}
	for _, c := range order {
		for i := range reasons {
			if r := &reasons[i]; r.Code == c && !r.IsAnswered() {
				return r
			}
		}
	}
	return nil
}

// find returns the first reason of a code; nil where there is none.
func find(reasons []Reason, c Code) *Reason {
	for i := range reasons {
		if reasons[i].Code == c {
			return &reasons[i]
		}
	}
	return nil
}

// actProbe says what answers the leading suspicion.
func (w *work) actProbe(b *Bay, r *Reason) Action {
	switch r.Code {
	case OverFull:
		return Action{Code: ActLookAtFace}
	case CoreDisagrees:
		return Action{Code: ActSecondCore}
	case NoStall:
		return Action{Code: ActRerunTube, Data: w.room.datums(w.places(b)...)}
	case ProbeSoft:
		return Action{Code: ActRerunTube, Data: w.room.datums(place(AtFinding, r.Data)...)}
	}
	return Action{Code: ActRod, Data: w.room.datums(w.places(b)...)}
}

// places lists where to probe, in the order of common practice: beyond the tube's last mark; the last foot by the fill
// hole; beside wires, pipes and blocking; the far corners of bays over 20 in wide.
func (w *work) places(b *Bay) []Datum {
	var d []Datum
	r := find(b.Reasons, Reach)
	if r != nil {
		d = append(d, place(BeyondMark, r.Data)...)
	} else {
		d = append(d, place(BeyondMark, nil)...)
	}
	t := tubeOf(b.Bay)
	d = append(d, place(ByHole, nil)...)
	if !math.IsNaN(t.hole) {
		d = append(d, Datum{Key: "from", Value: max(t.hole-model.Foot, 0), Dim: Length},
			Datum{Key: "to", Value: min(t.hole+model.Foot, max(t.length, b.Bay.LongWay())), Dim: Length})
	}
	d = append(d, place(Obstacles, nil)...)
	if wide(b.Bay) {
		d = append(d, place(FarCorners, nil)...)
	}
	return d
}

// wide tells whether the bay is so wide that its far corners are looked at too.
func wide(b *model.Bay) bool {
	for i := range b.Pieces {
		if d := b.Pieces[i].Dims(); !b.Pieces[i].Less && max(d.Width, d.Width2) > WideBay {
			return true
		}
	}
	return false
}

// place is a place to probe with what the evidence says about where it is.
func place(c Code, evidence []Datum) []Datum {
	d := []Datum{{Key: "place", Text: string(c), Dim: Name}}
	for _, e := range evidence {
		if e.Key == "from" || e.Key == "to" || e.Key == "at" {
			d = append(d, e)
		}
	}
	return d
}

// advise lets what is found by recomputing replace the plain action, section by section.
func (w *work) advise() {
	if !w.opts.Advice {
		return
	}
	for s := range w.benches {
		if only := w.opts.AdviceIn; only == "" || only == w.benches[s].sec.Name {
			w.adviseSection(s)
		}
	}
}
