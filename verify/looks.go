// Looks into a bay: which length of it a rod, a hand, smoke or infrared has seen, and which is left
// in doubt.
//
// A suspicion names lengths of a bay in which material may be missing, as stretches from its low
// end. A firm look covers a stretch; material blown in through a hole of its own, until it stalled,
// fills one. What is left of the lengths in doubt after all rows of the log is what is still in
// doubt: nothing left answers the suspicion. A later look that found something puts its place back.
// The same geometry says where looks and holes are ordered.
//
// All lengths are in m from the bay's low end. How far a look sees is this tool's own and stands in
// the table of constants.

package verify

import (
	"math"
	"slices"
	"strings"

	"bayproof/model"
)

// How far a look sees, in m. Firm looks that stand at most twice lookAcross apart, the last within
// lookEnd of the end, cover the length between.
const (
	lookAcross = model.Foot     // a rod across, to either side of its hole
	lookHand   = model.Foot / 2 // a hand pressed on netting
	lookEnd    = model.Foot / 2 // a look so close to an end has seen it
	// slack is what a place told in whole inches may be off by.
	slack = model.Inch
	// LeastPascals is the pressure across the face from which smoke that stands still says
	// something, Pa.
	LeastPascals = 50.0
	// LeastKelvin is the difference between inside and outside from which an even infrared picture
	// says something, K: 18 °F.
	LeastKelvin = 10.0
	// WideBay is the width from which a rod across is pushed in twice, m.
	WideBay = 20 * model.Inch
)

// stretch is a length of a bay, from and to in m from its low end.
type stretch struct{ from, to float64 }

// minus returns what is left of some stretches without another one: none, one or two pieces of
// each.
func minus(all []stretch, off stretch) []stretch {
	var left []stretch
	for _, s := range all {
		if off.to <= s.from || off.from >= s.to {
			left = append(left, s)
			continue
		}
		if off.from > s.from {
			left = append(left, stretch{s.from, off.from})
		}
		if off.to < s.to {
			left = append(left, stretch{off.to, s.to})
		}
	}
	return left
}

// worth leaves out stretches that are shorter than places are told to (slack). It changes what it
// is given.
func worth(all []stretch) []stretch {
	return slices.DeleteFunc(all, func(s stretch) bool { return s.to-s.from <= slack })
}

// tube is what is known about the way of tube and rod through a bay. Material is packed where the
// tip of the tube passes, and up to a throw beyond it towards an end that is closed: what lies
// farther from any place that the tip has been is where a void is looked for.
type tube struct {
	length float64 // the bay's longer side; NaN where no size is known
	within float64 // ± of its reading
	throw  float64 // how far the flow packs beyond the tip
	hole   float64 // where the tube went in for the fill; NaN where not said, or where there were several
	stops  []model.Stop
	open   bool // its face is netting or a membrane
}

// tubeOf gathers what holds for the whole bay: the last place of the fill hole that was said,
// top-ups apart, and what a rod stopped at.
func tubeOf(b *model.Bay) tube {
	st := &b.Section.Settings
	t := tube{length: math.NaN(), within: st.LengthWithin, throw: st.Throw, hole: math.NaN(), open: b.Section.OpenFace()}
	if len(b.Pieces) > 0 {
		t.length = b.Pieces[0].LongSide()
	}
	for _, e := range b.Rows {
		if !inForce(b, e) {
			continue
		}
		if len(e.Hole) > 0 && e.Kind != model.EntryTopup {
			t.hole = inside(b, e.OneHole())
		}
		t.stops = append(t.stops, e.Stops...)
	}
	return t
}

// FillHole returns where the tube went in for the fill, in m from the low end; NaN where it was not
// said, or where there were several.
func FillHole(b *model.Bay) float64 {
	t := tubeOf(b)
	return t.hole
}

// inside returns a place in the bay: one told a little beyond its end is at the end. The reader
// refuses those farther off.
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

// wayOf computes one row's reach: missing = length − Σ reach − throw·(dead ends), at least 0. Short
// says that more is missing than the tape's ± can tell.
func (t *tube) wayOf(e *model.Entry) way {
	var passed float64
	for _, r := range e.Reach {
		passed += r
	}
	// Within the tape's ± nothing is said to be missing.
	missing := t.length - passed - t.throw*float64(t.deadEnds(len(e.Reach)))
	return way{passed: passed, missing: max(missing, 0), short: missing > t.within}
}

// deadEnds returns how many ends of the bay the material is thrown towards: two where the hole is
// away from both ends, one where it is within a throw of an end; where its place was not said, one
// for each way that the tube went, two at most.
func (t *tube) deadEnds(ways int) int {
	switch {
	case math.IsNaN(t.hole):
		return min(max(ways, 1), 2)
	case !t.atLow() && !t.atTop():
		return 2
	}
	return 1
}

// atLow and atTop tell whether the fill hole is within a throw of that end.
func (t *tube) atLow() bool { return t.hole <= t.throw }
func (t *tube) atTop() bool { return t.hole >= t.length-t.throw }

// far returns where a length may be missing: at the end away from the hole; at both where the
// hole's place is not known or lies between. Beyond a stop often a whole bay is empty: all behind
// the first one on the way from the hole counts. Nil where nothing is missing.
func (t *tube) far(missing float64) []stretch {
	missing = math.Min(missing, t.length)
	low, top := stretch{0, missing}, stretch{t.length - missing, t.length}
	for _, s := range t.stops {
		if s.At > t.hole {
			top.from = math.Min(top.from, s.At)
		}
		if s.At < t.hole {
			low.to = math.Max(low.to, s.At)
		}
	}
	switch {
	case !(missing > 0):
		return nil
	case t.atLow():
		return []stretch{top}
	case t.atTop():
		return []stretch{low}
	case low.to >= top.from:
		return []stretch{{0, t.length}}
	}
	return []stretch{low, top}
}

// seen returns what one firm look covers, never past a stop; nil where it proves nothing:
//
//   - a rod across: lookAcross to either side of its hole, to an end if within lookEnd of it;
//
//   - a rod along: from the fill hole to where it was pushed; nothing where that hole is not known;
//
//   - a hand: lookHand to either side;
//
//   - smoke that stands still: its own place, with LeastPascals across the face and a firm rod in
//     the same hole, as a sealed void is still too;
//
//   - an even infrared picture: from its first to its last place, with LeastKelvin across the face,
//     never on netting.
func (t *tube) seen(b *model.Bay, e *model.Entry) []stretch {
	var out []stretch
	across := func(reach float64) {
		for _, at := range e.At {
			s := stretch{math.Max(at-reach, lookEnd), math.Min(at+reach, t.length-lookEnd)} // an end is seen from close by only
			if at <= lookEnd+slack {
				s.from = 0
			}
			if at >= t.length-lookEnd-slack {
				s.to = t.length
			}
			out = append(out, t.cell(s, at))
		}
	}
	switch e.Probe {
	case model.RodFirm:
		if e.Way != model.Along {
			across(lookAcross)
			break
		}
		for _, at := range e.At {
			if !math.IsNaN(t.hole) {
				out = append(out, t.cell(t.ends(stretch{math.Min(t.hole, at), math.Max(t.hole, at)}), t.hole))
			}
		}
	case model.HandFirm:
		across(lookHand)
	case model.SmokeStill: // a sealed void is still too
		for _, at := range e.At {
			if e.Under >= LeastPascals*(1-1e-9) && t.rodded(b, at) {
				out = append(out, t.cell(stretch{at - slack, at + slack}, at))
			}
		}
	case model.IREven:
		if n := len(e.At); n > 1 && e.Under >= LeastKelvin*(1-1e-9) && !t.open {
			out = append(out, t.ends(stretch{slices.Min(e.At), slices.Max(e.At)}))
		}
	}
	return out
}

// rodded tells whether a firm rod stands in the log at the same hole, to 3 in.
func (t *tube) rodded(b *model.Bay, at float64) bool {
	return slices.ContainsFunc(b.Rows, func(e *model.Entry) bool {
		return e.Probe == model.RodFirm && inForce(b, e) && slices.ContainsFunc(e.At, func(x float64) bool { return math.Abs(x-at) <= 3*slack })
	})
}

// ends lets a stretch that comes within lookEnd of an end reach it.
func (t *tube) ends(s stretch) stretch {
	if s.from <= lookEnd+1e-9 {
		s.from = 0
	}
	if s.to >= t.length-lookEnd-1e-9 {
		s.to = t.length
	}
	return s
}

// cell cuts a stretch at the stops on either side of where the look went in.
func (t *tube) cell(s stretch, in float64) stretch {
	for _, stop := range t.stops {
		if stop.At >= in {
			s.to = math.Min(s.to, stop.At)
		} else {
			s.from = math.Max(s.from, stop.At)
		}
	}
	return s
}

// along returns how far a rod goes from the fill hole, one or two ways, to cover some lengths in
// doubt, which must be in order; nil where it cannot: no hole is known, or a stop lies between.
func (t *tube) along(doubt []stretch) (at []float64) {
	low, top := doubt[0].from, doubt[len(doubt)-1].to
	if math.IsNaN(t.hole) || slices.ContainsFunc(t.stops, func(s model.Stop) bool { return s.At > low && s.At < top || (s.At > t.hole) != (s.At > low) }) {
		return nil
	}
	if low < t.hole-lookEnd {
		at = append(at, whole(math.Max(low, lookEnd/2)))
	}
	if top > t.hole+lookEnd {
		at = append(at, whole(math.Min(top, t.length-lookEnd/2)))
	}
	if at == nil {
		at = []float64{whole((low + top) / 2)}
	}
	return at
}

// spread returns places of looks that see `each` to either side and together cover some lengths:
// even steps of 2·each at most, less what places are told to.
func (t *tube) spread(doubt []stretch, each float64) (at []float64) {
	for _, s := range doubt {
		from, to := s.from+each, s.to-each
		if s.from <= slack {
			from = math.Min(lookEnd, each)
		}
		if s.to >= t.length-slack {
			to = t.length - math.Min(lookEnd, each)
		}
		if to <= from {
			at = append(at, whole(math.Min(math.Max((s.from+s.to)/2, lookEnd/2), t.length-lookEnd/2)))
			continue
		}
		n := math.Ceil((to - from) / (2*each - 2*slack))
		for i := 0.0; i <= n; i++ {
			at = append(at, whole(from+(to-from)*i/n))
		}
	}
	return at
}

// whole returns a place to the whole inch: nobody measures a hole finer.
func whole(at float64) float64 { return math.Round(at/model.Inch) * model.Inch }

// mayDrill tells whether a hole may be made at a place: not within HoleWithin of what the rod
// stopped at, unless that is a block.
func (t *tube) mayDrill(at float64) bool {
	return !slices.ContainsFunc(t.stops, func(s model.Stop) bool {
		return s.What != model.StopBlock && math.Abs(s.At-at) < HoleWithin-1e-9
	})
}

// stopped tells whether a stop lies between a place outside a stretch and the stretch: nothing gets
// there from it.
func (t *tube) stopped(at float64, s stretch) bool {
	return slices.ContainsFunc(t.stops, func(x model.Stop) bool {
		return at < s.from && x.At >= at && x.At <= s.from+slack || at > s.to && x.At <= at && x.At >= s.to-slack
	})
}

// newHole returns where a hole is made for some length: at its middle, or as near to it as may be
// drilled, inch by inch to either side; NaN where none may be within HoleWithin of it.
func (t *tube) newHole(s stretch) float64 {
	middle := whole(math.Min(math.Max((s.from+s.to)/2, lookEnd), t.length-lookEnd)) // not into the plate
	for step := -1.0; step < 400; step++ {
		for _, sign := range []float64{-1, 1} {
			at := middle + sign*(step+1)*model.Inch
			if at < s.from-HoleWithin || at > s.to+HoleWithin || at < lookEnd/2 || at > t.length-lookEnd/2 || !t.mayDrill(at) || t.stopped(at, s) {
				continue
			}
			return at
		}
	}
	return math.NaN()
}

// alsoFor returns a place up to 13 in from a hole that is made where something was found, so that
// it serves what the tube did not reach too; the hole itself where no place is within a foot of
// both.
func (t *tube) alsoFor(hole float64, rest []*Reason) float64 {
	serves := func(at float64) bool {
		return !slices.ContainsFunc(rest, func(r *Reason) bool {
			return (r.Code == Reach || r.Code == ProbeSoft && !r.blown) && slices.ContainsFunc(r.doubt, func(s stretch) bool { return at < s.from-HoleWithin-1e-9 || at > s.to+HoleWithin+1e-9 })
		})
	}
	for inches := 0.0; inches <= 13; inches++ {
		for _, at := range []float64{hole - inches*model.Inch, hole + inches*model.Inch} {
			if serves(at) && at >= lookEnd/2 && at <= t.length-lookEnd/2 && t.mayDrill(at) && !t.stopped(at, stretch{hole, hole}) {
				return at
			}
		}
	}
	return hole
}

// uncovered takes off some lengths in doubt what was answered by rows from the one with index since
// on: firm looks that cover it, and material blown into it through a hole of its own until it
// stalled. A later look that found something puts its place back. It returns what is left, and the
// answer where that is nothing.
func (t *tube) uncovered(b *model.Bay, doubt []stretch, since int) ([]stretch, Answer) {
	left, answer := worth(slices.Clone(doubt)), Answer{}
	for _, e := range b.Rows {
		if e.Index < since || !inForce(b, e) {
			continue
		}
		before := length(left)
		for _, s := range t.seen(b, e) {
			left = minus(left, s)
		}
		if e.Kind == model.EntryTopup && stalled(b, e) && !e.Material.AddsNothing() {
			for _, hole := range e.Hole {
				left = t.blown(left, hole)
			}
		}
		if left = worth(left); length(left) < before {
			answer = Answer{Code: answerOf(e), Row: e}
		}
		if isSoft(e.Probe) {
			for _, at := range e.Places() {
				for _, s := range doubt {
					if again := (stretch{math.Max(s.from, at-lookAcross), math.Min(s.to, at+lookAcross)}); again.to > again.from {
						left = append(minus(left, again), again)
					}
				}
			}
		}
	}
	if len(left) > 0 {
		answer = Answer{}
	}
	return left, answer
}

// blown takes off what material that was blown in at a hole has filled: the stretch that the hole
// lies in or within HoleWithin of, up to the stops on either side.
func (t *tube) blown(left []stretch, hole float64) []stretch {
	var out []stretch
	for _, s := range left {
		if hole < s.from-HoleWithin || hole > s.to+HoleWithin {
			out = append(out, s)
			continue
		}
		out = append(out, minus([]stretch{s}, t.cell(s, math.Min(math.Max(hole, s.from), s.to)))...)
	}
	return out
}

// length adds up stretches, in m.
func length(all []stretch) (sum float64) {
	for _, s := range all {
		sum += s.to - s.from
	}
	return sum
}

// stalled tells whether a row says that the flow stalled; where it says nothing, the word for the
// whole job holds.
func stalled(b *model.Bay, e *model.Entry) bool {
	return e.Stall == model.Yes || e.Stall == model.Unsaid && b.Section.Settings.ToStall == model.Yes
}

// answerOf names the answer that a row gives.
func answerOf(e *model.Entry) Code {
	switch e.Probe {
	case model.RodFirm:
		return ByRodFirm
	case model.HandFirm:
		return ByHand
	case model.SmokeStill:
		return BySmokeStill
	case model.IREven:
		return ByIREven
	}
	return ByTube
}

// reach raises the length that the tube did not pass, and looks for what answers it: looks that
// cover it, material blown into it through a hole of its own, or the tube run again far enough with
// material. A later short reach starts the search for an answer again.
func (b *Bay) reach(t *tube) {
	// Rows are in the order of the log. A later short reach starts the search for an answer again.
	raised, since := false, 0
	var at way
	var rerun Answer
	for _, e := range b.Bay.Rows {
		if !inForce(b.Bay, e) || len(e.Reach) == 0 {
			continue
		}
		now := t.wayOf(e)
		switch {
		case now.short && !(e.Kind == model.EntryTopup && len(e.Hole) > 0):
			raised, at, rerun, since = true, now, Answer{}, e.Index
		case raised && e.Kind == model.EntryTopup && stalled(b.Bay, e) && !e.Material.AddsNothing():
			rerun = Answer{Code: ByTube, Row: e}
		}
	}
	if !raised {
		return
	}
	doubt := t.far(at.missing)
	if len(doubt) == 1 && doubt[0].to-doubt[0].from < t.length { // behind a stop nothing is thrown: all of it counts
		at.missing = doubt[0].to - doubt[0].from
	}
	data := []Datum{num("missing", at.missing, Length), num("passed", at.passed, Length), num("length", t.length, Length)}
	if len(doubt) == 1 {
		data = append(data, num("from", doubt[0].from, Length), num("to", doubt[0].to, Length))
	}
	r := b.raise(Reach, data...)
	if r.doubt, r.Answered = t.uncovered(b.Bay, doubt, since); !r.IsAnswered() {
		r.Answered = rerun
	}
}

// noStall raises a flow that was said not to have stalled: nobody knows where it is thin, and the
// whole bay is in doubt. Material blown in until it stalled answers it, looks along the whole bay,
// or another word about the fill.
func (b *Bay) noStall(t *tube) {
	raised, since := false, 0
	var answered Answer
	for _, e := range b.Bay.Rows {
		switch {
		case !inForce(b.Bay, e):
		case e.Stall == model.No:
			raised, since, answered = true, e.Index, Answer{}
		case raised && e.Stall == model.Yes && (e.Kind == model.EntrySeen || e.Kind == model.EntryTopup && !e.Material.AddsNothing()):
			answered = Answer{Code: ByTube, Row: e}
		}
	}
	if !raised {
		return
	}
	r := b.raise(NoStall)
	if r.doubt, r.Answered = t.uncovered(b.Bay, []stretch{{0, t.length}}, since); !r.IsAnswered() {
		r.Answered = answered
	}
}

// probeSoft raises every look that found the bay soft, empty, moving or cold, one reason a finding.
// Material blown in there and a look there after it answer it, in that order.
func (b *Bay) probeSoft(t *tube) {
	for i, e := range b.Bay.Rows {
		if !isSoft(e.Probe) || !inForce(b.Bay, e) {
			continue
		}
		for _, at := range e.Places() {
			r := b.raise(ProbeSoft, named("finding", ProbeName(e.Probe)))
			if !math.IsNaN(at) {
				at = inside(b.Bay, at)
				r.Data = append(r.Data, num("at", at, Length))
				r.doubt = []stretch{{at - slack, at + slack}}
			}
			for _, later := range b.Bay.Rows[i+1:] {
				switch {
				case !inForce(b.Bay, later):
				case t.blownAt(later, at):
					r.blown = true
				case r.blown && t.clears(b.Bay, later, e.Probe, at):
					r.Answered = Answer{Code: answerOf(later), Row: later}
				}
				if r.IsAnswered() {
					break
				}
			}
		}
	}
}

// blownAt tells whether a row blew material in at a place: through a hole within a foot of it, or
// with the tube past it; where no hole is said, through the fill hole that is.
func (t *tube) blownAt(e *model.Entry, at float64) bool {
	if e.Kind != model.EntryTopup || e.Material.AddsNothing() {
		return false
	}
	holes, near := e.Hole, HoleWithin+slack
	if len(holes) == 0 {
		holes = []float64{t.hole}
	}
	if len(e.Reach) > 0 {
		near = math.Max(near, t.wayOf(e).passed+t.throw)
	}
	return math.IsNaN(at) || slices.ContainsFunc(holes, func(h float64) bool { return math.Abs(h-at) <= near })
}

// isSoft tells whether a look speaks against the bay: it gives way, is empty, lets air through or
// is cold.
func isSoft(p model.Probe) bool {
	return p == model.RodSoft || p == model.RodEmpty || p == model.HandSoft || p == model.SmokeMoves || p == model.IRCold
}

// clears tells whether a later look answers a finding: of a kind that can see the same thing, and
// covering the place. Air that moves is answered by smoke alone, as a rod may be firm beside a
// channel.
func (t *tube) clears(b *model.Bay, later *model.Entry, found model.Probe, at float64) bool {
	if (found == model.SmokeMoves) != (later.Probe == model.SmokeStill) {
		return false
	}
	return slices.ContainsFunc(t.seen(b, later), func(s stretch) bool {
		return math.IsNaN(at) || at >= s.from-3*slack && at <= s.to+3*slack
	})
}

// ProbeName is the word for a look as the log has it, with a hyphen.
func ProbeName(p model.Probe) string {
	return strings.ReplaceAll(p.String(), " ", "-")
}

// look returns the look to order, for the lengths in doubt of all suspicions that looks answer:
// where nobody has looked yet, or where something was found and material was blown in since. A hand
// on netting or a rod along from the fill hole cost least; else test holes stand so that the looks
// cover the length in doubt, mostHoles at most. Nothing where no hole may be made, or where what
// was found is to be filled first.
func (a *advisor) look(b *Bay, k int, rest []*Reason) Order {
	t := tubeOf(b.Bay)
	var doubt []stretch
	var why Code
	if slices.ContainsFunc(rest, func(r *Reason) bool { return r.Code == ProbeSoft && !r.blown }) {
		return Order{} // what was found is filled first
	}
	for _, r := range rest {
		if len(r.doubt) == 0 || r.Code == ProbeSoft && !r.blown {
			continue
		}
		if len(a.lots[k].Bays) > 1 && (r.Code == ShortOfCrew || r.Code == NeighbourSwap) {
			continue // nobody knows in which of its bays
		}
		if r.Code == ProbeSoft { // through the hole that the material went in by
			return a.lookAfter(b, k, &t, r, rest)
		}
		if why == "" {
			why = r.Code
		}
		for _, s := range r.doubt {
			doubt = append(minus(doubt, s), s)
		}
	}
	if why == "" && b.Verdict != Probe && len(a.lots[k].Bays) == 1 { // no suspicion names a place: where most is missing if any is
		why = b.Reasons[0].Code
		doubt, _ = t.uncovered(b.Bay, a.missing(b, k, &t), b.Bay.Fill.Index)
	}
	if len(doubt) == 0 {
		return Order{}
	}
	slices.SortFunc(doubt, func(x, y stretch) int { return int(math.Copysign(1, x.from-y.from)) })
	o := Order{Action: ActLook, For: why}
	if t.open {
		return a.looked(b, o, t.spread(doubt, lookHand), "hand", pressing)
	}
	pushed := slices.ContainsFunc(b.Bay.Rows, func(e *model.Entry) bool { return e.Way == model.Along && inForce(b.Bay, e) })
	if at := t.along(doubt); at != nil && !pushed { // once: what it did not reach is not reached by the same way
		o = a.looked(b, o, at, "rod", rodAlong)
		o.Data = append(o.Data, named("way", "along"))
		return o
	}
	at := t.spread(doubt, lookAcross)
	hole := a.hole(testHole)
	if hole == nil || len(at) > mostHoles || slices.ContainsFunc(at, func(x float64) bool { return !t.mayDrill(x) }) {
		return Order{}
	}
	o = a.looked(b, o, at, "rod", hole...)
	o.Data = append(o.Data, named("with", "hole"), named("way", "across"))
	return o
}

// lookAfter returns the look where something was found and material was blown in since: as it was
// found, but a rod for infrared, and before smoke a rod in the same hole. What else of the bay is
// in doubt is looked at with it, where few holes will do.
func (a *advisor) lookAfter(b *Bay, k int, t *tube, r *Reason, rest []*Reason) Order {
	o := Order{Action: ActLook, For: ProbeSoft}
	at, found := []float64{whole((r.doubt[0].from + r.doubt[0].to) / 2)}, r.Data[0].Text
	switch {
	case found == ProbeName(model.SmokeMoves) && t.rodded(b.Bay, at[0]):
		return a.looked(b, o, at, "smoke", smoking)
	case found == ProbeName(model.RodSoft), found == ProbeName(model.RodEmpty): // through the hole that is there, if it sees that far
		for _, e := range b.Bay.Rows {
			if t.blownAt(e, at[0]) && inForce(b.Bay, e) && len(e.Hole) == 1 && math.Abs(e.Hole[0]-at[0]) <= lookAcross+slack {
				at[0] = e.Hole[0]
			}
		}
	}
	var left []stretch
	each := lookAcross
	if found == ProbeName(model.HandSoft) {
		each = lookHand
	}
	for _, other := range rest {
		if other != r && len(a.lots[k].Bays) == 1 {
			left = append(left, minus(other.doubt, t.cell(stretch{at[0] - each, at[0] + each}, at[0]))...)
		}
	}
	more := t.spread(worth(left), each)
	if found == ProbeName(model.HandSoft) {
		return a.looked(b, o, append(at, more...), "hand", pressing)
	}
	hole := a.hole(testHole)
	if len(more) == 0 || hole == nil || len(more) > mostHoles || slices.ContainsFunc(more, func(x float64) bool { return !t.mayDrill(x) }) {
		o = a.looked(b, o, at, "rod", rodAlong)
	} else {
		o = a.looked(b, o, append(at, more...), "rod", rodAlong)
		o.Minutes += cost(hole...) * float64(len(more))
		o.Data = append(o.Data, named("with", "hole"))
	}
	o.Data = append(o.Data, named("way", "across"))
	return o
}

// looked fills in where, with what, and what it takes: a hole for every place, and the ladder if it
// has moved.
func (a *advisor) looked(b *Bay, o Order, at []float64, with string, each ...work) Order {
	for _, x := range at {
		o.Data = append(o.Data, num("at", x, Length))
	}
	o.Data = append(o.Data, named("with", with))
	o.Minutes = cost(each...)
	if each[0] == testHole || each[0] == slitting {
		o.Minutes *= float64(len(at))
	}
	if a.moved(b) {
		o.Minutes += cost(ladderMoved)
	}
	return o
}
