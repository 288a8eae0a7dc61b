package cell

import (
	"math"
	"strings"
	"testing"

	"bayproof/model"
)

// 1 lb = 0.45359237 kg (NIST Handbook 44, App. C).
func TestBags(t *testing.T) {
	const lb = 0.45359237
	nan := math.NaN()
	tests := []struct {
		cell               string
		bags, part, within float64
		shared             bool
	}{
		{"1 3/4", 1.75, 0, nan, false},
		{"1-3/4", 1.75, 0, nan, false},
		{"1¾", 1.75, 0, nan, false},
		{"1.75", 1.75, 0, nan, false},
		{"0", 0, 0, nan, false},
		{"2/3", 2.0 / 3, 0, nan, false},
		{"2 bags", 2, 0, nan, false},
		{"1 + 14.5 lb", 1, 14.5 * lb, nan, false},
		{"1+14.5lb", 1, 14.5 * lb, nan, false},
		{"1 + 14 1/2 lb", 1, 14.5 * lb, nan, false},
		{"0 + 14.5 lb", 0, 14.5 * lb, nan, false},
		{"1 + 14 lb 8 oz", 1, 14.5 * lb, nan, false},
		{"1 + 6 kg", 1, 6, nan, false},
		{"2 - 10.5 lb", 2, -10.5 * lb, nan, false},
		{"2 − 10.5 lb", 2, -10.5 * lb, nan, false},
		{"2 -10.5 lb", 2, -10.5 * lb, nan, false},
		{"1 3/4 ± 1/8", 1.75, 0, .125, false},
		{"1 + 14.5 lb ± 0.5", 1, 14.5 * lb, .5 * lb, false},
		{"1 + 14.5 lb +- 8 oz", 1, 14.5 * lb, .5 * lb, false},
		{"shared", 0, 0, nan, true},
		{" Shared", 0, 0, nan, true},
	}
	for _, test := range tests {
		for name, kind := range map[string]model.MaterialKind{"bags": model.MaterialBags, "counter": model.MaterialCounter} {
			var m model.Material
			bad := column(t, name).Bags(test.cell, kind, &m)
			if kind == model.MaterialCounter && test.part != 0 {
				if bad == nil || bad.What != "counter "+strings.TrimSpace(test.cell)+" has a part by weight, and a counter has none" {
					t.Errorf("counter %q: %+v", test.cell, bad)
				}
				continue
			}
			if bad != nil {
				t.Errorf("%q: refused: %s (%s)", test.cell, bad.What, bad.Hint)
				continue
			}
			if m.Kind != kind || m.Raw != test.cell || m.Shared != test.shared || m.Bags != test.bags || !near(m.Part, test.part) || !near(m.Within, test.within) {
				t.Errorf("%q: %+v", test.cell, m)
			}
		}
	}
}

func TestBagsRefused(t *testing.T) {
	const (
		ways = "weigh the part bag and write 1 + 14.5 lb or 2 - 10.5 lb, or give the count as 1 3/4"
		bags = "write 1.75, 1 3/4, 1 + 14.5 lb or 2 - 10.5 lb"
	)
	tests := []struct{ cell, why, hint string }{
		{"-1", "is negative", "write 0 or more; for material that came out use lost"},
		{"2-10.5 lb", "has a hyphen that joins no whole number and fraction", "put a space before the minus: 2 - 10.5 lb"},
		{"1 + 14.5", "has a part with no unit", ways},
		{"1 - 1/2", "has a part with no unit", ways},
		{"1 1/2 + 3 lb", "has one part by eye and another by weight", ways},
		{"0 - 3 lb", "is less than nothing", ways},
		{"14.5 lb", "is a weight in a column of bags", "say it in weight, or write 0 + 14.5 lb"},
		{"14.5 ft", "has ft, and a count of bags has no unit", bags},
		{"1 + 145 lb", "is over 132.3 lb", "write 145 oz if you meant that"},
		{"1 + 3 in", "has in, a unit of length, not of weight", "write lb, oz, kg or g"},
		{"2/5", "is in fifths, and nobody can tell those apart on a bag", "format the column as text, or write a decimal: 0.4"},
		{"3-Mar", "is a date, not a number", "format the column as text and type it again: a spreadsheet turned a fraction into a date"},
		{"4-Mar", "is a date, not a number", "format the column as text, and write 0.75 if you typed 3/4: a spreadsheet turned a fraction into a date"},
		{"1-Feb", "is a date, not a number", "format the column as text, and write 0.5 if you typed 1/2: a spreadsheet turned a fraction into a date"},
		{"46085", "is over 10000", "format the column as text and type it again: a spreadsheet turned a fraction into a date"},
		{"1,5", "has a decimal comma, and this file uses the point", "write 1.5, or save the file with semicolons between its cells"},
		{"1 ± 0", "has a ± of nothing", "leave the ± out, or write how far off it may be, to either side"},
		{"1; 2", "has a ; in the wrong place", bags},
		{"NaN", "is not a number", "write what you measured, or leave the cell empty"},
		{"1e999", "is too large for a number", "write 1.75, 1 3/4 or 1-3/4"},
		{"1 + 1e999 lb", "is too large for a number", "write 14.5, 14 1/2, or with a unit 14.5 lb, 6.6 kg"},
	}
	for _, test := range tests {
		var m model.Material
		bad := column(t, "bags").Bags(test.cell, model.MaterialBags, &m)
		if bad == nil {
			t.Errorf("%q is accepted as %+v", test.cell, m)
			continue
		}
		if want := "bags " + test.cell + " " + test.why; bad.What != want || bad.Hint != test.hint || m.Kind != model.MaterialNone {
			t.Errorf("%q\n got %s | %s\nwant %s | %s", test.cell, bad.What, bad.Hint, want, test.hint)
		}
	}
}

func TestBagsEmpty(t *testing.T) {
	m := model.Material{Kind: model.MaterialWeight}
	if bad := column(t, "bags").Bags(" ", model.MaterialBags, &m); bad != nil || m.Kind != model.MaterialNone {
		t.Errorf("%+v (%v)", m, bad)
	}
}

func TestWeight(t *testing.T) {
	const lb = 0.45359237
	for s, want := range map[string][2]float64{
		"14.5": {14.5 * lb, math.NaN()}, "14 1/2 lb": {14.5 * lb, math.NaN()}, "14 lb 8 oz": {14.5 * lb, math.NaN()}, "6.5 kg": {6.5, math.NaN()},
		"6500 g": {6.5, math.NaN()}, "232 oz": {14.5 * lb, math.NaN()}, "30 ± 1": {30 * lb, lb}, "0": {0, math.NaN()},
	} {
		var m model.Material
		if bad := column(t, "weight").Weight(s, &m); bad != nil || m.Kind != model.MaterialWeight || !near(m.Mass, want[0]) || !near(m.Within, want[1]) {
			t.Errorf("%q: %+v (%v)", s, m, bad)
		}
	}
	core := FormOf("weight", figureOf(model.CoreColumns(), "weight"), model.US)
	if v, bad := core.Number("11.4"); bad != nil || !near(v, .0114) {
		t.Errorf("core 11.4: %v (%v)", v, bad)
	}
}
