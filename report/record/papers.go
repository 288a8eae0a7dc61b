package record

import (
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
