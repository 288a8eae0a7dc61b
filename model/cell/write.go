// Writing numbers and cells back, and the short way by which the commonest cells are read.

package cell

import (
	"math"
	"strconv"
	"strings"

	"bayproof/model"
)

// FormatNumber writes a number as the shortest decimal that reads back the same, without an
// exponent.
func FormatNumber(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// Plain rewrites a good cell for a spreadsheet: fractions as exact decimals, feet with inches as
// inches, units and tolerances kept. What it returns reads back as the same values (the last bit
// apart where a cell mixes units); a bad cell is refused.
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
	p, g := f.group(s)
	if p.bad != nil {
		return "", p.verdict()
	}
	return f.written(g), nil
}

// written puts a group back into text, in its own unit; feet with inches become inches, pounds with
// ounces ounces.
func (f *Form) written(g group) string {
	u := f.Unit
	if g.said {
		u, _ = model.LookupUnit(g.unit)
	}
	// A lone unit at the end holds for all of the cell, so that one must be found in which
	// everything can be told.
	switch {
	case g.unit == "ft in", g.unit == "ft" && g.said && !math.IsNaN(g.within): // the ± may be in inches
		u, _ = model.LookupUnit("in")
	case g.unit == "lb oz", g.unit == "lb" && g.said && !math.IsNaN(g.within):
		u, _ = model.LookupUnit("oz")
	}
	var parts []string
	for _, v := range g.values {
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

// FormatReadings writes the values of a size with their ± in one unit, as a cell that reads back
// the same.
func FormatReadings(r *model.Reading, u model.Unit) string {
	f := Form{Unit: u}
	return f.written(group{values: r.Values, within: r.Within, unit: u.Symbol, said: true})
}

// decimalText writes a number with the file's decimal mark, to 13 significant digits: the way to SI
// and back leaves errors in those after them, which no tape or scale has.
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
	// With a part by weight the ± is a mass, else a number of bags.
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

// plain reads the commonest cells, in SI: a decimal number or a whole number and a fraction, with
// no sign and no unit, inside the form's limits. It answers false for everything else, good or bad,
// which the grammar then reads.
func (f *Form) plain(s string) (float64, bool) {
	v, ok := decimal(s, f.Comma)
	if !ok {
		if v, ok = tapeFraction(s); !ok {
			return 0, false
		}
	}
	// What is outside the limits is the grammar's to refuse, in words that fit.
	v *= f.Unit.Factor
	if v == 0 && !f.Zero || v != 0 && v < f.Min || f.Max > 0 && v > f.Max || f.BareMax > 0 && v > f.BareMax && !f.Said {
		return 0, false
	}
	return v, true
}

// decimalMark is the decimal mark of a file whose numbers have a comma, or a point.
func decimalMark(comma bool) rune {
	if comma {
		return ','
	}
	return '.'
}

// decimal reads digits with at most one decimal mark, 15 digits at most, ASCII spaces around them.
// Longer ones hold digits that nobody measured, and are left to the grammar; Plain writes them
// shorter.
//
// A whole number of 15 digits and a power of ten up to 1e15 are floats exactly, so that their
// quotient, rounded once, is the float nearest to the decimal: what the library reads.
func decimal(s string, comma bool) (float64, bool) {
	s = strings.Trim(s, " ")
	mark := byte(decimalMark(comma))
	digits, marks := 0, 0
	whole, below := int64(0), int64(1) // the digits as one number, and what it is to be divided by
	for i := range len(s) {
		switch digit := s[i] - '0'; {
		case digit <= 9 && digits < 15:
			digits++
			whole = 10*whole + int64(digit)
			if marks > 0 {
				below *= 10
			}
		case s[i] == mark:
			marks++
		default:
			return 0, false
		}
	}
	if digits == 0 || marks > 1 {
		return 0, false
	}
	return float64(whole) / float64(below), true
}

// tapeFraction reads 14 1/2 and 14-1/2, all in ASCII, the fraction below 1 and in halves to
// sixty-fourths.
func tapeFraction(s string) (float64, bool) {
	s, below, fraction := strings.Cut(s, "/")
	i := strings.IndexAny(s, " -")
	if !fraction || i < 0 {
		return 0, false
	}
	whole, bad1 := strconv.ParseUint(s[:i], 10, 16)
	num, bad2 := strconv.ParseUint(s[i+1:], 10, 16)
	den, bad3 := strconv.ParseUint(below, 10, 16)
	if bad1 != nil || bad2 != nil || bad3 != nil || den > 64 || den&(den-1) != 0 || num >= den {
		return 0, false
	}
	return float64(whole) + float64(num)/float64(den), true
}
