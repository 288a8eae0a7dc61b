package model

import "testing"

func TestLetter(t *testing.T) {
	for col, want := range map[int]string{0: "", 1: "A", 26: "Z", 27: "AA", 52: "AZ", 53: "BA", 702: "ZZ", 703: "AAA"} {
		if got := Letter(col); got != want {
			t.Errorf("column %d: %q, want %q", col, got, want)
		}
	}
}

// A cell with line breaks is one row in a spreadsheet, and a first line that says the separator is
// none.
func TestFrame(t *testing.T) {
	f := Frame{Header: []string{"bay", " depth "}, Hidden: []Hidden{{From: 1, Lines: 1}, {From: 4, Lines: 2}}}
	for line, want := range map[int]string{
		2: `bays.csv, row 1 (line 2), column B "depth"`, 3: `bays.csv, row 2 (line 3), column B "depth"`, 5: `bays.csv, row 2 (line 5), column B "depth"`,
		6: `bays.csv, row 3 (line 6), column B "depth"`,
	} {
		if got := f.Place(Source{"bays.csv", line, 2}).String(); got != want {
			t.Errorf("line %d: %s, want %s", line, got, want)
		}
	}
	for want, p := range map[string]Place{
		"":                           {},
		"bays.csv":                   {Source: Source{File: "bays.csv"}},
		"bays.csv, line 3":           {Source: Source{"bays.csv", 3, 0}},
		"bays.csv, row 7":            {Source: Source{"bays.csv", 7, 0}, Row: 7},
		"bays.csv, row 7, column AA": (&Frame{}).Place(Source{"bays.csv", 7, 27}),
	} {
		if got := p.String(); got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
}

func TestFaultTold(t *testing.T) {
	place := (&Frame{Header: []string{"depth"}}).Place(Source{"bays.csv", 7, 1})
	for want, f := range map[string]Fault{
		`bays.csv, row 7, column A "depth": depth 140 is over 4 ft. Write 140 mm if you meant that.`: {place, "depth 140 is over 4 ft", "write 140 mm if you meant that"},
		"the log is empty. bayproof log JOB starts one.":                                             {Place{}, "the log is empty", "bayproof log JOB starts one"},
		"bay is blank": {Place{}, "bay is blank", ""},
	} {
		if got := f.Told(); got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
}
