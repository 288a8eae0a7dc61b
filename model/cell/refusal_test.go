package cell

import (
	"strings"
	"testing"

	"bayproof/model"
)

// What a crew reads when a cell is no good. The messages are part of the tool.
func TestRefusals(t *testing.T) {
	const (
		inches  = "write 14.5, 14 1/2, 14-1/2, or with a unit 14 1/2 in, 368 mm"
		feet    = `write 12.5, 12' 6 1/2", 12 ft 6 1/2 in, or with a unit 150 in, 3.8 m`
		asText  = "format the column as text and type it again: a spreadsheet turned a fraction into a date"
		day     = "format the column as text and type it again: a spreadsheet turned a fraction into a date"
		atTape  = "check the tape again, format the column as text, or write a decimal"
		hyphens = "has a hyphen that joins no whole number and fraction"
		known   = "write in, ft, mm, cm or m"
		empty   = "write what you measured, or leave the cell empty"
	)
	tests := []struct{ column, cell, why, hint string }{
		{"width", "NaN", "is not a number", empty},
		{"width", "Inf", "is not a number", empty},
		{"width", "-inf", "is not a number", empty},
		{"width", "n/a", "is not a number", empty},
		{"width", "0x1p-2", "is a hexadecimal number", "write a decimal number as 14.5"},
		{"width", "1_000", "has an underscore", "write the digits alone"},
		{"width", "1,000", "has a comma between thousands", "write 1000, with no comma"},
		{"width", "14,5", "has a decimal comma, and this file uses the point", "write 14.5, or save the file with semicolons between its cells"},
		{"width", "2 1/4, 2 1/2", "has a comma", "write ; between readings, and a point before decimals"},
		{"width", "2 1/5", "is in fifths, which no tape has: a spreadsheet rounds 2 3/16 to 2 1/5", atTape},
		{"width", "2⅓", "is in thirds, which no tape has: a spreadsheet rounds 2 3/16 to 2 1/5", atTape},
		{"length", "12 3/10", "is in tenths, which no tape has: a spreadsheet rounds 2 3/16 to 2 1/5", atTape},
		{"width", "1/128", "is in 128ths, which no tape has: a spreadsheet rounds 2 3/16 to 2 1/5", atTape},
		{"width", "2-Mar", "is a date, not a number", asText},
		{"width", "8-Mar", "is a date, not a number", "format the column as text, and write 0.375 if you typed 3/8: a spreadsheet turned a fraction into a date"},
		{"width", "Mar-02", "is a date, not a number", asText},
		{"width", "3/4/2026", "is a date, not a number", asText},
		{"width", "2026-03-04", "is a date, not a number", asText},
		{"width", "4. Mrz", "has Mrz, which is no unit", known},
		{"width", "02-Mar-26", "is a date, not a number", asText},
		{"width", "46085", "is over 8 ft", day},
		{"width", "14\n", "has a line break", "write the cell on one line; is a quote left open?"},
		{"width", "#VALUE!", "is a spreadsheet's error, not a number", "write the number itself"},
		{"width", "=A1*2", "is a formula, not a number", "write the number itself"},
		{"width", "1e400", "is too large for a number", inches},
		{"width", "-3", "is negative", "write a number above 0"},
		{"length2", "-3", "is negative", "write 0 or more"},
		{"width", "0", "is zero", empty},
		{"width", "0 mm", "is zero", empty},
		{"depth", "1e-400", "is zero", empty},
		{"width", "22.5 ft", "is over 8 ft", "write 22.5 in if you meant that"},
		{"width", "368", "is over 8 ft", "write 368 mm if you meant that"},
		{"depth", "140", "is over 4 ft", "write 140 mm if you meant that"},
		{"depth", "5.5 ft", "is over 4 ft", "write 5.5 in if you meant that"},
		{"length", "93", "is read as 93 ft, longer than any bay", "write 93 in if you meant that"},
		{"length", "101 ft", "is over 100 ft", "write 101 in if you meant that"},
		{"length", "2400", "is over 100 ft", "write 2400 mm if you meant that"},
		{"reach", "93", "is read as 93 ft, longer than any bay", "write 93 in if you meant that"},
		{"length", `12' 14"`, "has 14 in after the ft: it must be below 12", "write 13 ft 2 in"},
		{"length", "12' 12", "has 12 in after the ft: it must be below 12", "write 13 ft 0 in"},
		{"length", `12.5' 3"`, "has part of a ft, and in after it", feet},
		{"length", "1'000", "has an apostrophe between thousands, or feet and too many inches", `write 1000 in as the digits alone, feet and inches as 12' 6"`},
		{"length", "12; 12' 7\"", "mixes two ways of writing", "write every reading in feet and inches, or none"},
		{"length", "12' 6 lb", "has lb after ft", feet},
		{"width", "2 in; 30 mm", "has two units, in and mm", "write all readings in one unit"},
		{"width", "2 ft; 30", "has a unit, but none after the last reading", "put the unit after the last reading: it holds for all"},
		{"width", "30 cm ± 5 mm", "has two units, cm and mm", "write the reading and its ± in one unit"},
		{"width", "14 ± 0", "has a ± of nothing", "leave the ± out, or write how far off it may be, to either side"},
		{"width", "14 ± 1/4; 15", "has a ± before the last reading", "write one ± after the last reading: it holds for all"},
		{"width", "14 ± ", "needs a number", inches},
		{"width", "± 1/4", "needs a number before ±", inches},
		{"width", "14 ± 1 ± 2", "has a second ±", inches},
		{"width", "+14", "has a + in the wrong place", inches},
		{"width", "14 lb", "has lb, a unit of weight, not of length", known},
		{"width", "14 foo", "has foo, which is no unit", known},
		{"width", "14 1", "has two numbers side by side", "write one number, or 14; 1 for two readings"},
		{"length", "12 6", "has two numbers side by side", `12' 6" for feet and inches, or 12; 6 for two readings`},
		{"width", "14.5 1/2", "has two numbers side by side", "write one number, or a whole number and a fraction as in 14 1/2"},
		{"width", "14-1", hyphens, inches},
		{"width", "14 - 1/2", hyphens, inches},
		{"width", "; 3", "needs a number before ;", inches},
		{"width", "3;", "needs a number", inches},
		{"width", "13/4", "has a fraction over 1, which is easy to misread", "write 3.25, or leave a space after the whole number"},
		{"width", "3 3/2", "has a fraction of 1 or more after a whole number", inches},
		{"width", "1/0", "has a bad fraction", inches},
		{"width", "1.5/2", "has a bad fraction", inches},
		{"width", "١٤", "has ١, which is no part of a number", inches},
		{"weight", "14 lb 8", "has two numbers one after the other", "write 14 lb 8 oz or 14.5 lb"},
		{"weight", "14 in", "has in, a unit of length, not of weight", "write lb, oz, kg or g"},
	}
	for _, test := range tests {
		var r model.Reading
		_, bad := column(t, test.column).Reading(test.cell, &r, nil)
		if bad == nil {
			t.Errorf("%s %q is accepted as %v", test.column, test.cell, r.Values)
			continue
		}
		if want := test.column + " " + show(test.cell) + " " + test.why; bad.What != want || bad.Hint != test.hint {
			t.Errorf("%s %q\n got %s | %s\nwant %s | %s", test.column, test.cell, bad.What, bad.Hint, want, test.hint)
		}
		if bad.At < 0 || bad.At > len(test.cell) {
			t.Errorf("%q: stopped at byte %d", test.cell, bad.At)
		}
	}
}

// In a file with decimal commas the examples have them too.
func TestRefusalInCommaFile(t *testing.T) {
	f := *column(t, "width")
	f.Comma = true
	_, bad := f.Number("14.5")
	if bad == nil || bad.What != "width 14.5 has a decimal point, and this file uses the comma" {
		t.Fatalf("%+v", bad)
	}
	if _, bad = f.Number("14-1"); bad == nil || !strings.Contains(bad.Hint, "write 14,5, 14 1/2") {
		t.Errorf("%+v", bad)
	}
}

func TestRefusalInSystem(t *testing.T) {
	f, _ := Column("width", model.SI)
	if _, bad := f.Number("14-1"); bad == nil || bad.Hint != "write the number of mm, or with a unit 368 mm, 14 1/2 in, 12' 6 1/2\"" {
		t.Errorf("%+v", bad)
	}
	f, _ = Column("length", model.SI)
	if _, bad := f.Number("2400"); bad == nil || bad.What != "length 2400 is over 30.48 m" || bad.Hint != "write 2400 mm if you meant that" {
		t.Errorf("%+v", bad)
	}
}

// What is too little to be a reading, in the units that a crew would think of.
func TestTooLittle(t *testing.T) {
	for _, x := range []struct{ column, cell, why string }{
		{"width", "1e-300", "is under 1/64 in"},
		{"depth", "0.01", "is under 1/64 in"},
		{"length", "0.001", "is under 1/64 in"},
		{"length2", "1e-9", "is under 1/64 in"},
		{"bulge", "0.1 mm", "is under 0.4 mm"},
		{"width", "1/64", ""},
		{"depth", "0.4 mm", ""},
		{"length2", "0", ""},
		{"at", "0.0", ""},
		{"weight", "1e-300", "is under 0.0002205 lb"},
		{"weight", "0", ""},
		{"weight", "0.2 g", ""},
		{"volume", "1e-300", "is under 3.531e-05 ft3"},
	} {
		var why string
		if _, bad := column(t, x.column).Amount(x.cell); bad != nil {
			why = strings.TrimPrefix(bad.What, x.column+" "+x.cell+" ")
		}
		if why != x.why {
			t.Errorf("%s %q: %q, want %q", x.column, x.cell, why, x.why)
		}
	}
	var m model.Material
	if bad := column(t, "bags").Bags("1e-300", model.MaterialBags, &m); bad == nil || bad.What != "bags 1e-300 is under 0.001" {
		t.Errorf("%+v", bad)
	}
}
