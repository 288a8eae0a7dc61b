// Suspicions: what speaks for a void, or for material gone elsewhere, though the figure may do.
// Those that rest on a bay's own rows and figures are raised under every rule; those that rest on
// the crew's other bays under rule process. Test boxes and cores, densities of samples that were
// cut or weighed apart, stand here too.

package verify

import (
	"math"
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
			b.probeSoft(&t)
			break
		}
	}
	b.agreeCores(l)
}

// aboveCeiling raises over-full where P(density ≥ ceiling) by the measurement reaches the
// confidence asked for. A density that only reads above the ceiling is left alone: with bags read
// to a quarter one good section in five would be named.
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

// suspectCrew raises the suspicions that rest on the crew's other bays, and a section whose mean is
// over the ceiling. The limits are crew's.
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

// shortOfCrew raises lot i, which is probably bad, with how rarely a full bay of this crew reads so
// low and the length in m that would be empty if the rest were packed like the crew's other bays.
// Of bays that share a count each has a length of its own; their figures name it.
func (s *sectionLots) shortOfCrew(i int, p *crew.Posterior) {
	l, d := &s.lots[i], &s.decided[i]
	d.empty, d.emptyLo, d.emptyHi = p.Empty()
	length := tubeOf(l.Bays[0]).length
	if len(l.Bays) > 1 {
		length = math.NaN()
	}
	r := s.raise(i, ShortOfCrew, num("rarity", p.Rarity, Rarity), num("empty", d.empty*length, Length),
		num("empty_lo", d.emptyLo*length, Length), num("empty_hi", d.emptyHi*length, Length))
	r.doubt, r.Answered = lookedInto(l, d.emptyHi)
}

// swapped raises both lots of a pair. What is found in the low one answers both: there the material
// would be missing, 1 − density/mean of its length.
func (s *sectionLots) swapped(p *crew.Pair) {
	doubt, answered := lookedInto(&s.lots[p.Low], 1-s.lots[p.Low].Density/s.out.Mean)
	for _, at := range [2][2]int{{p.Low, p.High}, {p.High, p.Low}} {
		r := s.raise(at[0], NeighbourSwap, named("other", s.lots[at[1]].Bays[0].Name), num("difference", p.Apart, Density),
			num("z", p.Apart/p.SD, Number))
		if r.Answered = answered; at[0] == p.Low {
			r.doubt = doubt
		}
	}
}

// lookedInto returns what is left in doubt of the length that would be empty, a share of the lot's,
// and where nothing is, the look that answers. Where bays share a count each of them must have been
// looked into.
func lookedInto(l *measure.Lot, share float64) (doubt []stretch, last Answer) {
	answered := true
	for _, b := range l.Bays {
		if b.Fill == nil {
			return nil, Answer{}
		}
		t := tubeOf(b)
		left, answer := t.uncovered(b, t.far(math.Max(share*t.length, t.throw)), b.Fill.Index)
		if answer.Code != "" {
			last = answer
			continue
		}
		if answered {
			doubt = left // of the first bay that was not looked into
		}
		answered = false
	}
	if !answered {
		last = Answer{}
	}
	return doubt, last
}

// drift looks for a density that moves along the order of filling, and raises it on the section,
// machine by machine; `set` rows start it afresh. Where the order of the log is doubtful there is
// none.
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

// coresOf returns the cores of a bay, filled or not, with their densities in kg/m³. What was known
// when a bay was closed has those of before, and those that say no time.
func (c *check) coresOf(b *model.Bay) []Core {
	var out []Core
	for i := range c.job.Cores {
		if core := &c.job.Cores[i]; isCoreOf(core, b) && (!c.uncounted || core.Time.IsZero() || c.filledBy(core.Time)) {
			density, u := coreDensity(core, &b.Section.Settings)
			half := c.factor.at(math.Inf(1)) * u
			out = append(out, Core{Core: core, Density: density, U: u, Lo: density - half, Hi: density + half})
		}
	}
	return out
}

// agreeCores sets a bay's cores against its own density, and raises one that does not agree: z =
// (core − density)/√(u² + U²) beyond ±CoreLimit. A later core of the same bay that agrees answers.
// A core without a density says nothing.
func (b *Bay) agreeCores(l *measure.Lot) {
	// z is the difference in combined standard uncertainties; NaN where the bay or the core has no
	// density.
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

// boxes reads the test boxes of the job: each is evidence for the sections that its machine blew at
// the setting of that time. A box at no setting of the log is told in a warning. What was known
// when a bay was closed has the boxes of before.
func (c *check) boxes() {
	for i := range c.job.Cores {
		box := &c.job.Cores[i]
		if !isBox(box) || c.uncounted && !c.filledBy(box.Time) {
			continue
		}
		run, known := model.RunAt(c.sets, box.Machine, box.Time)
		placed := false
		for s := range c.sections {
			of := &c.sections[s]
			if !known || box.Section != "" && model.Fold(box.Section) != model.Fold(of.of.Name) || !c.measured.Sections[s].Blew(model.Fold(box.Machine), run) {
				continue
			}
			density, u := boxDensity(box, &of.of.Settings)
			half := c.factor.at(math.Inf(1)) * u
			of.out.Boxes = append(of.out.Boxes, Core{Core: box, Density: density, U: u, Lo: density - half, Hi: density + half})
			placed = true
		}
		if !placed && c.measured.Filled() {
			c.warning(BoxUnplaced).Src = box.Src
		}
	}
}

// filledBy tells whether a time lies before the last row of a beginning of the log. False for no
// time.
func (c *check) filledBy(at time.Time) bool {
	n := len(c.job.Log)
	return n > 0 && !at.IsZero() && !at.After(c.job.Log[n-1].Time)
}

// boxDensity returns the density of a test box, ρ = m/V in kg/m³, and its standard uncertainty by
// the truck's scale and the tape, both rectangular (JCGM 100, 4.3.7). With a diameter d and a depth
// h the tape's relative variance is (2a/d)²/3 + (a/h)²/3; where the volume alone was given, that of
// a cube's three sides, 3·(a/side)²/3.
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

// isCoreOf tells whether a row is a core of the bay. A test box is filled apart from any bay, and
// is none.
func isCoreOf(c *model.Core, b *model.Bay) bool {
	return strings.EqualFold(c.Bay, b.Name) && strings.EqualFold(c.Section, b.Section.Name) && !isBox(c)
}

// coreDensity returns the density of a core in kg/m³ and its standard uncertainty for the bay's
// mean. ρ = m/(π/4·d²·h); in its relative variance stand CoreLocal², how far one place stands for a
// bay, and, rectangular, the cutter's diameter, (2·CoreDiameterWithin/d)²/3, and the tape,
// (a/h)²/3. The scale adds CoreMassWithin/V/√3. Where a volume was given instead of a diameter, its
// own error is left out.
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
