package record

import (
	"fmt"
	"strings"

	"bayproof/model"
	"bayproof/report/say"
	"bayproof/verify"
)

// paper is the certificate and the receipt of one section. An empty value is a blank to fill in by hand.
type paper struct {
	Section     string
	Certificate []fact
	Receipt     []fact
}

// papers makes both for every section with a filled bay. R-values are the bag label's, typed in: never worked out from a
// thickness and never added up over sections (16 CFR 460.17). A dense-packed bay has no settled thickness of its own:
// both thickness fields are the cavity's depth, which is an inference and is named so.
func (b *builder) papers() []paper {
	checks := verify.DesignChecks(b.f)
	var out []paper
	for i := range b.f.Sections {
		s := &b.f.Sections[i]
		if s.Bays > 0 {
			out = append(out, b.paper(s, checks[i].Depth))
		}
	}
	return out
}

func (b *builder) paper(s *verify.Section, depth float64) paper {
	set := s.Section.Settings
	thickness, r := b.filled(b.size(depth)), b.labelR(s.Section.LabelR)
	if thickness != "" && b.runsThin(s.Section) {
		thickness += " on average"
	}
	area := b.filled(b.area(s.Area))
	if area != "" {
		area += " " + b.Area().Name
	}
	used := b.filled(bags(s.Bags))
	if used == "" {
		used = b.filled(b.mass(s.Mass))
		if used != "" {
			used = "weighed: " + used + " " + b.unit(verify.Mass)
		}
	}
	density := b.words.Pooled(s)
	if density != "" {
		density += " " + b.unit(verify.Density)
	}
	return paper{
		Section: s.Section.Name,
		Certificate: []fact{
			{"Where in the building", where(s.Section)},
			{"Type of insulation", joined(", ", set.Material, set.Product)}, {"Manufacturer", set.Manufacturer}, {"Bags installed", used},
			{"Installed density, ± " + level(verify.Level), density}, {"Area covered", area}, {"Thickness as installed", thickness},
			{"Thickness when settled", thickness}, {"R-value when settled (bag label)", r}, {"R-value (bag label)", r},
		},
		Receipt: []fact{
			{"Part of the house", where(s.Section)}, {"Material", joined(", ", set.Material, set.Manufacturer, set.Product)},
			{"R-value (bag label)", r}, {"Area insulated", area}, {"Number of bags", used},
			{"Thickness as installed", thickness}, {"Least thickness when settled", thickness},
		},
	}
}

// runsThin tells whether a filled bay of the section is deeper at one side or end than at the other: its thickness is a mean then,
// and whoever measures one end finds another.
func (b *builder) runsThin(s *model.Section) bool {
	for i := range b.f.Bays {
		bay := &b.f.Bays[i]
		if bay.Bay.Section != s || !bay.Judged() || len(bay.Bay.Pieces) == 0 {
			continue
		}
		if p := &bay.Bay.Pieces[0]; p.Shape == model.ShapeWedge || p.Depth2.State != model.Absent {
			return true
		}
	}
	return false
}

// where names the part of the house, with its kind unless the name says it.
func where(s *model.Section) string {
	if strings.Contains(strings.ToLower(s.Name), strings.ToLower(s.Kind)) {
		return s.Name
	}
	return joined(", ", s.Name, s.Kind)
}

// labelR writes the bag label's R-value as it was typed; empty where it was not.
func (b *builder) labelR(r float64) string {
	switch {
	case unknown(r):
		return ""
	case b.System == model.SI:
		return "R " + plainNumber(r) + " m²·K/W"
	}
	return "R-" + plainNumber(r/model.RValue)
}

// filled turns the dash of a missing figure into a blank to fill in.
func (b *builder) filled(cell string) string {
	if cell == blank {
		return ""
	}
	return cell
}

// caution is one hazard with its source.
type caution struct{ Text, Source string }

func (b *builder) cautions() []caution {
	var out []caution
	for _, c := range verify.Cautions(b.f.Job) {
		out = append(out, caution{say.Caution(c), c.Source})
	}
	return out
}

// designCheck is what one section looks like beside published figures. It moves no verdict.
type designCheck struct {
	Section string
	R       string
	Lines   []checkLine
}

type checkLine struct{ Word, Text string }

func (b *builder) designChecks() []designCheck {
	var out []designCheck
	for i, c := range verify.DesignChecks(b.f) {
		if b.f.Sections[i].Bays > 0 {
			out = append(out, b.designCheck(c))
		}
	}
	return out
}

func (b *builder) designCheck(c verify.DesignCheck) designCheck {
	d := designCheck{Section: sectionName(c.Section)}
	if !unknown(c.R) {
		d.R = fmt.Sprintf("%s ± %s %% of it: %s at λ %.3f W/(m·K), cavity only, framing left out", b.resistance(c.R), number(c.RWithin*100, 0), b.size(c.Depth), verify.DesignConductivity)
	}
	for _, s := range c.Settling {
		word := "below"
		if s.Met {
			word = "at or above"
		}
		d.Lines = append(d.Lines, checkLine{"Settling", fmt.Sprintf("the weakest bay, %s, is %s %s %s, from which on none was found (%s)",
			b.density(s.Least, nan(), s.Published), word, b.density(s.Published, nan(), nan()), b.unit(verify.Density), s.Condition)})
	}
	if c.Unvented {
		d.Lines = append(d.Lines, b.impermeable(c))
	}
	return d
}

// impermeable compares the air-impermeable layer with the published table; other routes are for others to judge. What is stated
// stands as it was typed and the table's figure to as many places, so that below never reads as equal.
func (b *builder) impermeable(c verify.DesignCheck) checkLine {
	const other = " The code has other routes; ask, do not conclude from this."
	zone, stated, table := c.Section.ClimateZone, b.labelR(c.ActualImpermeable), b.tableR(c.RequiredImpermeable)
	line := func(format string, args ...any) checkLine {
		return checkLine{"Unvented roof", fmt.Sprintf(format, args...)}
	}
	switch {
	case unknown(c.RequiredImpermeable):
		return line("climate zone not given or not in the published table: what air-impermeable insulation it needs is open.%s", other)
	case unknown(c.ActualImpermeable):
		return line("climate zone %s: the published table asks for %s air-impermeable; nothing is stated here.%s", zone, table, other)
	case c.ActualImpermeable < c.RequiredImpermeable*(1-1e-9):
		return line("climate zone %s: %s air-impermeable is stated, below what the published table asks for, %s.%s", zone, stated, table, other)
	}
	return line("climate zone %s: %s air-impermeable is stated, the published table asks for %s: at or above.", zone, stated, table)
}

// tableR writes a figure of the published table: whole in the units it is printed in, to a thousandth in SI.
func (b *builder) tableR(r float64) string {
	if b.System == model.SI && !unknown(r) {
		return "R " + number(r, 3) + " m²·K/W"
	}
	return b.labelR(r)
}

// resistance writes a calculated thermal resistance rounded as the labelling rule does: to a tenth, from 10 on to the whole number
// (16 CFR 460.11).
func (b *builder) resistance(r float64) string {
	if b.System == model.SI {
		return "R " + number(r, 2) + " m²·K/W"
	}
	us := r / model.RValue
	if us >= 10 {
		return "R-" + number(us, 0)
	}
	return "R-" + number(us, 1)
}
