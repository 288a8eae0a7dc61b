package model

import "fmt"

// placeSlack is how far past the bay's end a place, or the tube's mark, may be told: the tape, the foot of tube outside the
// hole, a rod held at a slant. Farther off nothing can be in the bay: it is a slip of the unit, or of the bay's length.
const placeSlack = Foot

// checkPlaces refuses places that are not in the bay, and warns of those that are told a little beyond its end.
func (a *Assembler) checkPlaces(g *gathered) {
	long := -1.0
	for _, e := range g.bay.Rows {
		if !(said(e.At) || said(e.Hole) || len(e.Reach) > 0) {
			continue
		}
		if long < 0 {
			long = g.bay.LongWay()
		}
		if long == 0 || g.bay.Dead[e] != "" {
			continue
		}
		a.checkPlace(g, e, "at", e.At, long)
		a.checkPlace(g, e, "hole", e.Hole, long)
		a.checkReach(g, e, long)
	}
}

// checkReach refuses a way of the tube that is longer than the bay.
func (a *Assembler) checkReach(g *gathered, e *Entry, long float64) {
	units := a.job.Settings.Units
	for _, r := range e.Reach {
		if r > long+placeSlack {
			a.fault(e, "reach", slip(r, long, units, "the tube passes a bay once; two ways are two values with ; between"),
				"reach %s: %s is %s long", units.Figure(ShowLength, r), g.bay.title(), units.Figure(ShowLength, long))
			return
		}
	}
}

// checkPlace checks one place, in m from the low end; NaN where none is said.
func (a *Assembler) checkPlace(g *gathered, e *Entry, column string, place, long float64) {
	if !(place > long) {
		return
	}
	if what, hint := g.bay.Beyond(column, place, a.job.Settings.Units); what != "" {
		a.fault(e, column, hint, "%s", what)
		return
	}
	a.warn(e, "beyond-bay", "%s lies beyond the length of %s", column, g.bay.title())
}

// Beyond says what is wrong with a place that cannot be in the bay, in m from its low end, and what would cure it. It is
// empty where the place can be, or where the bay's length is not known.
func (b *Bay) Beyond(column string, place float64, units System) (what, hint string) {
	long := b.LongWay()
	if long == 0 || !(place > long+placeSlack) {
		return "", ""
	}
	what = fmt.Sprintf("%s %s: %s is %s long", column, units.Figure(ShowLength, place), b.title(), units.Figure(ShowLength, long))
	return what, slip(place, long, units, "places are told from the low end; if the bay is longer, mend its length")
}

// slip asks whether the smaller unit was meant, where that would lie in the bay; else it says what else could be.
func slip(m, long float64, units System, otherwise string) string {
	small := units.Unit(ShowSize)
	if v := units.Unit(ShowLength).In(m); small.SI(v) <= long {
		return fmt.Sprintf("%.4g %s? %s", v, small.Symbol, otherwise)
	}
	return otherwise
}

// LongWay returns the longest way through a bay in m: its pieces may stand end to end. It is 0 where no length is known.
func (b *Bay) LongWay() float64 {
	var way float64
	for i := range b.Pieces {
		if p := &b.Pieces[i]; !p.Less {
			way += max(longest(&p.Length), longest(&p.Length2))
		}
	}
	return way
}

// longest is the longest of a reading's values, 0 where there is none.
func longest(r *Reading) float64 {
	var long float64
	for _, v := range r.Values {
		long = max(long, v)
	}
	return long
}
