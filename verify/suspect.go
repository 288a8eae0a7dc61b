package verify

import (
	"math"
	"slices"
	"strings"
	"time"

	"bayproof/model"
	"bayproof/verify/crew"
	"bayproof/verify/measure"
	"bayproof/verify/stat"
)

// suspect opens the suspicions that a bay's own rows and figures raise, the same under every rule.
func (c *check) suspect(b *Bay, l *measure.Lot, d *decision) {
	if find(d.reasons, OverFull) == nil {
		aboveCeiling(b, l)
	}
	for _, e := range b.Bay.Rows { // most logs say nothing about tube and rod
		if len(e.Reach) > 0 || e.Stall == model.Yes || e.Stall == model.No || e.Probe != model.ProbeNone {
			t := tubeOf(b.Bay)
			b.reach(&t)
			b.noStall(&t)
			b.probeSoft()
			break
		}
	}
	b.agreeCores(l)
}

// aboveCeiling raises over-full where the density is shown, with the confidence asked for, to be above the ceiling. A
// density that only reads above it is left alone: with bags read to a quarter one good section in five would be named.
func aboveCeiling(b *Bay, l *measure.Lot) {
	st := &b.Bay.Section.Settings
	if !(l.Density > st.Ceiling) {
		return
	}
	if p := stat.ProbAtLeast(l.Density, l.U, l.DOF, st.Ceiling); p >= st.Confidence {
		b.raise(OverFull, num("density", l.Density, Density), num("ceiling", st.Ceiling, Density), num("prob_over", p, Probability))
	}
}

// inForce tells whether a row still holds: it was neither amended nor struck.
func inForce(b *model.Bay, e *model.Entry) bool { return b.Dead == nil || b.Dead[e] == "" }

// suspectCrew raises the suspicions that rest on the crew's other bays, and a section whose mean is over the ceiling.
func (c *check) suspectCrew(s *sectionLots, r *crew.Result) {
	paired := make([]bool, len(s.lots)) // the low one of a named pair is not also short of the crew
	for i := range r.Pairs {
		s.swapped(&r.Pairs[i])
		paired[r.Pairs[i].Low] = true
	}
	var over []Datum // the evidence that the section is over the ceiling
	if r.MeanOver {
		over = []Datum{num("mean", r.Process.Mean, Density), num("ceiling", s.of.Settings.Ceiling, Density)}
		s.out.raise(SectionOver, over...)
	}
	for i := range s.lots {
		p := &r.Lots[i]
		switch {
		case p.Over > crew.OverAbove:
			s.raise(i, OverFull, num("density", s.lots[i].Density, Density), num("ceiling", math.NaN(), Density), num("prob_over", p.Over, Probability))
		case p.ShortOfCrew() && !paired[i] && s.lots[i].Mass > 0:
			s.shortOfCrew(i, p)
		}
		if over != nil {
			s.raise(i, SectionOver, over...)
		}
	}
}

// raise opens a suspicion about a lot.
func (s *sectionLots) raise(lot int, code Code, data ...Datum) *Reason {
	d := &s.decided[lot]
	d.reasons = append(d.reasons, Reason{Code: code, Data: data})
	return &d.reasons[len(d.reasons)-1]
}

// shortOfCrew raises a lot that is probably bad, with how rarely a full bay of this crew reads so low and the length in m
// that would be empty if the rest were packed like the crew's other bays. Of bays that share a count each has a length of
// its own; their figures name it.
func (s *sectionLots) shortOfCrew(i int, p *crew.Posterior) {
	l, d := &s.lots[i], &s.decided[i]
	d.empty, d.emptyLo, d.emptyHi = p.Empty()
	length := tubeOf(l.Bays[0]).length
	if len(l.Bays) > 1 {
		length = math.NaN()
	}
	s.raise(i, ShortOfCrew, num("rarity", p.Rarity, Rarity), num("empty", d.empty*length, Length),
		num("empty_lo", d.emptyLo*length, Length), num("empty_hi", d.emptyHi*length, Length)).Answered = lookedInto(l, d.emptyHi)
}

// swapped raises both lots of a pair. What is found in the low one answers both: there the material would be missing.
func (s *sectionLots) swapped(p *crew.Pair) {
	answered := lookedInto(&s.lots[p.Low], 1-s.lots[p.Low].Density/s.out.Mean)
	for _, at := range [2][2]int{{p.Low, p.High}, {p.High, p.Low}} {
		s.raise(at[0], NeighbourSwap, named("other", s.lots[at[1]].Bays[0].Name), num("difference", p.Apart, Density),
			num("z", p.Apart/p.SD, Number)).Answered = answered
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
			if !inForce(b, e) || b.Fill == nil { // a row before the fill is of a roof sheet that was typed in first
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

// drift looks for a density that moves along the order of filling, and raises it on the section, machine by machine;
// `set` rows start it afresh. Where the order of the log is doubtful there is none.
func (c *check) drift(s *sectionLots, r *crew.Result) Drift {
	if c.job.OrderDoubtful {
		return Drift{}
	}
	t, ok := crew.Trending(s.lots, *r)
	if !ok {
		return Drift{}
	}
	d := Drift{Method: "slope", Slope: t.Slope, USlope: t.USlope, Z: t.Z, Found: t.Found}
	if c.opts.Charts {
		for _, p := range crew.Charted(s.lots, *r) {
			for _, bay := range s.lots[p.Lot].Bays {
				d.Points = append(d.Points, DriftPoint{Bay: bay, EWMA: p.EWMA, Lo: p.Lo, Hi: p.Hi})
			}
		}
	}
	if d.Found {
		s.out.raise(DriftFound, num("slope", d.Slope, Density), num("z", d.Z, Number))
	}
	return d
}

// coresOf reads the cores of a bay, filled or not.
func (c *check) coresOf(b *model.Bay) []Core {
	var out []Core
	for i := range c.job.Cores {
		if core := &c.job.Cores[i]; isCoreOf(core, b) {
			density, u := coreDensity(core, &b.Section.Settings)
			half := c.factor.at(math.Inf(1)) * u
			out = append(out, Core{Core: core, Density: density, U: u, Lo: density - half, Hi: density + half})
		}
	}
	return out
}

// agreeCores sets a bay's cores against its own density, and raises one that does not agree: more than CoreLimit of the
// two standard uncertainties together lie between. A later core of the same bay that agrees answers.
func (b *Bay) agreeCores(l *measure.Lot) {
	// z is the difference in combined standard uncertainties; NaN where the bay or the core has no density.
	var raised *Reason
	for i := range b.Cores {
		core := &b.Cores[i]
		z := (core.Density - l.Density) / math.Hypot(core.U, l.U)
		switch {
		case math.IsNaN(z):
		case math.Abs(z) <= CoreLimit:
			core.Agrees = model.Yes
			if raised != nil {
				raised.Answered = Answer{Code: ByCore}
			}
		default:
			core.Agrees = model.No
			if raised == nil || raised.IsAnswered() {
				raised = b.raise(CoreDisagrees, num("core", core.Density, Density), num("density", l.Density, Density), num("z", z, Number))
			}
		}
	}
}

// boxes reads the test boxes of the job: each is evidence for the sections that its machine blew at the setting of that time. A
// box at no setting of the log is told. What was known when a bay was closed has the boxes of before.
func (c *check) boxes() {
	for i := range c.job.Cores {
		box := &c.job.Cores[i]
		if !isBox(box) || c.uncounted && !c.filledBy(box.Time) {
			continue
		}
		run, known := c.job.RunAt(box.Machine, box.Time)
		placed := false
		for s := range c.sections {
			of := &c.sections[s]
			at := func(l measure.Lot) bool {
				return model.Fold(l.Bays[0].Machine) == model.Fold(box.Machine) && l.Bays[0].Run == run
			}
			if !known || box.Section != "" && model.Fold(box.Section) != model.Fold(of.of.Name) || !slices.ContainsFunc(of.lots, at) {
				continue
			}
			density, u := boxDensity(box, &of.of.Settings)
			half := c.factor.at(math.Inf(1)) * u
			of.out.Boxes = append(of.out.Boxes, Core{Core: box, Density: density, U: u, Lo: density - half, Hi: density + half})
			placed = true
		}
		if !placed && len(c.measured.Lots) > 0 {
			c.warning(BoxUnplaced).Src = box.Src
		}
	}
}

// filledBy tells whether a time lies before the last row of a beginning of the log.
func (c *check) filledBy(at time.Time) bool {
	n := len(c.job.Log)
	return n > 0 && !at.IsZero() && !at.After(c.job.Log[n-1].Time)
}

// boxDensity returns the density of a test box, ρ = m/V, and its standard uncertainty: the truck's scale, and the tape on its sides,
// a cube's where the volume alone was given (all rectangular, JCGM 100, 4.3.7).
func boxDensity(c *model.Core, st *model.Settings) (density, u float64) {
	side := math.Cbrt(c.Volume)
	rel2 := square(st.DepthWithin / side) // three sides, each ±a/side, over √3
	if c.Diameter > 0 && c.Depth > 0 {
		rel2 = square(2*st.DepthWithin/c.Diameter)/3 + square(st.DepthWithin/c.Depth)/3
	}
	density = c.Mass / c.Volume
	return density, math.Hypot(density*math.Sqrt(rel2), st.WeighWithin/c.Volume/math.Sqrt(3))
}

// isBox tells a test box from a core.
func isBox(c *model.Core) bool { return strings.Contains(strings.ToLower(c.Kind), "box") }

// isCoreOf tells whether a row is a core of the bay. A test box is filled apart from any bay.
func isCoreOf(c *model.Core, b *model.Bay) bool {
	return strings.EqualFold(c.Bay, b.Name) && strings.EqualFold(c.Section, b.Section.Name) && !isBox(c)
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
//
// Material is packed where the tip of the tube passes, and up to a throw beyond it towards an end that is closed: what lies
// farther from any place that the tip has been is where a void is looked for.
type tube struct {
	length float64 // the bay's longer side; NaN where no size is known
	within float64 // ± of its reading
	throw  float64 // how far the flow packs beyond the tip
	hole   float64 // where the tube goes in; NaN where not said
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
	// Within the tape's ± nothing is said to be missing.
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

// isFirm tells whether a look speaks for material where the tube did not go: a rod that meets it, smoke that stands still.
// Infrared sees the face and not how dense it is behind.
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

// reach raises the length that the tube did not pass, and looks for what answers it: a firm look beyond the last mark, or
// the tube run again far enough, said then or later to have stalled.
func (b *Bay) reach(t *tube) {
	// Rows are in the order of the log. A later short reach starts the search for an answer again.
	var raised, later bool // later: the tube went far enough in a later row
	var at way
	var answered Answer
	for _, e := range b.Bay.Rows {
		if !inForce(b.Bay, e) {
			continue
		}
		if len(e.Reach) > 0 {
			now := t.wayOf(e)
			later = raised && !now.short
			if now.short {
				raised, at, answered = true, now, Answer{}
			}
		}
		switch {
		case !raised || answered.Code != "":
		case later && e.Stall == model.Yes:
			answered = Answer{Code: ByTube, Row: e}
		case isFirm(e.Probe) && t.looksBeyond(at, e):
			answered = Answer{Code: answerOf(e.Probe), Row: e}
		}
	}
	if !raised {
		return
	}
	data := []Datum{num("missing", at.missing, Length), num("passed", at.passed, Length), num("length", t.length, Length)}
	if from, to, ok := t.stretch(at); ok {
		data = append(data, num("from", from, Length), num("to", to, Length))
	}
	b.raise(Reach, data...).Answered = answered
}

// noStall raises a flow that was said not to have stalled, and looks for what answers it.
func (b *Bay) noStall(t *tube) {
	var raised, known bool // known: how far the tube went was said
	var at way
	var answered Answer
	for _, e := range b.Bay.Rows {
		if !inForce(b.Bay, e) {
			continue
		}
		if len(e.Reach) > 0 {
			at, known = t.wayOf(e), true
		}
		switch {
		case e.Stall == model.No:
			raised, answered = true, Answer{}
		case raised && answered.Code == "" && e.Stall == model.Yes && !at.short:
			answered = Answer{Code: ByTube, Row: e}
		}
		if raised && answered.Code == "" && isFirm(e.Probe) && (!known || t.looksBeyond(at, e)) {
			answered = Answer{Code: answerOf(e.Probe), Row: e}
		}
	}
	if raised {
		b.raise(NoStall).Answered = answered
	}
}

// probeSoft raises every look that found the bay soft, empty, moving or cold, one reason a finding.
func (b *Bay) probeSoft() {
	for i, e := range b.Bay.Rows {
		if !isSoft(e.Probe) || !inForce(b.Bay, e) {
			continue
		}
		for _, at := range e.Places() {
			r := b.raise(ProbeSoft, named("finding", ProbeName(e.Probe)))
			if !math.IsNaN(at) {
				r.Data = append(r.Data, num("at", inside(b.Bay, at), Length))
			}
			for _, later := range b.Bay.Rows[i+1:] {
				if inForce(b.Bay, later) && clears(later, e.Probe, at) {
					r.Answered = Answer{Code: answerOf(later.Probe), Row: later}
					break
				}
			}
		}
	}
}

// isSoft tells whether a look speaks against the bay: it gives way, is empty, lets air through or is cold.
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
