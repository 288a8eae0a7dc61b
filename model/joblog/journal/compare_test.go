package journal_test

import (
	"fmt"
	"maps"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"bayproof/model"
	"bayproof/model/joblog/journal"
)

// kept are rows as a journal has them.
func kept(rows ...journal.Row) []journal.Kept {
	var out []journal.Kept
	for i, row := range rows {
		out = append(out, journal.Kept{N: i + 1, Cells: row})
	}
	return out
}

// with is a row with other cells.
func with(row journal.Row, cells ...string) journal.Row {
	row = maps.Clone(row)
	for i := 0; i < len(cells); i += 2 {
		row[cells[i]] = cells[i+1]
	}
	return row
}

// What a spreadsheet makes of a cell without changing what it says is no difference, and what says
// something else is one.
func TestHarmlessRewriting(t *testing.T) {
	row := with(fill("b1", "1.75", "2026-03-02T14:00:05-05:00"), "reach", "3.5; 4", "weight", "", "stall", "yes", "feed", "4:10", "note", "wet  edge", "bulge", `"`, "by", "ab")
	for _, c := range []struct {
		column, now string
		same        bool
	}{
		{"width", "22.50", true}, {"width", "22 1/2", true}, {"width", "22.5 in", true}, {"width", "571.5 mm", true}, {"width", "22.5; 22.5", false}, {"width", "22.51", false},
		{"width", "22.5 +- 1/4", false}, {"width", "", false}, {"length", "12'", true}, {"length", "144 in", true}, {"length", "12.01", false},
		{"bags", "1 3/4", true}, {"bags", "1.750", true}, {"bags", "1.7500000000001", true}, {"bags", "1.76", false}, {"bags", "1 + 0.75 lb", false}, {"bags", "shared", false},
		{"reach", "3.5;4", true}, {"reach", "7.5", false}, {"stall", "TRUE", true}, {"stall", "Y", true}, {"stall", "no", false}, {"stall", "?", false},
		{"feed", "250 s", true}, {"feed", "4:11", false}, {"note", "wet edge", true}, {"note", "wet Edge", false}, {"by", "ab ", true}, {"bulge", "", false}, {"depth2", `"`, true},
		{"time", "2026-03-02 14:00", true}, {"time", "2026-03-02T14:00:59-05:00", true}, {"time", "2026-03-02 14:01", false}, {"bay", " b1", true}, {"bay", "b2", false},
		{"entry", "Fill", true}, {"entry", "", true}, {"entry", "amend", false}, {"section", "north  slope", true}, {"machine", "2", false},
	} {
		form := journal.NewForm(journal.Columns(model.LogColumns()), model.US)
		got := form.Compare(kept(row), []journal.Row{with(row, c.column, c.now)})
		if got.Agrees() != c.same {
			t.Errorf("%s %q for %q: no difference %t, want %t", c.column, c.now, row[c.column], got.Agrees(), c.same)
		}
		if !c.same && (len(got.Differences) != 1 || got.Differences[0].Now == nil || cmp.Diff([]string{c.column}, got.Differences[0].Columns) != "") {
			t.Errorf("%s %q: %+v, want one difference in that column", c.column, c.now, got.Differences)
		}
	}
}

func TestCompare(t *testing.T) {
	a, b, c := fill("b1", "1.75", "2026-03-02 14:00"), fill("b2", "2", "2026-03-02 14:10"), fill("b3", "1.5", "2026-03-02 14:20")
	twice := with(b, "entry", "topup", "bags", "0.25")
	for _, x := range []struct {
		name      string
		rows, log []journal.Row
		told      string
		moved     int
	}{
		{"as it was", []journal.Row{a, b, c}, []journal.Row{a, b, c}, "", -1},
		{"rows typed by hand", []journal.Row{a, c}, []journal.Row{b, a, with(b, "bay", "b7"), c, b}, "", -1},
		{"one gone", []journal.Row{a, b, c}, []journal.Row{a, c}, "row 2 of 14:10 (north slope b2, fill) is in the journal and not in bays.csv", -1},
		{"all gone", []journal.Row{a}, nil, "row 1 of 14:00 (north slope b1, fill) is in the journal and not in bays.csv", -1},
		{"the same twice, one gone", []journal.Row{twice, twice}, []journal.Row{twice}, "row 2 of 14:10 (north slope b2, topup) is in the journal and not in bays.csv", -1},
		{"two of one minute, one changed", []journal.Row{twice, with(twice, "bags", "0.5")}, []journal.Row{twice, with(twice, "bags", "1")},
			"row 2 of 14:10 (north slope b2, topup) reads otherwise in bays.csv: bags is 1, 0.5 in the journal", -1},
		{"renamed", []journal.Row{a, b}, []journal.Row{a, with(b, "bay", "b9")}, "row 2 of 14:10 (north slope b2, fill) reads otherwise in bays.csv: bay is b9, b2 in the journal", -1},
		{"no times", []journal.Row{a, b}, []journal.Row{with(a, "time", ""), with(b, "time", "")},
			"row 1 of 14:00 (north slope b1, fill) reads otherwise in bays.csv: time is blank, 2026-03-02 14:00 in the journal\nrow 2 of 14:10 (north slope b2, fill) reads otherwise in bays.csv: time is blank, 2026-03-02 14:10 in the journal", -1},
		{"sorted", []journal.Row{a, b, c}, []journal.Row{b, a, c}, "", 1},
		{"two names changed are another row", []journal.Row{a}, []journal.Row{with(a, "bay", "b8", "section", "wall")}, "row 1 of 14:00 (north slope b1, fill) is in the journal and not in bays.csv", -1},
	} {
		form := journal.NewForm(journal.Columns(model.LogColumns()), model.US)
		got := form.Compare(kept(x.rows...), x.log)
		var told []string
		for _, d := range got.Differences {
			told = append(told, d.Told("bays.csv"))
		}
		if diff := cmp.Diff(x.told, strings.Join(told, "\n")); diff != "" || got.Moved != x.moved {
			t.Errorf("%s: moved %d, want %d %s", x.name, got.Moved, x.moved, diff)
		}
	}
}

// Twice the rows are at most 2.2 times the work, counted in allocations, also where no row is as it
// was.
func TestCompareGrowsWithTheRows(t *testing.T) {
	for name, change := range map[string]func(journal.Row) journal.Row{
		"as it was":           func(r journal.Row) journal.Row { return r },
		"changed":             func(r journal.Row) journal.Row { return with(r, "bags", "3") },
		"gone":                func(r journal.Row) journal.Row { return with(r, "bay", "x"+r["bay"], "bags", "3") },
		"one minute, one bay": func(r journal.Row) journal.Row { return with(r, "bay", "b1", "time", "") },
	} {
		of := func(n int) float64 {
			var rows, log []journal.Row
			for i := range n {
				row := fill(fmt.Sprint("b", i), "1.75", "2026-03-02 14:00")
				rows, log = append(rows, row), append(log, change(row))
			}
			form := journal.NewForm(journal.Columns(model.LogColumns()), model.US)
			return testing.AllocsPerRun(1, func() { form.Compare(kept(rows...), log) })
		}
		if few, many := of(500), of(1000); many > 2.2*few {
			t.Errorf("%s: 500 rows take %.0f allocations, 1000 rows %.0f", name, few, many)
		}
	}
}
