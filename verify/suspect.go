package verify

import (
	"bayproof/model"
	"bayproof/verify/measure"
	"bayproof/verify/stat"
)

// suspect opens the suspicions that a bay's own rows and figures raise, the same under every rule.
func (w *work) suspect(b *Bay, l *measure.Lot, d *decision) {
	if !carries(d.reasons, OverFull) {
		w.aboveCeiling(b, l)
	}
	if observed(b.Bay) {
		t := tubeOf(b.Bay)
		w.reach(b.Bay, &t)
		w.noStall(b.Bay, &t)
		w.probeSoft(b.Bay, &t)
	}
	w.core(b, l)
}

func carries(reasons []Reason, c Code) bool {
	for i := range reasons {
		if reasons[i].Code == c {
			return true
		}
	}
	return false
}

// observed tells whether any row in force says how the filling went or what a look found.
func observed(b *model.Bay) bool {
	for _, e := range b.Rows {
		if len(e.Reach) > 0 || e.Stall != model.Unsaid || e.Probe != model.ProbeNone {
			return true
		}
	}
	return false
}

// aboveCeiling raises over-full where the density is shown, with the confidence asked for, to be above the ceiling. A
// density that only reads above it is left alone: with bags read to a quarter one good section in five would be named.
func (w *work) aboveCeiling(b *Bay, l *measure.Lot) {
	st := &b.Bay.Section.Settings
	if !(l.Density > st.Ceiling) {
		return
	}
	if p := stat.ProbAtLeast(l.Density, l.U, l.DOF, st.Ceiling); p >= st.Confidence {
		w.room.add(OverFull, Datum{Key: "density", Value: l.Density, Dim: Density},
			Datum{Key: "ceiling", Value: st.Ceiling, Dim: Density}, Datum{Key: "prob_over", Value: p, Dim: Probability})
	}
}

// inForce tells whether a row still holds.
func inForce(b *model.Bay, e *model.Entry) bool { return b.Dead == nil || b.Dead[e] == "" }
