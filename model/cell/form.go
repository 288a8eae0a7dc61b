package cell

import (
	"fmt"
	"math"
	"strings"

	"bayproof/model"
)

// Form says how the cells of one column, or the text of one setting, are to be read: the unit of a
// bare number, and the limits of what can be, in SI. FormOf and Column make one; it is used by
// pointer for every row.
type Form struct {
	Name    string     // as messages name it: "width"
	Unit    model.Unit // of a bare number
	Said    bool       // Unit stands in the header, so a bare number is not in doubt
	Comma   bool       // the file's decimal mark is a comma
	Zero    bool       // 0 is accepted
	Min     float64    // SI; below it is refused
	Max     float64    // SI; above it is refused; 0 is no limit
	BareMax float64    // SI; above it a number with no unit anywhere is refused; 0 is no limit
}

// Refusal is what is wrong with a cell: no value comes of it. The reader of the file puts the place
// before it.
type Refusal struct {
	What string // what was read and why it is no good: "width 2-Mar: a date, not a number"
	Hint string // what would be accepted
	At   int    // byte in the cell where reading stopped, from 0
}

// FormOf returns the form of a column of figures in a job's system of units.
func FormOf(name string, fig *model.Figure, units model.System) Form {
	return Form{Name: name, Unit: fig.Unit(units), Zero: fig.Zero, Min: fig.Min, Max: fig.Max, BareMax: fig.BareMax}
}

// Column returns the form of a column of figures of bays.csv, else of sections.csv or cores.csv, by
// its name. It answers false for a name that is no such column.
func Column(name string, units model.System) (Form, bool) {
	fig := figureOf(model.LogColumns(), name)
	if fig == nil {
		fig = figureOf(model.SectionColumns(), name)
	}
	if fig == nil {
		fig = figureOf(model.CoreColumns(), name)
	}
	if fig == nil {
		return Form{Name: name}, false
	}
	return FormOf(name, fig, units), true
}

// figureOf returns the figure of a column by its name; nil where there is none.
func figureOf[T any](columns []model.Column[T], name string) *model.Figure {
	for _, c := range columns {
		if c.Name == name {
			return c.Figure
		}
	}
	return nil
}

// WithUnit returns the form with the unit that the header gives, in which bare numbers of the
// column are; it refuses a unit of another kind. The limits stay: they are in SI.
func (f Form) WithUnit(u model.Unit) (Form, *Refusal) {
	if u.Dimension != f.Unit.Dimension {
		why := fmt.Sprintf("has %s, a unit of %s, not of %s", u.Symbol, u.Dimension, f.Unit.Dimension)
		p := parser{form: &f}
		return f, refuse("", f.Name+"_"+u.Symbol, 0, why, p.units())
	}
	f.Unit, f.Said = u, true
	return f, nil
}

// SplitHeader takes the unit off a header: "width_in" is width and in, "length_m" is length and m.
// It answers false where the name ends in no unit.
func SplitHeader(name string) (base string, u model.Unit, ok bool) {
	i := strings.LastIndexByte(name, '_')
	if i <= 0 {
		return name, u, false
	}
	u, ok = model.LookupUnit(name[i+1:])
	if !ok {
		return name, u, false
	}
	return name[:i], u, true
}

// Amount is one quantity read from a cell, with what is needed to tell it again as it was meant.
type Amount struct {
	Value  float64 // SI; a count of bags or a share as a plain number; NaN where the cell is empty
	Within float64 // SI, the cell's own ±; NaN where it has none
	Unit   string  // the unit that applied
}

// Number reads one quantity and returns it in SI. An empty cell gives NaN and no refusal, a bad one
// NaN and a refusal. A tolerance, and a second value, are refused.
func (f *Form) Number(s string) (float64, *Refusal) {
	if v, ok := f.plain(s); ok {
		return v, nil
	}
	a, bad := f.Amount(s)
	if bad == nil && !math.IsNaN(a.Within) {
		return math.NaN(), f.refuse(s, 0, "has a ±, and takes none", "write the value alone")
	}
	return a.Value, bad
}

// Amount reads one quantity, with or without a unit and a tolerance, in SI. An empty cell gives
// NaN. Repeats are refused: they are for sizes, which a tape may read twice; of anything else a
// second value is a slip.
func (f *Form) Amount(s string) (Amount, *Refusal) {
	if v, ok := f.plain(s); ok {
		return Amount{v, math.NaN(), f.Unit.Symbol}, nil
	}
	none := Amount{math.NaN(), math.NaN(), f.Unit.Symbol}
	if Blank(s) {
		return none, nil
	}
	p, g := f.group(s)
	if p.bad == nil && len(g.values) > 1 {
		p.refuse(g.at[1], "has more than one value", "write one value")
	}
	if p.bad != nil {
		return none, p.verdict()
	}
	return Amount{g.values[0], g.within, g.unit}, nil
}

// Reading reads a size cell into r: repeats with `;` between, one unit, one tolerance, all in m.
// State becomes Measured; Ditto for a ditto mark; Owed for a question mark; Absent for an empty
// cell (whether that means "as above" depends on the column) and for a refused one. Values are
// appended to arena, whose new end is returned, so that a reader of many rows allocates once in a
// while. Where the cell stands is not touched.
func (f *Form) Reading(s string, r *model.Reading, arena []float64) ([]float64, *Refusal) {
	r.State, r.Values, r.Within, r.Raw = model.Absent, nil, math.NaN(), s
	if v, ok := f.plain(s); ok {
		r.State = model.Measured
		r.Values, arena = keep(arena, v)
		return arena, nil
	}
	if Blank(s) {
		return arena, nil
	}
	if DittoMark(s) {
		r.State = model.Ditto
		return arena, nil
	}
	if OwedMark(s) {
		r.State = model.Owed
		return arena, nil
	}
	p, g := f.group(s)
	if p.bad != nil {
		return arena, p.verdict()
	}
	r.State, r.Within = model.Measured, g.within
	r.Values, arena = keep(arena, g.values...)
	return arena, nil
}

// List reads several lengths with `;` between that add up and are no repeats (reach). They are
// appended to arena; the first result is the cell's own part of it, nil for an empty cell.
func (f *Form) List(s string, arena []float64) (values, grown []float64, bad *Refusal) {
	if v, ok := f.plain(s); ok {
		values, grown = keep(arena, v)
		return values, grown, nil
	}
	if Blank(s) {
		return nil, arena, nil
	}
	p, g := f.group(s)
	if p.bad == nil && !math.IsNaN(g.within) {
		p.refuse(0, "has a ±, and takes none", "write the lengths alone")
	}
	if p.bad != nil {
		return nil, arena, p.verdict()
	}
	values, grown = keep(arena, g.values...)
	return values, grown, nil
}

// keep appends values to arena and returns their own part of it, which a later append cannot reach.
func keep(arena []float64, values ...float64) (part, grown []float64) {
	n := len(arena)
	arena = append(arena, values...)
	return arena[n:len(arena):len(arena)], arena
}

// A spreadsheet's day number of a fraction that it took for a date: the years 2000 to 2099.
const (
	firstDay = 36526
	lastDay  = 73050
)

// inRange refuses what cannot be: zero and values below it where the form does not take them, and
// what is beyond its limits. m is the number as it stands, si the same in SI; said tells whether
// the cell has a unit: a bare number has a limit of its own (BareMax), above which it is likely in
// another unit.
func (p *parser) inRange(m measure, si float64, said bool) {
	f := p.form
	bare := !said && !f.Said
	switch {
	case math.IsNaN(si) || math.IsInf(si, 0):
		p.refuse(m.at, "is too large for a number", p.example())
	case si == 0 && !f.Zero:
		p.refuse(m.at, "is zero", "write what you measured, or leave the cell empty")
	case si < 0:
		p.refuse(m.at, "is negative", f.least())
	case f.Max > 0 && si > f.Max:
		p.refuse(m.at, fmt.Sprintf("is over %s", f.limit(f.Max, m.unit)), p.fitting(m))
	case si < f.Min && si != 0:
		p.refuse(m.at, fmt.Sprintf("is under %s", f.limit(f.Min, m.unit)), p.fitting(m))
	case f.BareMax > 0 && bare && si > f.BareMax:
		p.refuse(m.at, fmt.Sprintf("is read as %s %s, longer than any bay", FormatNumber(m.v), m.unit.Symbol), p.fitting(m))
	}
}

// least says what the least is.
func (f *Form) least() string {
	if f.Zero {
		return "write 0 or more"
	}
	return "write a number above 0"
}

// limit says a limit as it is set: in feet for lengths, in the reading's unit otherwise; the least
// length in inches or millimeters.
func (f *Form) limit(si float64, u model.Unit) string {
	switch {
	case si == model.Thinnest && (u.Factor == model.Inch || u.Factor == model.Foot):
		return "1/64 in"
	case si == model.Thinnest:
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

// fitting asks whether another unit was meant: the first in which the number is a likely value,
// between the column's limits, of lengths within half the longest (no bay is as long as the limit
// that refuses a slip). A whole number in the range of spreadsheet days was a fraction once: 46085
// is 3/4.
func (p *parser) fitting(m measure) string {
	if m.v >= firstDay && m.v <= lastDay && m.v == math.Trunc(m.v) {
		return "format the column as text and type it again: a spreadsheet turned a fraction into a date"
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
			return fmt.Sprintf("write %s %s if you meant that", FormatNumber(m.v), symbol)
		}
	}
	return "check the number and its unit"
}
