package cell

import (
	"testing"

	"bayproof/model"
)

// A size whose tolerance reaches zero is no size. Where nothing can be, a small reading may be
// known that badly: a count to a bag, a mass to 10 lb (4.5 kg).
func TestTolerances(t *testing.T) {
	const zero, large = "has a ± as large as the size itself", "has a ± larger than the reading"
	for _, x := range []struct{ column, cell, why string }{
		{"depth", "5.5 +- 9", zero},
		{"depth", "5.5 ± 5.5", zero},
		{"depth", "5.5 ± 5.4", ""},
		{"depth", "3; 9; 9 ± 4", zero}, // it holds for the 3 as well
		{"length", "12' ± 12 in", ""},
		{"length", "12 ± 12", zero},
		{"length", "12 ft ± 12 in", ""},
		{"width", "22 1/2 +- 1 1/8", ""},
		{"bulge", "0 ± 1/4", ""},
		{"bulge", "1/4 ± 1/4", ""},
		{"bulge", "1/4 ± 1/2", large},
		{"length2", "0 ± 1/2 in", ""},
		{"weight", "0 ± 1", ""},
		{"weight", "0.5 ± 1", ""},
		{"weight", "8 lb ± 9 lb", ""},
		{"weight", "25 ± 26", large},
		{"weight", "25 ± 25", ""},
	} {
		var why string
		if _, bad := column(t, x.column).Amount(x.cell); bad != nil {
			why = bad.What
		}
		if x.column == "depth" || x.column == "length" {
			var r model.Reading
			if _, bad := column(t, x.column).Reading(x.cell, &r, nil); bad != nil {
				why = bad.What
				if bad.Hint != "write how far off it may be, to either side" {
					t.Errorf("%q: hint %s", x.cell, bad.Hint)
				}
			} else {
				why = ""
			}
		}
		want := x.why
		if want != "" {
			want = x.column + " " + x.cell + " " + want
		}
		if why != want {
			t.Errorf("%s %q\n got %s\nwant %s", x.column, x.cell, why, want)
		}
	}
	for cell, want := range map[string]string{
		"0 ± 1/8": "", "1/4 ± 1/4": "", "1/4 ± 1/2": "", "1 ± 1": "", "1 ± 2": large, "0 ± 3": "",
		"1 + 3 lb ± 1 lb": "", "1 + 3 lb ± 20 lb": large, "1 + 14.5 lb ± 14 lb": "", "12 ± 15": large,
	} {
		var m model.Material
		var why string
		if bad := column(t, "bags").Bags(cell, model.MaterialBags, &m); bad != nil {
			why = bad.What
		}
		if want != "" {
			want = "bags " + cell + " " + want
		}
		if why != want {
			t.Errorf("%q\n got %s\nwant %s", cell, why, want)
		}
	}
}
