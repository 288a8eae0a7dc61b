package cell

import (
	"time"

	"bayproof/model"
)

// Amount is one quantity read from a cell.
type Amount struct {
	Value  float64 // SI; a count of bags or a share as a plain number; NaN where the cell is empty
	Within float64 // SI, the cell's own ±; NaN where it has none
	Unit   string  // the unit that applied
}

// Amount reads one quantity, with or without a unit and a tolerance. An empty cell gives NaN.
func (f *Form) Amount(s string) (Amount, *Refusal) { return Amount{}, nil }

// Number reads one quantity and gives it in SI. An empty cell gives NaN. A tolerance is refused.
func (f *Form) Number(s string) (float64, *Refusal) { return 0, nil }

// Reading reads a size cell into r: repeats with `;` between, one unit, one tolerance. State becomes Measured; Ditto for
// a ditto mark; Absent for an empty cell (whether that means "as above" depends on the column). Values are appended to
// arena, whose new end is returned, so that a reader of many rows allocates once in a while. r.Src is not touched.
func (f *Form) Reading(s string, r *model.Reading, arena []float64) ([]float64, *Refusal) {
	return arena, nil
}

// List reads several lengths with `;` between that add up and are no repeats (reach). They are appended to arena; the
// first result is the cell's own part of it, nil for an empty cell.
func (f *Form) List(s string, arena []float64) (values, grown []float64, bad *Refusal) {
	return nil, arena, nil
}

// Bags reads a count of bags or a counter: `1 3/4`, `1 + 14.5 lb`, `2 - 10.5 lb`, `1 ± 1/8`, `shared`. An empty cell
// leaves MaterialNone. Otherwise Kind is set to kind and Bags, Part, Within, Shared and Raw are filled in. Within is
// in kg where there is a part by weight, else in bags.
func (f *Form) Bags(s string, kind model.MaterialKind, m *model.Material) *Refusal { return nil }

// Weight reads a weighed mass into m; an empty cell leaves MaterialNone.
func (f *Form) Weight(s string, m *model.Material) *Refusal { return nil }

// YesNo reads yes, no, y, n, true, false in any case; an empty cell is Unsaid.
func YesNo(name, s string) (model.Answer, *Refusal) { return 0, nil }

// Probe reads what a look into a bay found; an empty cell is ProbeNone.
func Probe(s string) (model.Probe, *Refusal) { return 0, nil }

// Entry reads the entry column; ok is false for an empty cell.
func Entry(s string) (kind model.EntryKind, ok bool, bad *Refusal) { return 0, false, nil }

// Shape reads the shape column; an empty cell is ShapeUnsaid.
func Shape(s string) (model.Shape, *Refusal) { return 0, nil }

// Time reads RFC 3339, also with a space for the T and without seconds or zone (then UTC stands for the local clock);
// `14:20` takes day. An empty cell is the zero time.
func Time(s string, day time.Time) (time.Time, *Refusal) { return time.Time{}, nil }

// Date reads 2026-03-02; an empty cell is the zero time.
func Date(name, s string) (time.Time, *Refusal) { return time.Time{}, nil }

// Photos reads file names with `;` between, trimmed, none empty.
func Photos(s string) []string { return nil }

// Name reads the name of a section or a bay: trimmed, inner spaces collapsed, NFC, a leading ' that guards a formula
// sign taken off.
func Name(s string) string { return s }

// Text reads free text: trimmed, a leading ' that guards a formula sign taken off.
func Text(s string) string { return s }

// GuardText is what Text undoes: text beginning with = + - @ tab CR or ' gets a leading ' so that no spreadsheet runs it.
func GuardText(s string) string { return s }

// FormatNumber writes a number as the shortest decimal that reads back the same, without an exponent.
func FormatNumber(v float64) string { return "" }

// Plain rewrites a good cell for a spreadsheet: fractions as exact decimals, feet with inches as inches, units and
// tolerances kept. What it returns reads back as the same values.
func (f *Form) Plain(s string) (string, *Refusal) { return s, nil }

// Blank tells whether a cell holds nothing but spaces (of any kind).
func Blank(s string) bool { return s == "" }

// DittoMark tells whether a cell is a ditto mark.
func DittoMark(s string) bool { return s == `"` }

// Column returns the form of a numeric column of bays.csv, sections.csv or cores.csv in a job's system of units: its
// bare unit and its limits. It answers false for a name that is no such column.
func Column(name string, units model.System) (Form, bool) { return Form{}, false }

// WithUnit returns the form with the unit that the header gives; it refuses a unit of another kind.
func (f Form) WithUnit(u model.Unit) (Form, *Refusal) { return f, nil }

// SplitHeader takes the unit off a header: "width_in" is width and in, "length_m" is length and m. It answers false where
// the name ends in no unit.
func SplitHeader(name string) (base string, u model.Unit, ok bool) { return name, model.Unit{}, false }

// Nearest returns the known word that is one or two letters off (one, for words of up to four letters), or "".
func Nearest(word string, known []string) string { return "" }
