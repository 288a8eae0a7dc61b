package verify

import (
	"math"

	"bayproof/model"
)

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
