package verify

import (
	"strings"

	"bayproof/model"
)

// Caution is one hazard of the work, in one breath. It defers to local code and licensed practice.
type Caution struct {
	Code   Code
	Text   string
	Source string // where the figure or the rule stands; "common practice" where it stands nowhere
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
		{Caution{"jam", "Clear a jam only with the machine unplugged. Look for the hopper's mark; never reach in.",
			"29 CFR 1926.417, 1910.147 (from memory)"}, always},
		{Caution{"dust", "Most blowing tasks exceed the dust limit without control: mask and eyes, for helpers too.",
			"29 CFR 1910.1000 (15 mg/m³ total, 5 respirable); NIOSH HHE 2000-0332"}, always},
		{Caution{"service-drop", "Keep ladders and hoses away from the overhead service drop; ladders that do not conduct.",
			"29 CFR 1926.1053(b)(12) (from memory)"}, always},
		{Caution{"roof-edge", "Fall protection at roof edges and openings from 6 ft (1.8 m) up.", "29 CFR 1926.501"}, has("rafter")},
	}
}

func cavityCautions() []cautionRow {
	return []cautionRow{
		{Caution{"knob-and-tube", "Knob-and-tube wiring: that cavity is not filled with loose insulation.", "NFPA 70 394.12"}, always},
		{Caution{"lights", "Lights not rated for contact, fan motors and other heat sources: 3 in (76 mm) clear.", "IRC R302.14; NFPA 70 410.116(B)"}, always},
		{Caution{"chimney", "Masonry chimney: 2 in (51 mm) clear, 1 in (25 mm) if wholly outside, and never filled. Any flue: 2 in (51 mm) unless listed for less. In a shallow slope that may leave nothing: do not fill that bay.",
			"IRC R1003.18; US DOE/NREL Standard Work Specifications"}, always},
		{Caution{"escape", "Find ducts, returns, cabinets, pocket doors and fans vented into the bay before blowing: that is where material goes.", "common practice"}, always},
		{Caution{"wet", "Wet framing or a leak above: do not fill.", "common practice"}, always},
		{Caution{"vent-space", "Vented rafter bays keep at least 1 in (25 mm) between insulation and sheathing; dense packing crushes thin chutes.", "IRC R806.3"}, ventilated},
		{Caution{"unvented", "Unvented roof: cellulose is air-permeable in the code however densely packed. The published table asks for air-impermeable insulation by climate zone; there are other routes. Ask the local code official.",
			"IRC R806.5 and Table R806.5"}, unvented},
		{Caution{"fireblock", "Loose fill is not a fireblock unless it was tested as one.", "IRC R302.11"}, always},
	}
}

func houseCautions() []cautionRow {
	return []cautionRow{
		{Caution{"face", "Walk the rooms, one man inside while blowing, stop at the first pop. Drywall: ½ in (13 mm) at 16 in (406 mm) on centre, ⅝ in (16 mm) at 24 in (610 mm).",
			"a state weatherization field guide; common practice"}, always},
		{Caution{"combustion", "Test combustion appliances after tightening the house.", "common practice"}, always},
		{Caution{"asbestos", "Asbestos siding, texture or pipe wrap: do not drill.", "29 CFR 1926.1101 (from memory)"}, always},
		{Caution{"vermiculite", "Vermiculite: assume asbestos and do not disturb it.", "US EPA"}, always},
		{Caution{"lead", "Paint from before 1978: drilling holes to blow insulation counts as renovation.", "40 CFR 745"}, always},
		{Caution{"label", "The material must meet the flammability and corrosiveness rules on its bag.", "IRC R302.10.3; 16 CFR 1209 and 1404"}, cellulose},
	}
}

func always(*model.Job) bool { return true }

// has tells whether a section is of the kind, or of none that was said.
func has(kind string) func(*model.Job) bool {
	return func(job *model.Job) bool {
		for _, s := range job.Sections {
			if s.Kind == "" || strings.EqualFold(s.Kind, kind) {
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
