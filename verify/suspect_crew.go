package verify

import (
	"math"

	"bayproof/model"
	"bayproof/verify/crew"
	"bayproof/verify/measure"
)

// suspectCrew raises the suspicions that rest on the crew's other bays. before is the posterior without the top-ups of
// nothing: a suspicion that one of them settled stays, as answered by it.
func (w *work) suspectCrew(b *bench, r, before *crew.Result) {
	paired := make([]bool, len(b.lots)) // the low one of a named pair is not also short of the crew
	for i := range r.Pairs {
		p := &r.Pairs[i]
		w.swapped(b, p)
		paired[p.Low] = true
	}
	for i := range b.lots {
		now, then := &r.Lots[i], &before.Lots[i]
		switch {
		case now.Over > crew.OverAbove:
			w.raise(b, i, OverFull, Datum{Key: "density", Value: b.lots[i].Density, Dim: Density},
				Datum{Key: "ceiling", Value: math.NaN(), Dim: Density}, Datum{Key: "prob_over", Value: now.Over, Dim: Probability})
		case then.ShortOfCrew() && !paired[i] && b.lots[i].Mass > 0:
			w.shortOfCrew(b, i, now, then)
		}
	}
}

// raise opens a suspicion about a lot.
func (w *work) raise(b *bench, i int, c Code, d ...Datum) *Reason {
	out := &b.out[i].reasons
	*out = append(*out, Reason{Code: c, Data: w.room.datums(d...)})
	return &(*out)[len(*out)-1]
}

// shortOfCrew raises a lot that is probably bad, with the length that would be empty if the rest were packed like the
// crew's other bays.
func (w *work) shortOfCrew(b *bench, i int, now, then *crew.Posterior) {
	l, d := &b.lots[i], &b.out[i]
	d.empty, d.emptyLo, d.emptyHi = now.Empty()
	bay := l.Bays[0]
	t := tubeOf(bay)
	reach := t.length
	if len(l.Bays) > 1 {
		reach = math.NaN() // each bay has a length of its own; the findings name them
	}
	p := now.Bad
	settled := !now.ShortOfCrew()
	if settled {
		p = then.Bad
	}
	r := w.raise(b, i, ShortOfCrew, Datum{Key: "prob_bad", Value: p, Dim: Probability},
		Datum{Key: "empty", Value: d.empty * reach, Dim: Length},
		Datum{Key: "empty_lo", Value: d.emptyLo * reach, Dim: Length},
		Datum{Key: "empty_hi", Value: d.emptyHi * reach, Dim: Length})
	if settled {
		r.Answered = Answer{Code: ByTopupZero, Row: zeroStall(l)}
		return
	}
	r.Answered = lookedInto(l, d.emptyHi)
}

// swapped raises both lots of a pair. What is found in the low one answers both: there the material would be missing.
func (w *work) swapped(b *bench, p *crew.Pair) {
	answer := lookedInto(&b.lots[p.Low], 1-b.lots[p.Low].Density/b.section.Mean)
	for _, at := range [2][2]int{{p.Low, p.High}, {p.High, p.Low}} {
		other := b.lots[at[1]].Bays[0]
		r := w.raise(b, at[0], NeighbourSwap, Datum{Key: "other", Text: other.Name, Dim: Name},
			Datum{Key: "difference", Value: p.Apart, Dim: Density}, Datum{Key: "z", Value: p.Apart / p.SD})
		r.Answered = answer
	}
}

// lookedInto returns the look that answers a suspicion that a share of the lot's length is empty: rod firm, smoke still
// or infrared even, after the last fill, within that length from where material is missing first (see near). Where
// bays share a count each of them must have been looked into.
func lookedInto(l *measure.Lot, share float64) Answer {
	var last Answer
	for _, b := range l.Bays {
		last = Answer{}
		t := tubeOf(b)
		for _, e := range b.Rows {
			if !inForce(b, e) || b.Fill == nil || e.Index < b.Fill.Index {
				continue
			}
			switch {
			case isSoft(e.Probe):
				last = Answer{}
			case (isFirm(e.Probe) || e.Probe == model.IREven) && t.near(e, share*t.length):
				last = Answer{Code: answerOf(e.Probe), Row: e}
			}
		}
		if last.Code == "" {
			return Answer{}
		}
	}
	return last
}

// near tells whether a look lies where a length of the bay would be empty: at the end away from the hole; at either
// end where the hole's place is not known or lies between. Infrared that names no place has seen the whole bay; a rod
// or smoke that names none lies nowhere.
func (t *tube) near(e *model.Entry, length float64) bool {
	if math.IsNaN(e.At) {
		return e.Probe == model.IREven
	}
	length = math.Max(length, t.throw)
	far, low := e.At >= t.length-length && e.At <= t.length+t.within, e.At >= 0 && e.At <= length
	switch {
	case t.hole <= t.throw:
		return far
	case t.hole >= t.length-t.throw:
		return low
	}
	return far || low
}
