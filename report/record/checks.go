package record

import (
	"fmt"

	"bayproof/model"
	"bayproof/verify"
)

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
