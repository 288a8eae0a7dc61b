package cell

import (
	"math"
	"testing"

	"bayproof/model"
)

// column is the form of a column in a job in inches and feet.
func column(t testing.TB, name string) *Form {
	t.Helper()
	f, ok := Column(name, model.US)
	if !ok {
		t.Fatalf("no column %s", name)
	}
	return &f
}

// near allows two units in the last place: a value goes through one product with the unit's factor
// and one sum.
func near(a, b float64) bool {
	return a == b || math.Abs(a-b) <= 4.5e-16*math.Abs(b) || math.IsNaN(a) && math.IsNaN(b)
}

// The values are those of the definitions 1 in = 0.0254 m, 1 ft = 12 in (NIST Handbook 44, App. C),
// by hand.
func TestReading(t *testing.T) {
	const in, ft = 0.0254, 0.3048
	nan := math.NaN()
	tests := []struct {
		column, cell string
		values       []float64
		within       float64
		unit         string
	}{
		{"width", "14.5", []float64{14.5 * in}, nan, "in"},
		{"width", ".5", []float64{.5 * in}, nan, "in"},
		{"width", "1.5e1", []float64{15 * in}, nan, "in"},
		{"width", "1/2", []float64{.5 * in}, nan, "in"},
		{"width", "14 1/2", []float64{14.5 * in}, nan, "in"},
		{"width", "14-1/2", []float64{14.5 * in}, nan, "in"},
		{"width", "14½", []float64{14.5 * in}, nan, "in"},
		{"width", "14 ½", []float64{14.5 * in}, nan, "in"},
		{"width", "14-½", []float64{14.5 * in}, nan, "in"},
		{"width", "14\u00a01⁄2\u202f", []float64{14.5 * in}, nan, "in"},
		{"width", "  14.5 ", []float64{14.5 * in}, nan, "in"},
		{"width", "14 63/64", []float64{14.984375 * in}, nan, "in"},
		{"width", "5/4", []float64{1.25 * in}, nan, "in"},
		{"width", `14 1/2"`, []float64{14.5 * in}, nan, "in"},
		{"width", "14.5 IN", []float64{14.5 * in}, nan, "in"},
		{"width", "14 in.", []float64{14 * in}, nan, "in"},
		{"width", "368mm", []float64{.368}, nan, "mm"},
		{"width", "36.8 cm", []float64{.368}, nan, "cm"},
		{"width", "0.368 m", []float64{.368}, nan, "m"},
		{"width", "1 ft", []float64{ft}, nan, "ft"},
		{"length", "12'", []float64{12 * ft}, nan, "ft"},
		{"length", "12' 6", []float64{150 * in}, nan, "ft in"},
		{"length", `12' 6 1/2"`, []float64{150.5 * in}, nan, "ft in"},
		{"length", `12'-6 1/2"`, []float64{150.5 * in}, nan, "ft in"},
		{"length", `12' - 6 1/2"`, []float64{150.5 * in}, nan, "ft in"},
		{"length", `12'6½"`, []float64{150.5 * in}, nan, "ft in"},
		{"length", "12 ft 6 1/2 in", []float64{150.5 * in}, nan, "ft in"},
		{"length", "12 feet 6 inches", []float64{150 * in}, nan, "ft in"},
		{"length", "12ft6in", []float64{150 * in}, nan, "ft in"},
		{"length", "12ft2in", []float64{146 * in}, nan, "ft in"},
		{"length", "12′ 6 1/2″", []float64{150.5 * in}, nan, "ft in"},
		{"length", "12’ 6”", []float64{150 * in}, nan, "ft in"},
		{"length", "12' 6''", []float64{150 * in}, nan, "ft in"},
		{"length", "150''", []float64{150 * in}, nan, "in"},
		{"length", "93 in", []float64{93 * in}, nan, "in"},
		{"length", "93 ft", []float64{93 * ft}, nan, "ft"},
		{"length2", "0", []float64{0}, nan, "ft"},
		{"width", "2 1/4; 2 1/2; 3", []float64{2.25 * in, 2.5 * in, 3 * in}, nan, "in"},
		{"width", "30; 31; 32 mm", []float64{.030, .031, .032}, nan, "mm"},
		{"width", `2"; 3"`, []float64{2 * in, 3 * in}, nan, "in"},
		{"width", "2 in; 3", []float64{2 * in, 3 * in}, nan, "in"},
		{"length", `12'; 12' 1"`, []float64{144 * in, 145 * in}, nan, "ft in"},
		{"depth", "1 1/4 +- 1/2", []float64{1.25 * in}, .5 * in, "in"},
		{"depth", "1 1/4 ± 1/2", []float64{1.25 * in}, .5 * in, "in"},
		{"depth", "1 1/4+/-1/2", []float64{1.25 * in}, .5 * in, "in"},
		{"depth", "1 1/4; 1 1/2 ± 1/2", []float64{1.25 * in, 1.5 * in}, .5 * in, "in"},
		{"depth", "30 ± 5 mm", []float64{.030}, .005, "mm"},
		{"depth", "30 mm ± 5", []float64{.030}, .005, "mm"},
		{"length", `12' ± 1/2"`, []float64{144 * in}, .5 * in, "ft"},
		{"length", `12' 6" ± 1/2`, []float64{150 * in}, .5 * in, "ft in"},
	}
	for _, test := range tests {
		var r model.Reading
		_, bad := column(t, test.column).Reading(test.cell, &r, nil)
		if bad != nil {
			t.Errorf("%s %q: refused: %s (%s)", test.column, test.cell, bad.What, bad.Hint)
			continue
		}
		if r.State != model.Measured || r.Raw != test.cell || !near(r.Within, test.within) {
			t.Errorf("%s %q: %+v", test.column, test.cell, r)
		}
		if a, bad := column(t, test.column).Amount(test.cell); len(test.values) == 1 && (bad != nil || a.Unit != test.unit) {
			t.Errorf("%s %q: unit %s, want %s", test.column, test.cell, a.Unit, test.unit)
		}
		if len(r.Values) != len(test.values) {
			t.Errorf("%s %q: values %v", test.column, test.cell, r.Values)
			continue
		}
		for i, v := range r.Values {
			if !near(v, test.values[i]) {
				t.Errorf("%s %q: value %d is %v, want %v", test.column, test.cell, i, v, test.values[i])
			}
		}
	}
}

func TestReadingStates(t *testing.T) {
	for s, want := range map[string]model.ReadingState{
		"": model.Absent, "  ": model.Absent, "\u00a0": model.Absent, `"`: model.Ditto, " ” ": model.Ditto, "''": model.Ditto, "″": model.Ditto,
		"1": model.Measured,
	} {
		r := model.Reading{State: model.Measured, Values: []float64{9}}
		if _, bad := column(t, "width").Reading(s, &r, nil); bad != nil || r.State != want {
			t.Errorf("%q: state %d, want %d (%v)", s, r.State, want, bad)
		}
		if want != model.Measured && (r.Values != nil || !math.IsNaN(r.Within)) {
			t.Errorf("%q keeps what was in the reading before: %+v", s, r)
		}
	}
}

// A reader of many rows hands on one arena: no cell may see another's values.
func TestArena(t *testing.T) {
	f, arena := column(t, "width"), make([]float64, 0, 3)
	var a, b, c model.Reading
	arena, _ = f.Reading("1; 2", &a, arena)
	arena, _ = f.Reading("3", &b, arena)
	arena, _ = f.Reading("4; 5", &c, arena)
	a.Values = append(a.Values, 99)
	if !near(b.Values[0], 3*.0254) || !near(c.Values[1], 5*.0254) || len(arena) != 5 {
		t.Errorf("a %v, b %v, c %v", a.Values, b.Values, c.Values)
	}
}

func TestHeaderAndSystem(t *testing.T) {
	si, _ := Column("length", model.SI)
	us, _ := Column("length", model.US)
	inches, _ := model.LookupUnit("in")
	headed, bad := us.WithUnit(inches)
	if bad != nil {
		t.Fatal(bad.What)
	}
	for _, test := range []struct {
		form Form
		cell string
		want float64
	}{
		{si, "3.8", 3.8}, {si, "150 in", 3.81}, {us, "12.5", 3.81}, {headed, "150", 3.81}, {headed, "12' 6", 3.81}, {headed, "93", 93 * .0254},
	} {
		if v, bad := test.form.Number(test.cell); bad != nil || !near(v, test.want) {
			t.Errorf("%q: %v, want %v (%v)", test.cell, v, test.want, bad)
		}
	}
	pounds, _ := model.LookupUnit("lb")
	if _, bad := us.WithUnit(pounds); bad == nil || bad.What != "length_lb has lb, a unit of weight, not of length" {
		t.Errorf("length_lb: %+v", bad)
	}
}

func TestCommaFile(t *testing.T) {
	f := *column(t, "width")
	f.Comma = true
	for s, want := range map[string]float64{"14,5": 14.5, ",5": .5, "14 1/2": 14.5, "1,5e1": 15, "14,5 in": 14.5} {
		if v, bad := f.Number(s); bad != nil || !near(v, want*.0254) {
			t.Errorf("%q: %v (%v)", s, v, bad)
		}
	}
	for _, s := range []string{"14.5", "1.000", "14.5 in", "14,5,5"} {
		if _, bad := f.Number(s); bad == nil {
			t.Errorf("%q is accepted in a file with decimal commas", s)
		}
	}
}

func TestListAddsNoRepeats(t *testing.T) {
	values, _, bad := column(t, "reach").List("8; 3.5; 0 ft", nil)
	if bad != nil || len(values) != 3 || !near(values[1], 3.5*.3048) || values[2] != 0 {
		t.Errorf("%v (%v)", values, bad)
	}
	if values, _, bad = column(t, "reach").List(" ", nil); values != nil || bad != nil {
		t.Errorf("empty: %v (%v)", values, bad)
	}
}
