package cell

import (
	"math"

	"bayproof/model"
)

// Amount is one quantity read from a cell.
type Amount struct {
	Value  float64 // SI; a count of bags or a share as a plain number; NaN where the cell is empty
	Within float64 // SI, the cell's own ±; NaN where it has none
	Unit   string  // the unit that applied
}

// Number reads one quantity and gives it in SI. An empty cell gives NaN. A tolerance is refused.
func (f *Form) Number(s string) (float64, *Refusal) {
	if v, ok := f.plain(s); ok {
		return v, nil
	}
	a, bad := f.Amount(s)
	if bad == nil && !math.IsNaN(a.Within) {
		return math.NaN(), f.refuse(s, 0, "a ± has no place here", "write the value alone")
	}
	return a.Value, bad
}

// Amount reads one quantity, with or without a unit and a tolerance. An empty cell gives NaN.
func (f *Form) Amount(s string) (Amount, *Refusal) {
	if v, ok := f.plain(s); ok {
		return Amount{v, math.NaN(), f.Unit.Symbol}, nil
	}
	none := Amount{math.NaN(), math.NaN(), f.Unit.Symbol}
	if Blank(s) {
		return none, nil
	}
	p := parser{form: f, scan: newScanner(s, f.Comma)}
	var g group
	p.group(&g)
	if p.bad == nil && g.n > 1 {
		p.refuse(g.at[1], "more than one value", "write one value")
	}
	if p.bad != nil {
		return none, p.verdict()
	}
	return Amount{g.value[0], g.within, g.unit}, nil
}

// Reading reads a size cell into r: repeats with `;` between, one unit, one tolerance. State becomes Measured; Ditto for
// a ditto mark; Absent for an empty cell (whether that means "as above" depends on the column). Values are appended to
// arena, whose new end is returned, so that a reader of many rows allocates once in a while. Where the
// cell stands is not touched.
func (f *Form) Reading(s string, r *model.Reading, arena []float64) ([]float64, *Refusal) {
	r.State, r.Values, r.Within, r.Unit, r.Raw = model.Absent, nil, math.NaN(), f.Unit.Symbol, s
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
	p := parser{form: f, scan: newScanner(s, f.Comma)}
	var g group
	p.group(&g)
	if p.bad != nil {
		return arena, p.verdict()
	}
	r.State, r.Within, r.Unit = model.Measured, g.within, g.unit
	r.Values, arena = keep(arena, g.value[:g.n]...)
	return arena, nil
}

// List reads several lengths with `;` between that add up and are no repeats (reach). They are appended to arena; the
// first result is the cell's own part of it, nil for an empty cell.
func (f *Form) List(s string, arena []float64) (values, grown []float64, bad *Refusal) {
	if v, ok := f.plain(s); ok {
		values, grown = keep(arena, v)
		return values, grown, nil
	}
	if Blank(s) {
		return nil, arena, nil
	}
	p := parser{form: f, scan: newScanner(s, f.Comma)}
	var g group
	p.group(&g)
	if p.bad == nil && !math.IsNaN(g.within) {
		p.refuse(0, "a ± has no place here", "write the lengths alone")
	}
	if p.bad != nil {
		return nil, arena, p.verdict()
	}
	values, grown = keep(arena, g.value[:g.n]...)
	return values, grown, nil
}

// keep appends values to arena and returns their own part of it, which a later append cannot reach.
func keep(arena []float64, values ...float64) (part, grown []float64) {
	n := len(arena)
	arena = append(arena, values...)
	return arena[n:len(arena):len(arena)], arena
}
