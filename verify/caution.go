// Cautions, and checks of the design: what is printed beside the verdicts and moves none of them.
//
// A caution is one hazard of the work with its source and with what must be true of the job for it
// to be worth saying. A design check sets a section beside a published figure: its R-value from one
// stated conductivity, R = depth/λ; the density from which on no settling was found in walls of
// that depth; the air-impermeable insulation that an unvented roof asks for. All of it defers to
// local code and licensed practice.

package verify

import (
	"math"
	"slices"
	"strings"

	"bayproof/model"
)

// Caution is one hazard of the work, in one breath. It defers to local code and licensed practice.
type Caution struct {
	Code    Code
	LookFor string // what is looked for before the first bag, as nobody knows beforehand whether it is there; empty otherwise
	Text    string // what to do; where something is looked for, what to do if it is there
	Source  string // where the figure or the rule stands; "common practice" where it stands nowhere
}

// cautionRow is a caution with what must be true of the job for it to be worth saying.
type cautionRow struct {
	Caution
	applies func(*model.Job) bool
}

// Cautions returns those that apply to a job, in the order of the work: the machine, the way up,
// what is in the cavity, the face, the house. What nobody said about a section counts as a reason
// to say it.
func Cautions(job *model.Job) []Caution {
	var out []Caution
	for _, row := range cautionRows() {
		if row.applies(job) {
			out = append(out, row.Caution)
		}
	}
	return out
}

// cautionRows are all of them with their sources: made when they are asked for, which no phone
// does. Rows marked "from memory" were not read in a copy of the source. A text defers to local
// code and licensed practice wherever a figure of a code stands in it.
func cautionRows() []cautionRow {
	return []cautionRow{
		// The machine and the way up.
		{Caution{"jam", "", "Clear a jam only with the machine unplugged. Look at the mark in the hopper. Never reach in.", "29 CFR 1926.417 (from memory); common practice"}, always},
		{Caution{"dust", "", "Most blowing work is over the dust limit. Respirator, N95 or better, and safety glasses, for helpers too.",
			"29 CFR 1910.1000 (15 mg/m³ total, 5 respirable); NIOSH HHE 2000-0332; the respirator: common practice"}, always},
		{Caution{"static", "", "A blowing hose builds up static. Expect the shock. On a ladder hold on at three points. Keep the hose away from solvents and open flames.", common}, always},
		{Caution{"service-drop", "", "Keep ladders and hoses away from the power line to the house. Fiberglass ladders only.", "29 CFR 1926.1053(b)(12) (from memory)"}, always},
		{Caution{"roof-edge", "", "Fall protection at roof edges and openings from 6 ft (1.8 m) up.", "29 CFR 1926.501"}, has("rafter")},
		{Caution{"heat", "", "Attics and roofs in summer: water, a buddy, a time limit. Step on framing only.", common}, has("rafter", "knee wall", "floor")},
		{Caution{"crawl-space", "", "Crawl space: a second person outside, a light, knee pads. Look first for standing water, gas, sewage and animals.", common}, has("floor")},

		// What is in the cavity.
		{Caution{"knob-and-tube", "knob-and-tube wiring", "Where it runs, no loose fill in that bay. Local code and a licensed electrician decide.", "NFPA 70 394.12"}, always},
		{Caution{"lights", "recessed lights, fan motors and other heat sources", "Not rated for contact: keep 3 in (76 mm) clear.", "IRC R302.14; NFPA 70 410.116(B)"}, always},
		{Caution{"flue", "flues and chimneys that run through a bay", "Then do not fill that bay, and keep the listed clearance. That is 2 in (51 mm), unless the flue is listed for less. Masonry: 2 in (51 mm), or 1 in (25 mm) if it is all outside. Material got to one? Stop, appliance off, dig it out. Don't leave the house before.",
			"IRC R1003.18; US DOE/NREL Standard Work Specifications; common practice"}, always},
		{Caution{"escape", "ducts, returns, cabinets, pocket doors and fans vented into the bay", "That is where material goes. Seal them off or leave the bay.", common}, always},
		{Caution{"wet", "wet framing, leaks and wet material", "Don't fill a wet bay. Don't blow a bag that got wet.", common}, always},
		{Caution{"drill", "", "Wires and pipes where you drill: voltage tester, depth stop, GFCI. Not in line with switches and outlets, not on bath and kitchen walls. Not sure? Don't drill.", common}, always},
		{Caution{"vent-space", "", "Vented rafter bays keep 1 in (25 mm) or more open below the roof deck. Dense packing crushes thin chutes. Log the depth that is left below the channel.", "IRC R806.3"}, ventilated},
		{Caution{"unvented", "", "Unvented roof: to the code, cellulose lets air through however dense it is. A table asks for insulation that stops air, by climate zone. There are other ways. Ask the local code official.",
			"IRC R806.5 and Table R806.5"}, unvented},
		{Caution{"fireblock", "", "Loose fill is no fireblock unless it was tested as one.", "IRC R302.11"}, always},

		// The face and the house.
		{Caution{"face", "", "Walk the rooms. Someone inside, watching the walls, who can stop the machine. Stop at the first pop. Drywall holds with ½ in (13 mm) on framing 16 in (406 mm) on center. At 24 in (610 mm) it takes ⅝ in (16 mm). Plaster, paneling, 3/8-in board: ask first, brace it, less air.",
			"a state weatherization field guide; common practice"}, always},
		{Caution{"combustion", "", "Gas, oil and wood appliances: someone trained tests them before the work. Again every day before leaving, and after the house is tightened. One failed? Turn it off, and call a licensed contractor.", common}, always},
		{Caution{"asbestos", "asbestos in siding, texture and pipe wrap", "Don't drill it.", "29 CFR 1926.1101 (from memory)"}, always},
		{Caution{"vermiculite", "vermiculite", "Treat it as asbestos. Leave it alone.", "US EPA"}, always},
		{Caution{"lead", "paint from before 1978", "Drilling it is lead work. Wherever the house asks for them: a certified renovator and a lead-safe setup.", "40 CFR 745"}, always},
		{Caution{"label", "", "The material must meet the fire and corrosion rules. Its bag says so.", "IRC R302.10.3; 16 CFR 1209 and 1404"}, cellulose},
	}
}

// always is for what every job is told.
func always(*model.Job) bool { return true }

// has tells whether a section is of one of the kinds, or of none that was said.
func has(kinds ...string) func(*model.Job) bool {
	return func(job *model.Job) bool {
		for _, s := range job.Sections {
			if s.Kind == "" || slices.Contains(kinds, strings.ToLower(s.Kind)) {
				return true
			}
		}
		return len(job.Sections) == 0
	}
}

// ventilated tells whether a roof has a vent space, or may have one.
func ventilated(job *model.Job) bool {
	return slices.ContainsFunc(job.Sections, func(s *model.Section) bool {
		return s.VentSpace == model.Yes || s.VentSpace == model.Unsaid && s.Unvented != model.Yes && isRoof(s)
	})
}

// unvented tells whether a roof is closed to the air above the insulation, or may be.
func unvented(job *model.Job) bool {
	return slices.ContainsFunc(job.Sections, func(s *model.Section) bool {
		return s.Unvented == model.Yes || s.Unvented == model.Unsaid && s.VentSpace != model.Yes && isRoof(s)
	})
}

// isRoof tells whether a section may be a roof: one whose kind nobody said may be.
func isRoof(s *model.Section) bool { return s.Kind == "" || strings.EqualFold(s.Kind, "rafter") }

// cellulose tells whether the job's material says that it is cellulose.
func cellulose(job *model.Job) bool {
	return strings.Contains(strings.ToLower(job.Settings.Material), "cellulose")
}

// DesignCheck sets a section beside published figures. It is no finding about a bay and moves no
// verdict.
type DesignCheck struct {
	Section *model.Section
	Depth   float64 // m: mean clear depth of its bays; NaN where none was measured
	// R is the thermal resistance of the fill at that depth, m²·K/W, from one stated conductivity:
	// ±RWithin of itself.
	R, RWithin float64
	Settling   []SettlingCheck // what is published for a wall of this depth; mostly nothing
	// Impermeable is set for unvented sections: what the published table asks for, m²·K/W; NaN
	// where the zone is not in it.
	Unvented            bool
	RequiredImpermeable float64 // m²·K/W; NaN where the zone is not in the table
	ActualImpermeable   float64 // m²·K/W; NaN when not said
}

// SettlingCheck compares the least density of a section's bays with one at which no settling was
// observed.
type SettlingCheck struct {
	Gap       float64 // m: depth of the wall that was tried
	Condition string
	Published float64 // kg/m³
	Least     float64 // kg/m³: of the section's filled bays
	Met       bool
}

// DesignConductivity is what the design check of R takes for dense-packed cellulose: 0.040 W/(m·K),
// given for 55.2 kg/m³ blown in and for 60 and 70 kg/m³ in an open building-material data set (RWTH
// Aachen).
const DesignConductivity = 0.040

// designRWithin is the stated relative uncertainty of a calculated R; common practice, wide enough
// for one conductivity to stand for products and densities that differ.
const designRWithin = 0.10

// DesignChecks returns one check a section, in the order of the sections.
func DesignChecks(f *Findings) []DesignCheck {
	out := make([]DesignCheck, len(f.Sections))
	for i := range f.Sections {
		out[i] = designCheck(f, f.Sections[i].Section)
	}
	return out
}

// designCheck checks one section: R = depth/DesignConductivity in m²·K/W, NaN where no depth is
// known; published settling where its depth is one that was tried, to gapWithin; and what its
// climate zone asks for.
func designCheck(f *Findings, s *model.Section) DesignCheck {
	c := DesignCheck{Section: s, Depth: meanDepth(f, s), RWithin: designRWithin, Unvented: s.Unvented == model.Yes}
	c.R = c.Depth / DesignConductivity
	if least := leastDensity(f, s); !math.IsNaN(least) {
		for _, p := range settlingTable() {
			if math.Abs(c.Depth-p.Gap) <= gapWithin {
				p.Least, p.Met = least, least >= p.Published
				c.Settling = append(c.Settling, p)
			}
		}
	}
	c.RequiredImpermeable, c.ActualImpermeable = math.NaN(), s.AirImpermeableR
	if r, ok := impermeableR(s.ClimateZone); ok {
		c.RequiredImpermeable = r * model.RValue
	}
	return c
}

// gapWithin is how far a section's depth may be from the gap that was tried, m: framing of 3½ and 4
// in counts as the gap of 0.1 m, of 11¼ and 12 in as that of 0.3 m. For depths between nothing is
// published, and nothing is said.
const gapWithin = 0.015

// settlingTable holds the densities from which on no settling was found in walls of the given gap:
// T. V. Rasmussen, Danish Building Research Institute (SBi), Settling of loose-fill insulation
// materials in walls (summary).
func settlingTable() []SettlingCheck {
	return []SettlingCheck{
		{Gap: 0.1, Condition: "wall gap 0.1 m (4 in), 50 % relative humidity", Published: 48},
		{Gap: 0.3, Condition: "wall gap 0.3 m (12 in), 50 % relative humidity", Published: 53},
		{Gap: 0.3, Condition: "wall gap 0.3 m (12 in), humidity cycling between 50 and 80 %", Published: 63},
	}
}

// impermeableR returns the least R, in °F·h·ft²/Btu, of air-impermeable insulation in an unvented
// roof by climate zone: IRC Table R806.5, 2015 to 2024. False for a zone that is not in it.
func impermeableR(zone string) (float64, bool) {
	z := strings.ToUpper(strings.TrimSpace(zone))
	switch z {
	case "1", "1A", "1B", "1C", "2A", "2B", "3", "3A", "3B", "3C":
		return 5, true
	case "4C":
		return 10, true
	case "4A", "4B":
		return 15, true
	}
	byNumber := map[string]float64{"5": 20, "6": 25, "7": 30, "8": 35}
	r, ok := byNumber[strings.TrimRight(z, "ABC")]
	return r, ok
}

// meanDepth returns the mean over a section's filled bays of the first piece's mean depth, m; NaN
// where no depth is known.
func meanDepth(f *Findings, s *model.Section) float64 {
	sum, n := 0.0, 0.0
	for i := range f.Bays {
		b := &f.Bays[i]
		if b.Bay.Section != s || !b.Judged() || len(b.Bay.Pieces) == 0 {
			continue
		}
		if d := pieceDepth(b.Bay.Pieces[0]); !math.IsNaN(d) {
			sum, n = sum+d, n+1
		}
	}
	return sum / n // 0/0 is NaN: nothing known
}

// pieceDepth returns the mean depth of a piece over its face, m: of both ends where the far one was
// measured, half of it for a wedge, two thirds of a bulge added (a parabola's mean). NaN where no
// depth was measured.
func pieceDepth(p *model.Piece) float64 {
	d := p.Depth.Mean()
	if p.Depth2.State != model.Absent {
		d = (d + p.Depth2.Mean()) / 2
	}
	if p.Shape == model.ShapeWedge {
		d /= 2
	}
	if p.Bulge.State != model.Absent {
		d += 2 * p.Bulge.Mean() / 3
	}
	return d
}

// leastDensity returns that of the weakest filled bay of a section, kg/m³; NaN where none has one.
func leastDensity(f *Findings, s *model.Section) float64 {
	least := math.NaN()
	for i := range f.Bays {
		b := &f.Bays[i]
		if b.Bay.Section == s && b.Judged() && !(b.Density >= least) {
			least = b.Density
		}
	}
	return least
}
