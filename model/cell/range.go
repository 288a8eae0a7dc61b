package cell

import (
	"fmt"
	"math"

	"bayproof/model"
)

// A spreadsheet's day number of a fraction that it took for a date: the years 2000 to 2099.
const (
	firstDay = 36526
	lastDay  = 73050
)

// inRange refuses what cannot be: zero, and sizes beyond those of any bay. said tells whether the cell has a unit.
func (p *parser) inRange(m measure, si float64, said bool) {
	f := p.form
	bare := !said && !f.Said
	switch {
	case math.IsNaN(si) || math.IsInf(si, 0):
		p.refuse(m.at, "too large to be a number", p.example())
	case si == 0 && !f.Zero:
		p.refuse(m.at, "zero", "write what was measured, or leave the cell empty")
	case si < 0:
		p.refuse(m.at, "negative", f.least())
	case f.Max > 0 && si > f.Max:
		p.refuse(m.at, fmt.Sprintf("over %s", f.limit(f.Max, m.unit)), p.fitting(m))
	case si < f.Min && si != 0:
		p.refuse(m.at, fmt.Sprintf("under %s", f.limit(f.Min, m.unit)), p.fitting(m))
	case f.BareMax > 0 && bare && si > f.BareMax:
		p.refuse(m.at, fmt.Sprintf("read as %s %s, longer than any bay", FormatNumber(m.v), m.unit.Symbol), p.fitting(m))
	}
}

// least says what the least is.
func (f *Form) least() string {
	if f.Zero {
		return "0 is the least"
	}
	return "it must be above 0"
}

// limit says a limit as it is set: in feet for lengths, in the reading's unit otherwise; the least length in inches or
// millimeters.
func (f *Form) limit(si float64, u model.Unit) string {
	switch {
	case si == thinnest && (u.Factor == model.Inch || u.Factor == model.Foot):
		return "1/64 in"
	case si == thinnest:
		return fmt.Sprintf("%.1g mm", 1000*si)
	case u.Dimension == model.DimLength && (u.Factor == model.Inch || u.Factor == model.Foot):
		return fmt.Sprintf("%.4g ft", si/model.Foot)
	case u.Dimension == model.DimLength:
		return fmt.Sprintf("%.4g m", si)
	case u.Dimension == model.DimShare:
		return fmt.Sprintf("%.4g %%", 100*si)
	case u.Dimension == model.DimCount:
		return fmt.Sprintf("%.6g", si)
	}
	return fmt.Sprintf("%.4g %s", u.In(si), u.Symbol)
}

// fitting asks whether another unit was meant: the first in which the number is a likely value.
func (p *parser) fitting(m measure) string {
	if m.v >= firstDay && m.v <= lastDay && m.v == math.Trunc(m.v) {
		return "a spreadsheet turned a fraction into a date: format the column as text and type it again"
	}
	lo, hi := p.form.Min, p.form.Max
	if lo == 0 {
		lo = hi / 100
	}
	if p.form.Unit.Dimension == model.DimLength {
		hi /= 2
	}
	for _, symbol := range unitsOf(p.form.Unit) {
		u, _ := model.LookupUnit(symbol)
		if v := u.SI(m.v); symbol != m.unit.Symbol && v >= lo && v <= hi {
			return fmt.Sprintf("%s %s?", FormatNumber(m.v), symbol)
		}
	}
	return "look at the number and its unit again"
}
