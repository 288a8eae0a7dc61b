package verify

import (
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

// Cautions returns those that apply to a job, in the order of the work: the machine, the way up, what is in the cavity,
// the face, the house. What nobody said about a section counts as a reason to say it.
func Cautions(job *model.Job) []Caution {
	var out []Caution
	for _, row := range cautionTable() {
		if row.applies(job) {
			out = append(out, row.Caution)
		}
	}
	return out
}

// cautionTable holds all cautions with their sources. Rows marked "from memory" were not read in a copy of the source.
func cautionTable() []cautionRow {
	rows := machineCautions()
	rows = append(rows, cavityCautions()...)
	return append(rows, houseCautions()...)
}

func machineCautions() []cautionRow {
	return []cautionRow{
		{Caution{"jam", "", "Clear a jam only with the machine unplugged. Look for the hopper's mark; never reach in.", "29 CFR 1926.417 (from memory); common practice"}, always},
		{Caution{"dust", "", "Most blowing tasks exceed the dust limit without control: respirator, N95 or better, and eye protection, for helpers too.",
			"29 CFR 1910.1000 (15 mg/m³ total, 5 respirable); NIOSH HHE 2000-0332; the respirator: common practice"}, always},
		{Caution{"static", "", "A blowing hose builds up static: expect the shock, keep three points of contact on a ladder and the hose away from solvents and open flames.", common}, always},
		{Caution{"service-drop", "", "Keep ladders and hoses away from the overhead service drop. Fiberglass ladders only.", "29 CFR 1926.1053(b)(12) (from memory)"}, always},
		{Caution{"roof-edge", "", "Fall protection at roof edges and openings from 6 ft (1.8 m) up.", "29 CFR 1926.501"}, has("rafter")},
		{Caution{"heat", "", "Attics and roofs in summer: water, a buddy, a time limit. Step on framing only.", common}, has("rafter", "knee wall", "floor")},
		{Caution{"crawl-space", "", "Crawl space: a second person outside, light, knee pads; look first for standing water, gas, sewage and animals.", common}, has("floor")},
	}
}

func cavityCautions() []cautionRow {
	return []cautionRow{
		{Caution{"knob-and-tube", "knob-and-tube wiring", "Where it runs, no loose insulation in that cavity; local code and a licensed electrician decide.", "NFPA 70 394.12"}, always},
		{Caution{"lights", "recessed lights, fan motors and other heat sources", "Not rated for contact: 3 in (76 mm) clear.", "IRC R302.14; NFPA 70 410.116(B)"}, always},
		{Caution{"flue", "flues and chimneys that run through a bay", "Then do not fill that bay, and keep the listed clearance: 2 in (51 mm) unless the flue is listed for less; masonry 2 in (51 mm), 1 in (25 mm) if wholly outside. Material that reached one: stop, appliance off, dig it out, don't leave the house before.",
			"IRC R1003.18; US DOE/NREL Standard Work Specifications; common practice"}, always},
		{Caution{"escape", "ducts, returns, cabinets, pocket doors and fans vented into the bay", "That is where material goes: seal them off or leave the bay.", common}, always},
		{Caution{"wet", "wet framing, leaks and wet material", "Do not fill a wet bay; do not blow a bag that got wet.", common}, always},
		{Caution{"drill", "", "Wires and pipes where you drill: voltage tester, depth stop, GFCI. Not in line with switches and outlets, not on bath and kitchen walls; not sure: don't drill.", common}, always},
		{Caution{"vent-space", "", "Vented rafter bays keep at least 1 in (25 mm) between insulation and sheathing; dense packing crushes thin chutes. The depth that is logged is what is left below the channel.", "IRC R806.3"}, ventilated},
		{Caution{"unvented", "", "Unvented roof: cellulose is air-permeable in the code however densely packed. The published table asks for air-impermeable insulation by climate zone; there are other routes. Ask the local code official.",
			"IRC R806.5 and Table R806.5"}, unvented},
		{Caution{"fireblock", "", "Loose fill is not a fireblock unless it was tested as one.", "IRC R302.11"}, always},
	}
}

func houseCautions() []cautionRow {
	return []cautionRow{
		{Caution{"face", "", "Walk the rooms. Someone inside, watching the walls, who can stop the machine; stop at the first pop. Drywall holds at ½ in (13 mm) on framing 16 in (406 mm) on center, ⅝ in (16 mm) at 24 in (610 mm). Plaster, paneling, 3/8-in board: less air, brace first, ask.",
			"a state weatherization field guide; common practice"}, always},
		{Caution{"combustion", "", "Combustion appliances are tested before the work, every day before leaving, and after the house is tightened, by someone trained to. Failed: appliance off, and call a licensed contractor.", common}, always},
		{Caution{"asbestos", "asbestos in siding, texture and pipe wrap", "Do not drill it.", "29 CFR 1926.1101 (from memory)"}, always},
		{Caution{"vermiculite", "vermiculite", "Assume asbestos and do not disturb it.", "US EPA"}, always},
		{Caution{"lead", "paint from before 1978", "Drilling it to blow insulation is renovation: a certified renovator and a lead-safe setup, wherever the house asks for them.", "40 CFR 745"}, always},
		{Caution{"label", "", "The material must meet the flammability and corrosiveness rules on its bag.", "IRC R302.10.3; 16 CFR 1209 and 1404"}, cellulose},
	}
}

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

func ventilated(job *model.Job) bool {
	for _, s := range job.Sections {
		if s.VentSpace == model.Yes || s.VentSpace == model.Unsaid && s.Unvented != model.Yes && isRoof(s) {
			return true
		}
	}
	return false
}

func unvented(job *model.Job) bool {
	for _, s := range job.Sections {
		if s.Unvented == model.Yes || s.Unvented == model.Unsaid && s.VentSpace != model.Yes && isRoof(s) {
			return true
		}
	}
	return false
}

func isRoof(s *model.Section) bool { return s.Kind == "" || strings.EqualFold(s.Kind, "rafter") }

func cellulose(job *model.Job) bool {
	return strings.Contains(strings.ToLower(job.Settings.Material), "cellulose")
}
