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
				if bad == nil || bad.What != "counter "+strings.TrimSpace(test.cell)+": a part by weight in a counter" {
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
		{"-1", "negative", "it must be 0 or more; material that came out is an entry lost"},
		{"2-10.5 lb", "a hyphen joins a whole number and a fraction, nothing else", "put a space before the minus: 2 - 10.5 lb"},
		{"1 + 14.5", "a part with no unit", ways},
		{"1 - 1/2", "a part with no unit", ways},
		{"1 1/2 + 3 lb", "a part of a bag by eye and another by weight", ways},
		{"0 - 3 lb", "less than nothing", ways},
		{"14.5 lb", "a weight in a column of bags", "put it in the column weight, or write 0 + 14.5 lb"},
		{"14.5 ft", "ft has no place after bags", bags},
		{"1 + 145 lb", "over 132.3 lb", "145 oz?"},
		{"1 + 3 in", "in is a unit of length, not of weight", "known are lb, oz, kg, g"},
		{"2/5", "nobody tells a bag apart by fifths", "format the column as text, or write a decimal: 0.4"},
		{"3-Mar", "a date, not a number", "a spreadsheet turns a fraction into a date: format the column as text and type it again"},
		{"4-Mar", "a date, not a number", "a spreadsheet turns a fraction into a date: format the column as text; if 3/4 was typed, write 0.75"},
		{"1-Feb", "a date, not a number", "a spreadsheet turns a fraction into a date: format the column as text; if 1/2 was typed, write 0.5"},
		{"46085", "over 10000", "a spreadsheet turned a fraction into a date: format the column as text and type it again"},
		{"1,5", "a decimal comma in a file whose decimal mark is the point", "write 1.5, or save the file with semicolons between its cells"},
		{"1 ± 0", "a ± of nothing", "leave the ± out, or give half the width of what it may be off by"},
		{"1; 2", "a ; has no place here", bags},
		{"NaN", "not a number", "write what was measured, or leave the cell empty"},
		{"1e999", "too large to be a number", "write 1.75, 1 3/4 or 1-3/4"},
		{"1 + 1e999 lb", "too large to be a number", "write 14.5, 14 1/2, or with a unit 14.5 lb, 6.6 kg"},
	}
	for _, test := range tests {
		var m model.Material
		bad := column(t, "bags").Bags(test.cell, model.MaterialBags, &m)
		if bad == nil {
			t.Errorf("%q is accepted as %+v", test.cell, m)
			continue
		}
		if want := "bags " + test.cell + ": " + test.why; bad.What != want || bad.Hint != test.hint || m.Kind != model.MaterialNone {
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
