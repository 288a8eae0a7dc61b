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
		if len(e.Reach) > 0 || e.Stall == model.Yes || e.Stall == model.No || e.Probe != model.ProbeNone {
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
	if len(e.At) == 0 {
		return e.Probe == model.IREven
	}
	length = math.Max(length, t.throw)
	return slices.ContainsFunc(e.At, func(at float64) bool {
		far, low := at >= t.length-length && at <= t.length+t.within, at >= 0 && at <= length
		switch {
		case t.hole <= t.throw:
			return far
		case t.hole >= t.length-t.throw:
			return low
		}
		return far || low
	})
}

// drift looks for a density that moves along the order of filling, and raises it on the section. `set` rows start it
// afresh. Where the order of the log is doubtful there is none.
func (w *work) drift(b *bench, r *crew.Result) Drift {
	if w.job.OrderDoubtful {
		return Drift{}
	}
	run := make([]int, len(b.lots))
	for i := range b.lots {
		run[i] = b.lots[i].Bays[0].Run
	}
	t, ok := crew.Trending(b.lots, run, *r)
	if !ok {
		return Drift{}
	}
	d := Drift{Method: "slope", Slope: t.Slope, USlope: t.USlope, Z: t.Z, Found: t.Found}
	if w.opts.Charts {
		d.chart(b.lots, crew.Charted(b.lots, run, *r))
	}
	if d.Found {
		b.section.Reasons = append(b.section.Reasons, Reason{Code: DriftFound,
			Data: w.room.datums(Datum{Key: "slope", Value: d.Slope, Dim: Density}, Datum{Key: "z", Value: d.Z})})
	}
	return d
}

// chart gives every bay its lot's place on the chart.
func (d *Drift) chart(lots []measure.Lot, points []crew.ChartPoint) {
	for _, p := range points {
		for _, bay := range lots[p.Lot].Bays {
			d.Points = append(d.Points, DriftPoint{Bay: bay, EWMA: p.EWMA, Lo: p.Lo, Hi: p.Hi})
		}
	}
}

// coresOf reads the cores of a bay, filled or not.
func (w *work) coresOf(b *model.Bay) []Core {
	var out []Core
	for i := range w.job.Cores {
		if c := &w.job.Cores[i]; isCoreOf(c, b) {
			density, u := coreDensity(c, &b.Section.Settings)
			half := w.factor.at(math.Inf(1)) * u
			out = append(out, Core{Core: c, Density: density, U: u, Lo: density - half, Hi: density + half})
		}
	}
	return out
}

// core sets a bay's cores against its own density, and raises one that does not agree. A later core of the same bay that
// agrees answers.
func (w *work) core(b *Bay, l *measure.Lot) {
	var raised *Reason
	for i := range b.Cores {
		c := &b.Cores[i]
		z := (c.Density - l.Density) / math.Hypot(c.U, l.U)
		switch agrees := math.Abs(z) <= CoreLimit; {
		case math.IsNaN(z):
			continue
		case agrees:
			c.Agrees = model.Yes
			if raised != nil {
				raised.Answered = Answer{Code: ByCore}
			}
			continue
		}
		c.Agrees = model.No
		if raised == nil || raised.IsAnswered() {
			raised = w.room.add(CoreDisagrees, Datum{Key: "core", Value: c.Density, Dim: Density},
				Datum{Key: "density", Value: l.Density, Dim: Density}, Datum{Key: "z", Value: z})
		}
	}
}

// isCoreOf tells whether a row is a core of the bay. A test box is filled apart from any bay.
func isCoreOf(c *model.Core, b *model.Bay) bool {
	return strings.EqualFold(c.Bay, b.Name) && strings.EqualFold(c.Section, b.Section.Name) &&
		!strings.Contains(strings.ToLower(c.Kind), "box")
}

// coreDensity returns the density of a core, ρ = m/(π/4·d²·depth), and its standard uncertainty for the bay's mean:
// the scale, the cutter's diameter, the tape (all rectangular), and how far one place stands for a bay.
func coreDensity(c *model.Core, st *model.Settings) (density, u float64) {
	volume, rel2 := c.Volume, square(CoreLocal)
	if c.Diameter > 0 && c.Depth > 0 { // cut, and not of a volume that was given
		volume = math.Pi / 4 * c.Diameter * c.Diameter * c.Depth
		rel2 += square(2*CoreDiameterWithin/c.Diameter)/3 + square(st.DepthWithin/c.Depth)/3
	}
	density = c.Mass / volume
	return density, math.Hypot(density*math.Sqrt(rel2), CoreMassWithin/volume/math.Sqrt(3))
}

func square(x float64) float64 { return x * x }

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
		if len(e.Hole) > 0 && inForce(b, e) {
			t.hole = inside(b, e.OneHole())
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

// looksBeyond tells whether any place of a look lies beyond the tube's last mark.
func (t *tube) looksBeyond(w way, e *model.Entry) bool {
	return slices.ContainsFunc(e.At, func(at float64) bool { return t.beyond(w, at) })
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

// reach raises the length that the tube did not pass, and looks for what answers it.
func (w *work) reach(b *model.Bay, t *tube) {
	var raised bool
	var at way
	var ans Answer
	var later bool // the tube went far enough in a later row, and may yet be said to have stalled
	for _, e := range b.Rows {
		if !inForce(b, e) {
			continue
		}
		if len(e.Reach) > 0 {
			now := t.wayOf(e)
			later = raised && !now.short
			if now.short {
				raised, at, ans = true, now, Answer{}
			}
		}
		switch {
		case !raised || ans.Code != "":
		case later && e.Stall == model.Yes:
			ans = Answer{Code: ByTube, Row: e}
		case isFirm(e.Probe) && t.looksBeyond(at, e):
			ans = Answer{Code: answerOf(e.Probe), Row: e}
		}
	}
	if raised {
		w.room.add(Reach, w.room.stretchData(t, at)...).Answered = ans
	}
}

// stretchData is the evidence of a length not reached.
func (l *ledger) stretchData(t *tube, at way) []Datum {
	d := []Datum{{Key: "missing", Value: at.missing, Dim: Length}, {Key: "passed", Value: at.passed, Dim: Length},
		{Key: "length", Value: t.length, Dim: Length}}
	if from, to, ok := t.stretch(at); ok {
		d = append(d, Datum{Key: "from", Value: from, Dim: Length}, Datum{Key: "to", Value: to, Dim: Length})
	}
	return d
}

// noStall raises a flow that was said not to have stalled, and looks for what answers it.
func (w *work) noStall(b *model.Bay, t *tube) {
	var raised, known bool
	var at way
	var ans Answer
	for _, e := range b.Rows {
		if !inForce(b, e) {
			continue
		}
		if len(e.Reach) > 0 {
			at, known = t.wayOf(e), true
		}
		switch {
		case e.Stall == model.No:
			raised, ans = true, Answer{}
		case raised && ans.Code == "" && e.Stall == model.Yes && !at.short:
			ans = Answer{Code: ByTube, Row: e}
		}
		if raised && ans.Code == "" && isFirm(e.Probe) && (!known || t.looksBeyond(at, e)) {
			ans = Answer{Code: answerOf(e.Probe), Row: e}
		}
	}
	if raised {
		w.room.add(NoStall).Answered = ans
	}
}

// probeSoft raises every look that found the bay soft, empty, moving or cold, one reason a finding.
func (w *work) probeSoft(b *model.Bay, t *tube) {
	for i, e := range b.Rows {
		if !isSoft(e.Probe) || !inForce(b, e) {
			continue
		}
		for _, at := range e.Places() {
			r := w.room.add(ProbeSoft, Datum{Key: "finding", Text: ProbeName(e.Probe), Dim: Name})
			if !math.IsNaN(at) {
				r.Data = w.room.datums(r.Data[0], Datum{Key: "at", Value: inside(b, at), Dim: Length})
			}
			for _, later := range b.Rows[i+1:] {
				if inForce(b, later) && clears(later, e.Probe, at) {
					r.Answered = Answer{Code: answerOf(later.Probe), Row: later}
					break
				}
			}
		}
	}
}

func isSoft(p model.Probe) bool {
	return p == model.RodSoft || p == model.RodEmpty || p == model.SmokeMoves || p == model.IRCold
}

// clears tells whether a later look answers a finding: of a kind that can see the same thing, at the same place. Air that
// moves is answered by smoke alone, as a rod may be firm beside a channel.
func clears(later *model.Entry, found model.Probe, at float64) bool {
	var kind bool
	switch found {
	case model.RodSoft, model.RodEmpty:
		kind = later.Probe == model.RodFirm
	case model.SmokeMoves:
		kind = later.Probe == model.SmokeStill
	case model.IRCold:
		kind = later.Probe == model.IREven || later.Probe == model.RodFirm
	}
	if !kind || math.IsNaN(at) {
		return kind
	}
	return slices.ContainsFunc(later.At, func(looked float64) bool { return math.Abs(looked-at) <= LookWithin })
}

// ProbeName is the word for a look as the log has it, with a hyphen.
func ProbeName(p model.Probe) string {
	return strings.ReplaceAll(p.String(), " ", "-")
}
