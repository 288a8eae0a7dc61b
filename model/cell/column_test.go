package cell

import (
	"testing"

	"bayproof/model"
)

// The limits are those of the format: 100 ft, 8 ft and 4 ft are just accepted, in every way of
// writing them.
func TestLimits(t *testing.T) {
	for _, test := range []struct{ column, good, bad string }{
		{"width", "96", "96.1"}, {"width", "8 ft", "8.01 ft"}, {"width", "8'", "8' 1/16"}, {"width2", "2438.4 mm", "2439 mm"},
		{"depth", "48", "48.1"}, {"depth2", "4 ft", "4 ft 1/8 in"}, {"bulge", "0", "-1"}, {"depth", "1219.2 mm", "1220 mm"},
		{"length", "100 ft", "100.1 ft"}, {"length", "1200 in", "1201 in"}, {"length", "100'", "100' 1"}, {"length", "40", "40.1"}, {"length", "30.48 m", "30.5 m"},
		{"length2", "0", "-1"}, {"reach", "0; 40", "0; 41"}, {"hole", "0", "41"}, {"at", "0", "101 ft"}, {"weight", "0", "-1"}, {"counter", "312.25", "10001"},
	} {
		f := column(t, test.column)
		if _, _, bad := f.List(test.good, nil); bad != nil {
			t.Errorf("%s %q is refused: %s", test.column, test.good, bad.What)
		}
		if v, _, bad := f.List(test.bad, nil); bad == nil {
			t.Errorf("%s %q is accepted: %v", test.column, test.bad, v)
		}
	}
}

func TestColumns(t *testing.T) {
	for name, want := range map[string][2]string{
		"width": {"in", "mm"}, "depth": {"in", "mm"}, "bulge": {"in", "mm"}, "length": {"ft", "m"}, "length2": {"ft", "m"}, "reach": {"ft", "m"},
		"hole": {"ft", "m"}, "at": {"ft", "m"}, "weight": {"lb", "kg"}, "bags": {"", ""}, "covers": {"ft2", "m2"}, "volume": {"ft3", "m3"}, "spacing": {"in", "mm"},
	} {
		for i, sys := range []model.System{model.US, model.SI} {
			if f, ok := Column(name, sys); !ok || f.Unit.Symbol != want[i] {
				t.Errorf("%s, %s: %q", name, sys, f.Unit.Symbol)
			}
		}
	}
	if _, ok := Column("colour", model.US); ok {
		t.Error("colour is a column")
	}
	r, _ := Column("label_r", model.US)
	if _, bad := r.Number("21 ft"); bad == nil || bad.Hint != "write the number alone, as 21" {
		t.Errorf("%+v", bad)
	}
}
