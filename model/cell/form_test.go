package cell

import (
	"testing"

	"bayproof/model"
)

// column is the form of a column, in a job in inches and feet.
func column(t testing.TB, name string) *Form {
	t.Helper()
	f, ok := Column(name, model.US)
	if !ok {
		t.Fatalf("no column %s", name)
	}
	return &f
}

func TestScratch(t *testing.T) {
	for _, c := range [][2]string{
		{"width", "14.5"}, {"width", ".5"}, {"width", "1.5e1"}, {"width", "1/2"}, {"width", "14 1/2"}, {"width", "14-1/2"}, {"width", "14½"}, {"width", "14 ½"},
		{"length", "12'"}, {"length", "12' 6"}, {"length", `12' 6 1/2"`}, {"length", `12'-6 1/2"`}, {"length", "12 ft 6 1/2 in"}, {"length", "12′ 6 ½″"}, {"length", "12’ 6”"}, {"length", "150''"},
		{"width", "2 1/4; 2 1/2; 3"}, {"width", "1 1/4 +- 1/2"}, {"width", "30; 31 mm"}, {"width", "2 in; 30 mm"}, {"width", "2 in; 30"}, {"width", "2 ft; 30"},
		{"width", "NaN"}, {"width", "0x1p-2"}, {"width", "1_000"}, {"width", "1,000"}, {"width", "14,5"}, {"width", "2 1/5"}, {"width", "2-Mar"}, {"width", "8-Mar"}, {"width", "Mar-02"}, {"width", "3/4/2026"}, {"width", "45353"},
		{"width", "1e400"}, {"width", "-3"}, {"width", "0"}, {"width", "22.5 ft"}, {"width", "368"}, {"depth", "140"}, {"depth", "5.5 ft"}, {"length", "93"}, {"length", "93 ft"}, {"length", "101 ft"}, {"length", "12' 14\""}, {"length", "12.5' 3"}, {"length", "1'000"},
		{"width", "14 lb"}, {"width", "14 foo"}, {"width", "14 1"}, {"width", "14-1"}, {"width", "14 - 1/2"}, {"width", "; 3"}, {"width", "3;"}, {"width", "13/4"}, {"width", "14 in of water"}, {"width", "3 3/2"}, {"width", "1/0"}, {"width", "14 1/2 - 3"}, {"width", "x"},
		{"length", "12' ± 1/2\""}, {"length", "12ft6in"}, {"length", "12ft2in"}, {"length", "12' 6\"; 12' 7\""}, {"length", "12; 12' 7\""}, {"length", "12'6\" ± 1/2"},
		{"weight", "14 lb 8 oz"}, {"weight", "14.5"}, {"weight", "6 kg ± 200 g"}, {"weight", "14 8"}, {"weight", "14 lb 8"},
	} {
		a, arena := model.Reading{}, []float64(nil)
		_, bad := column(t, c[0]).Reading(c[1], &a, arena)
		if bad != nil {
			t.Logf("%-18q %s | %s", c[1], bad.What, bad.Hint)
			continue
		}
		pl, _ := column(t, c[0]).Plain(c[1])
		t.Logf("%-18q %v ± %v %s %d %q", c[1], a.Values, a.Within, a.Unit, a.State, pl)
	}
	for _, c := range []string{"1 3/4", "1 + 14.5 lb", "2 - 10.5 lb", "1 ± 1/8", "shared", "1+14.5lb", "2-10.5 lb", "1 + 14.5", "14.5 lb", "1/3", "2/5", "1 1/2 + 3 lb", "0 - 3 lb", "3-Mar", "46000", "-1", "1 3/4 bags", "1 + 14.5 lb ± 0.5", "1 - 1/2", "1 + 200 lb", "1,5", "Shared "} {
		var m model.Material
		bad := column(t, "bags").Bags(c, model.MaterialBags, &m)
		if bad != nil {
			t.Logf("%-18q %s | %s", c, bad.What, bad.Hint)
			continue
		}
		pl, _ := column(t, "bags").PlainBags(c)
		t.Logf("%-18q %v part %v ± %v %v %q", c, m.Bags, m.Part, m.Within, m.Shared, pl)
	}
}
