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
		asText  = "a spreadsheet turns a fraction into a date: format the column as text and type it again"
		day     = "a spreadsheet turned a fraction into a date: format the column as text and type it again"
		atTape  = "look at the tape again, format the column as text, or write a decimal"
		hyphens = "a hyphen joins a whole number and a fraction, nothing else"
		known   = "known are in, ft, mm, cm, m"
		empty   = "write what was measured, or leave the cell empty"
	)
	tests := []struct{ column, cell, why, hint string }{
		{"width", "NaN", "not a number", empty},
		{"width", "Inf", "not a number", empty},
		{"width", "-inf", "not a number", empty},
		{"width", "n/a", "not a number", empty},
		{"width", "0x1p-2", "a hexadecimal number", "write a decimal number as 14.5"},
		{"width", "1_000", "an underscore inside a number", "write the digits alone"},
		{"width", "1,000", "a comma between thousands", "write 1000, with no comma"},
		{"width", "14,5", "a decimal comma in a file whose decimal mark is the point", "write 14.5, or save the file with semicolons between its cells"},
		{"width", "2 1/4, 2 1/2", "a comma inside the cell", "several readings have ; between them; the decimal mark is the point"},
		{"width", "2 1/5", "no tape has fifths: a spreadsheet rounds 2 3/16 to 2 1/5", atTape},
		{"width", "2⅓", "no tape has thirds: a spreadsheet rounds 2 3/16 to 2 1/5", atTape},
		{"length", "12 3/10", "no tape has tenths: a spreadsheet rounds 2 3/16 to 2 1/5", atTape},
		{"width", "1/128", "no tape has 128ths: a spreadsheet rounds 2 3/16 to 2 1/5", atTape},
		{"width", "2-Mar", "a date, not a number", asText},
		{"width", "8-Mar", "a date, not a number", "a spreadsheet turns a fraction into a date: format the column as text; if 3/8 was typed, write 0.375"},
		{"width", "Mar-02", "a date, not a number", asText},
		{"width", "3/4/2026", "a date, not a number", asText},
		{"width", "2026-03-04", "a date, not a number", asText},
		{"width", "4. Mrz", "Mrz is no unit that is known", known},
		{"width", "02-Mar-26", "a date, not a number", asText},
		{"width", "46085", "over 8 ft", day},
		{"width", "14\n", "a line break inside the cell", "a quote may be missing its end"},
		{"width", "#VALUE!", "a spreadsheet's error, not a number", "write the number itself"},
		{"width", "=A1*2", "a formula, not a number", "write the number itself"},
		{"width", "1e400", "too large to be a number", inches},
		{"width", "-3", "negative", "it must be above 0"},
		{"length2", "-3", "negative", "0 is the least"},
		{"width", "0", "zero", empty},
		{"width", "0 mm", "zero", empty},
		{"depth", "1e-400", "zero", empty},
		{"width", "22.5 ft", "over 8 ft", "22.5 in?"},
		{"width", "368", "over 8 ft", "368 mm?"},
		{"depth", "140", "over 4 ft", "140 mm?"},
		{"depth", "5.5 ft", "over 4 ft", "5.5 in?"},
		{"length", "93", "read as 93 ft, longer than any bay", "93 in?"},
		{"length", "101 ft", "over 100 ft", "101 in?"},
		{"length", "2400", "over 100 ft", "2400 mm?"},
		{"reach", "93", "read as 93 ft, longer than any bay", "93 in?"},
		{"length", `12' 14"`, "14 in after the ft: it must be below 12", "13 ft 2 in?"},
		{"length", "12' 12", "12 in after the ft: it must be below 12", "13 ft 0 in?"},
		{"length", `12.5' 3"`, "a part of a ft, and in after it", feet},
		{"length", "1'000", "an apostrophe between thousands, or feet and too many inches", `write 1000 in as the digits alone, feet and inches as 12' 6"`},
		{"length", "12; 12' 7\"", "two ways of writing in one cell", "write every reading in feet and inches, or none"},
		{"length", "12' 6 lb", "lb after ft", feet},
		{"width", "2 in; 30 mm", "two units in one cell, in and mm", "write all readings in one unit"},
		{"width", "2 ft; 30", "a unit, but none after the last reading", "a unit after the last reading holds for all"},
		{"width", "30 cm ± 5 mm", "two units in one cell, cm and mm", "write the reading and its ± in one unit"},
		{"width", "14 ± 0", "a ± of nothing", "leave the ± out, or give half the width of what it may be off by"},
		{"width", "14 ± 1/4; 15", "a ± before the last reading", "one ± after the last reading holds for all"},
		{"width", "14 ± ", "a number is missing", inches},
		{"width", "± 1/4", "a number is missing before ±", inches},
		{"width", "14 ± 1 ± 2", "a second ±", inches},
		{"width", "+14", "a + has no place here", inches},
		{"width", "14 lb", "lb is a unit of weight, not of length", known},
		{"width", "14 foo", "foo is no unit that is known", known},
		{"width", "14 1", "two numbers side by side", "write one number, or 14; 1 for two readings"},
		{"length", "12 6", "two numbers side by side", `12' 6" for feet and inches, or 12; 6 for two readings`},
		{"width", "14.5 1/2", "two numbers side by side", "write one number, or a whole number and a fraction as in 14 1/2"},
		{"width", "14-1", hyphens, inches},
		{"width", "14 - 1/2", hyphens, inches},
		{"width", "; 3", "a number is missing before ;", inches},
		{"width", "3;", "a number is missing", inches},
		{"width", "13/4", "a fraction over 1 can be misread", "write 3.25, or leave a space after the whole number"},
		{"width", "3 3/2", "a fraction of 1 or more after a whole number", inches},
		{"width", "1/0", "no fraction", inches},
		{"width", "1.5/2", "no fraction", inches},
		{"width", "١٤", "١ has no place in a number", inches},
		{"weight", "14 lb 8", "two numbers after one another", "write 14 lb 8 oz or 14.5 lb"},
		{"weight", "14 in", "in is a unit of length, not of weight", "known are lb, oz, kg, g"},
	}
	for _, test := range tests {
		var r model.Reading
		_, bad := column(t, test.column).Reading(test.cell, &r, nil)
		if bad == nil {
			t.Errorf("%s %q is accepted as %v", test.column, test.cell, r.Values)
			continue
		}
		if want := test.column + " " + show(test.cell) + ": " + test.why; bad.What != want || bad.Hint != test.hint {
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
	if bad == nil || bad.What != "width 14.5: a decimal point in a file whose decimal mark is the comma" {
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
	if _, bad := f.Number("2400"); bad == nil || bad.What != "length 2400: over 30.48 m" || bad.Hint != "2400 mm?" {
		t.Errorf("%+v", bad)
	}
}

// What is too little to be a reading, in the units that a crew would think of.
func TestTooLittle(t *testing.T) {
	for _, x := range []struct{ column, cell, why string }{
		{"width", "1e-300", "under 1/64 in"},
		{"depth", "0.01", "under 1/64 in"},
		{"length", "0.001", "under 1/64 in"},
		{"length2", "1e-9", "under 1/64 in"},
		{"bulge", "0.1 mm", "under 0.4 mm"},
		{"width", "1/64", ""},
		{"depth", "0.4 mm", ""},
		{"length2", "0", ""},
		{"at", "0.0", ""},
		{"weight", "1e-300", "under 0.0002205 lb"},
		{"weight", "0", ""},
		{"weight", "0.2 g", ""},
		{"volume", "1e-300", "under 3.531e-05 ft3"},
	} {
		var why string
		if _, bad := column(t, x.column).Amount(x.cell); bad != nil {
			why = strings.TrimPrefix(bad.What, x.column+" "+x.cell+": ")
		}
		if why != x.why {
			t.Errorf("%s %q: %q, want %q", x.column, x.cell, why, x.why)
		}
	}
	var m model.Material
	if bad := column(t, "bags").Bags("1e-300", model.MaterialBags, &m); bad == nil || bad.What != "bags 1e-300: under 0.001" {
		t.Errorf("%+v", bad)
	}
}
