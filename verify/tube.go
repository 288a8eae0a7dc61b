package verify

import (
	"math"

	"bayproof/model"
)

// tube is what is known about the way of the tube through a bay. Lengths in m from the low end.
type tube struct {
	length float64 // the bay's longer side
	within float64 // ± of its reading
	throw  float64
	hole   float64 // NaN where not said
}

// tubeOf gathers what holds for the whole bay: the last place of the hole that was said.
func tubeOf(b *model.Bay) tube {
	st := &b.Section.Settings
	t := tube{length: math.NaN(), within: st.LengthWithin, throw: st.Throw, hole: math.NaN()}
	if len(b.Pieces) > 0 {
		t.length = b.Pieces[0].LongSide()
	}
	for _, e := range b.Rows {
		if !math.IsNaN(e.Hole) && inForce(b, e) {
			t.hole = inside(b, e.Hole)
		}
	}
	return t
}

// inside is a place in the bay: one told a little beyond its end is at the end. The reader refuses those farther off.
func inside(b *model.Bay, at float64) float64 {
	if long := b.LongWay(); long > 0 && at > long {
		return long
	}
	return at
}

// way is one statement of how far the tube went.
type way struct {
	passed  float64 // m, all values added
	missing float64 // m that neither the tube nor its throw reached
	short   bool    // missing by more than the tape can tell
}

// wayOf works out one row's reach: the bay's length less what the tip passed, less one throw per dead end.
func (t *tube) wayOf(e *model.Entry) way {
	var passed float64
	for _, r := range e.Reach {
		passed += r
	}
	missing := t.length - passed - t.throw*float64(t.deadEnds(len(e.Reach)))
	return way{passed: passed, missing: max(missing, 0), short: missing > t.within}
}

// deadEnds is how many ends of the bay the material is thrown towards: two where the hole is away from both ends, one
// where it is at an end; where its place was not said, one for each way that the tube went.
func (t *tube) deadEnds(ways int) int {
	switch {
	case math.IsNaN(t.hole):
		return min(max(ways, 1), 2)
	case t.hole > t.throw && t.hole < t.length-t.throw:
		return 2
	}
	return 1
}

// stretch is where the tube did not get to, from its last mark to the end; ok is false where the hole's place or the
// ways leave it open on which side that is.
func (t *tube) stretch(w way) (from, to float64, ok bool) {
	switch {
	case t.hole <= t.throw:
		return min(t.hole+w.passed, t.length), t.length, true
	case t.hole >= t.length-t.throw:
		return 0, max(t.hole-w.passed, 0), true
	}
	return 0, 0, false
}

// beyond tells whether a place lies beyond the tube's last mark. Where the side is open, the last of either end counts
// that could be the part not reached. A place that was not said lies nowhere.
func (t *tube) beyond(w way, at float64) bool {
	if from, to, ok := t.stretch(w); ok {
		// Where the tube passed the whole bay, the last throw before the end is as far as one can look.
		if from > 0 {
			from = min(from, t.length-t.throw)
		} else {
			to = max(to, t.throw)
		}
		return at >= from && at <= to+t.within
	}
	end := w.missing + t.throw
	return at >= 0 && at <= end || at >= t.length-end && at <= t.length+t.within
}

// isFirm tells whether a look speaks for material where the tube did not go.
func isFirm(p model.Probe) bool { return p == model.RodFirm || p == model.SmokeStill }

// answerOf names the answer that a look gives.
func answerOf(p model.Probe) Code {
	switch p {
	case model.RodFirm:
		return ByRodFirm
	case model.SmokeStill:
		return BySmokeStill
	case model.IREven:
		return ByIREven
	}
	return ""
}
