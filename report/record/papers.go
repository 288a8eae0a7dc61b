package record

import (
	"fmt"
	"slices"
	"strings"

	"bayproof/model"
	"bayproof/verify"
)

// The papers are forms that others ask for: the certificate that is posted on the job site (IRC
// N1101.10.1) and the receipt for the customer (16 CFR 460.17). What the job does not say stays a
// blank line; signatures always do. The design checks beside them set the job against published
// figures for whoever designs or inspects it. Neither rests on a verdict.

// paper is the certificate and the receipt of one section. An empty value is a blank to fill in by
// hand. Where bays of the section are open both are withheld: NotYet says why.
type paper struct {
	Certificate, Receipt []fact
	NotYet               string
}

// notYet says which bays keep a section's papers back: those that are neither CLOSE nor decided,
// and those that nobody logged; empty where there are none.
func (s *section) notYet() string {
	var open []string
	for _, b := range s.Bays {
		done := b.State == verify.Struck || b.IsDecided() || b.Judged() && b.Verdict == verify.Close
		if !done {
			open = append(open, b.Name)
		}
	}
	return joined(", ", when(len(open) > 0, nameList(open)+" open"), when(s.Missing > 0, plural(s.Missing, "bay", "bays")+" not logged"))
}

// Paper makes both papers of a section. R-values are the bag label's, typed in: never worked out
// from a thickness and never added up over sections (16 CFR 460.17). A dense-packed bay has no
// settled thickness of its own: both thickness fields are the cavity's depth, which is an inference
// and is named so.
func (s *section) Paper() paper {
	p, set := s.p, s.Section.Settings
	where := s.Section.Name // with its kind unless the name says it
	if !strings.Contains(strings.ToLower(where), strings.ToLower(s.Section.Kind)) {
		where = joined(", ", where, s.Section.Kind)
	}
	thickness := when(!unknown(s.check.Depth), p.size(s.check.Depth)+when(s.runsThin(), " on average"))
	area := when(!unknown(s.Area), p.area(s.Area)+" "+p.Area().Name)
	// Weighed material has no bags to state: its mass stands there instead.
	used := when(!unknown(s.Mass), "weighed: "+p.mass(s.Mass)+" "+p.unit(verify.Mass))
	if !unknown(s.sums.Bags) {
		used = bags(s.sums.Bags)
	}
	density := p.Pooled(s.sums)
	if density != "" {
		density += " " + p.unit(verify.Density)
	}
	r := p.labelR(s.Section.LabelR)
	return paper{
		NotYet: s.notYet(),
		Certificate: []fact{
			{"Where in the building", where},
			{"Type of insulation", joined(", ", set.Material, set.Product)}, {"Manufacturer", set.Manufacturer}, {"Bags installed", used},
			{"Installed density, ± " + level(verify.Level), density}, {"Area covered", area}, {"Thickness as installed", thickness},
			{"Thickness when settled", thickness}, {"R-value when settled (bag label)", r}, {"R-value (bag label)", r},
		},
		Receipt: []fact{
			{"Part of the house", where}, {"Material", joined(", ", set.Material, set.Manufacturer, set.Product)},
			{"R-value (bag label)", r}, {"Area insulated", area}, {"Number of bags", used},
			{"Thickness as installed", thickness}, {"Least thickness when settled", thickness},
		},
	}
}

// runsThin tells whether a filled bay of the section is deeper at one side or end than at the
// other: its thickness is a mean then, and whoever measures one end finds another.
func (s *section) runsThin() bool {
	for _, b := range s.filled() {
		if len(b.Bay.Pieces) == 0 {
			continue
		}
		if piece := b.Bay.Pieces[0]; piece.Shape == model.ShapeWedge || piece.Depth2.State != model.Absent {
			return true
		}
	}
	return false
}

// labelR writes an R-value, m²·K/W, as it was typed in the job's own units; empty where it was not:
// nothing is worked out in its place.
func (p *page) labelR(r float64) string {
	switch {
	case unknown(r):
		return ""
	case p.System == model.SI:
		return "R " + plainNumber(r) + " m²·K/W"
	}
	return "R-" + plainNumber(r/model.RValue)
}

// tableR writes a figure of the published table: whole in the units it is printed in, to a
// thousandth in SI.
func (p *page) tableR(r float64) string {
	if p.System == model.SI && !unknown(r) {
		return "R " + number(r, 3) + " m²·K/W"
	}
	return p.labelR(r)
}

// CalculatedR is the thermal resistance of the fill at its depth, from one stated conductivity and
// rounded as the labelling rule does: to a tenth, from 10 on to the whole number (16 CFR 460.11).
// Empty where no depth is known.
func (s *section) CalculatedR() string {
	if unknown(s.check.R) {
		return ""
	}
	us := s.check.R / model.RValue
	r := "R-" + number(us, 1)
	switch {
	case s.p.System == model.SI:
		r = "R " + number(s.check.R, 2) + " m²·K/W"
	case us >= 10:
		r = "R-" + number(us, 0)
	}
	return fmt.Sprintf("%s ± %s %% of it: %s at λ %.3f W/(m·K), cavity only, framing left out", r, number(s.check.RWithin*100, 0), s.p.size(s.check.Depth), verify.DesignConductivity)
}

// Checks set the section beside published figures. They move no verdict.
func (s *section) Checks() []fact {
	var out []fact
	for _, c := range s.check.Settling {
		word := "below"
		if c.Met {
			word = "at or above"
		}
		out = append(out, fact{"Settling", fmt.Sprintf("the weakest bay, %s, is %s %s %s, above which none was found (%s)",
			s.p.density(c.Least, nan(), c.Published), word, s.p.density(c.Published, nan(), nan()), s.p.unit(verify.Density), c.Condition)})
	}
	if s.check.Unvented {
		out = append(out, fact{"Unvented roof", s.impermeable()})
	}
	return out
}

// Settles tells whether a figure on settling was published for the depth of any section: only then
// its source is named.
func (p *page) Settles() bool {
	return slices.ContainsFunc(p.Packed(), func(s *section) bool { return len(s.check.Settling) > 0 })
}

// impermeable compares the air-impermeable layer with the published table; other routes are for
// others to judge. What is stated stands as it was typed and the table's figure to as many places,
// so that below never reads as equal.
func (s *section) impermeable() string {
	const other = " The code has other routes: ask the code official."
	c := &s.check
	zone, stated, table := s.Section.ClimateZone, s.p.labelR(c.ActualImpermeable), s.p.tableR(c.RequiredImpermeable)
	switch {
	case unknown(c.RequiredImpermeable):
		return "no climate zone given, or none in the published table: what air-impermeable insulation it needs is open." + other
	case unknown(c.ActualImpermeable):
		return fmt.Sprintf("climate zone %s: the published table asks for %s air-impermeable; none is stated here.%s", zone, table, other)
	// The share of a billionth is for figures that were converted: R-20 typed is R-20 asked for.
	case c.ActualImpermeable < c.RequiredImpermeable*(1-1e-9):
		return fmt.Sprintf("climate zone %s: %s air-impermeable is stated, below what the published table asks for, %s.%s", zone, stated, table, other)
	}
	return fmt.Sprintf("climate zone %s: %s air-impermeable is stated, the published table asks for %s: at or above.", zone, stated, table)
}
