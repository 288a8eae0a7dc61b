package cell

import (
	"math"
	"strconv"
	"strings"

	"bayproof/model"
)

// FormatNumber writes a number as the shortest decimal that reads back the same, without an exponent.
func FormatNumber(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// Plain rewrites a good cell for a spreadsheet: fractions as exact decimals, feet with inches as inches, units and
// tolerances kept. What it returns reads back as the same values (the last bit apart where a cell mixes units).
func (f *Form) Plain(s string) (string, *Refusal) {
	if _, ok := decimal(s, f.Comma); ok {
		if _, bad := f.Number(s); bad != nil {
			return "", bad
		}
		return strings.Trim(s, " "), nil
	}
	if Blank(s) {
		return "", nil
	}
	if DittoMark(s) {
		return `"`, nil
	}
	p := parser{form: f, scan: newScanner(s, f.Comma)}
	var g group
	p.group(&g)
	if p.bad != nil {
		return "", p.verdict()
	}
	return f.written(g), nil
}

// written puts a group back into text, in its own unit.
func (f *Form) written(g group) string {
	u := f.Unit
	if g.said {
		u, _ = model.LookupUnit(g.unit)
	}
	switch {
	case g.unit == "ft in", g.unit == "ft" && g.said && !math.IsNaN(g.within): // the ± may be in inches
		u, _ = model.LookupUnit("in")
	case g.unit == "lb oz", g.unit == "lb" && g.said && !math.IsNaN(g.within):
		u, _ = model.LookupUnit("oz")
	}
	var parts []string
	for _, v := range g.value[:g.n] {
		parts = append(parts, f.decimalText(u.In(v)))
	}
	text := strings.Join(parts, "; ")
	if !math.IsNaN(g.within) {
		text += " +- " + f.decimalText(u.In(g.within))
	}
	if g.said {
		text += " " + u.Symbol
	}
	return text
}

// decimalText writes a number with the file's decimal mark, rid of the dust that the way to SI and back leaves: no
// tape or scale has a fourteenth digit.
func (f *Form) decimalText(v float64) string {
	if short, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 13, 64), 64); err == nil {
		v = short
	}
	return f.mark(FormatNumber(v))
}

// mark gives a decimal the file's decimal mark.
func (f *Form) mark(text string) string {
	if f.Comma {
		return strings.Replace(text, ".", ",", 1)
	}
	return text
}

// PlainBags is Plain for a count of bags or a counter.
func (f *Form) PlainBags(s string) (string, *Refusal) {
	var m model.Material
	if bad := f.Bags(s, model.MaterialBags, &m); bad != nil || m.Kind == model.MaterialNone {
		return "", bad
	}
	if m.Shared {
		return "shared", nil
	}
	text := f.mark(FormatNumber(m.Bags))
	unit, factor := "", 1.0
	if m.Part != 0 {
		unit, factor = " lb", model.Pound
		sign := " + "
		if m.Part < 0 {
			sign = " - "
		}
		text += sign + f.decimalText(math.Abs(m.Part)/factor) + unit
	}
	if !math.IsNaN(m.Within) {
		text += " +- " + f.decimalText(m.Within/factor) + unit
	}
	return text, nil
}
