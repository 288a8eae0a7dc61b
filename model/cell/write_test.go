package cell

import (
	"math"
	"testing"

	"bayproof/model"
)

// A spreadsheet rounds sixteenths and takes 3/4 for a day: what is written are decimals.
func TestPlain(t *testing.T) {
	for _, test := range []struct{ column, cell, want string }{
		{"width", "14.5", "14.5"},
		{"width", " 14 1/2 ", "14.5"},
		{"width", "2 3/16", "2.1875"},
		{"width", "14 63/64", "14.984375"},
		{"width", "1.5e1", "15"},
		{"width", "2 1/4; 2 1/2; 3", "2.25; 2.5; 3"},
		{"width", "1 1/4 ± 1/2", "1.25 +- 0.5"},
		{"width", "368 mm", "368 mm"},
		{"width", `14 1/2"`, "14.5 in"},
		{"length", `12' 6 1/2"`, "150.5 in"},
		{"length", "12'", "12 ft"},
		{"length", `12' ± 1/2"`, "144 +- 0.5 in"},
		{"length", "93 ft", "93 ft"},
		{"weight", "14 lb 8 oz", "232 oz"},
		{"weight", "14 lb ± 8 oz", "224 +- 8 oz"},
		{"width", `"`, `"`},
		{"width", " ", ""},
	} {
		if got, bad := column(t, test.column).Plain(test.cell); bad != nil || got != test.want {
			t.Errorf("%s %q: %q, want %q (%v)", test.column, test.cell, got, test.want, bad)
		}
	}
	for cell, want := range map[string]string{
		"1 3/4": "1.75", "1/3": "0.3333333333333333", "1 + 14 1/2 lb": "1 + 14.5 lb", "2 - 10.5 lb": "2 - 10.5 lb", "1 ± 1/8": "1 +- 0.125",
		"1 + 14.5 lb ± 8 oz": "1 + 14.5 lb +- 0.5 lb", "Shared": "shared", "": "",
	} {
		if got, bad := column(t, "bags").PlainBags(cell); bad != nil || got != want {
			t.Errorf("%q: %q, want %q (%v)", cell, got, want, bad)
		}
	}
	comma := *column(t, "width")
	comma.Comma = true
	if got, bad := comma.Plain("14 1/2; 14,25"); bad != nil || got != "14,5; 14,25" {
		t.Errorf("comma file: %q (%v)", got, bad)
	}
	if got, bad := column(t, "width").Plain("99999"); bad == nil {
		t.Errorf("a bad cell is written as %q", got)
	}
}

func TestFormatNumber(t *testing.T) {
	for v, want := range map[float64]string{14.5: "14.5", 1e21: "1000000000000000000000", 1e-7: "0.0000001", 0.1: "0.1", 3: "3"} {
		if got := FormatNumber(v); got != want {
			t.Errorf("%v: %s", v, got)
		}
	}
}

// sameReading allows 1e-12 of the value: thirteen digits are written.
func sameReading(a, b model.Reading) bool {
	close := func(x, y float64) bool {
		return math.IsNaN(x) && math.IsNaN(y) || math.Abs(x-y) <= 1e-12*math.Abs(y)
	}
	if a.State != b.State || len(a.Values) != len(b.Values) || !close(a.Within, b.Within) {
		return false
	}
	for i := range a.Values {
		if !close(a.Values[i], b.Values[i]) {
			return false
		}
	}
	return true
}
