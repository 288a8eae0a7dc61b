package joblog

import (
	"strings"
	"testing"
)

// TestRefused: every rule of the entries, with the words that it is told in. A row each; line 2 is
// the first.
func TestRefused(t *testing.T) {
	const where = "bays.csv:"
	for _, x := range []struct{ name, rows, want string }{
		{"second fill", filled("b1", "bags=2") + filled("b1", "bags=2"),
			"3:3: n b1 was filled already, in row 2 (write topup to add material, piece to add volume, amend to replace the fill)"},
		{"one row taken back that is not there", filled("b1", "bags=2") + row("n", "b1", "strike", "note=topup"),
			"3:19: strike of a topup row of b1, but there is none above it (leave the note blank to withdraw the whole bay)"},
		{"a strike of nothing named", filled("b1", "bags=2") + row("", "", "strike"),
			"3:2: this strike names no bay (name the bay, or write in the note what to withdraw: empties, elsewhere, count, set)"},
		{"fill without material", filled("b1", "note=x"),
			"2:12: fill without bags, counter or weight (log what went in, even 0; a bay that is measured and not filled is entry size)"},
		{"fill without size", row("n", "b1", "fill", "bags=1", "width=22.5", "length=12"),
			"2:7: n b1 has a fill row and no depth (measure it: no bay above it in its section has one)"},
		{"ditto in another section", filled("b1", "bags=2") + row("s", "b1", "fill", "width=22.5", `depth="`, "length=12", "bags=1"),
			"3:7: depth is a ditto, and no bay above s b1 in its section has a size (measure it)"},
		{"material twice", filled("b1", "bags=2", "weight=40"),
			"2:14: this row says the material twice: 2 and 40 (keep one of bags, counter and weight)"},
		{"topup before fill", row("n", "b1", "topup", "bags=1") + filled("b1", "bags=2"),
			"2:3: topup comes before the fill of n b1 (fill it first; was the file sorted?)"},
		{"topup without material", filled("b1", "bags=2") + row("n", "b1", "topup", "stall=yes"),
			"3:12: topup without bags, counter or weight (log the pounds, even 0)"},
		{"piece before size", row("n", "b1", "piece", box()...),
			"2:3: piece comes before any size of n b1 (measure or fill it first; was the file sorted?)"},
		{"amend before fill", row("n", "b1", "amend", with(box(), "bags=1")...),
			"2:3: amend comes before the fill of n b1 (fill it first; was the file sorted?)"},
		{"seen before fill", row("n", "b1", "seen", "stall=yes"),
			"2:3: seen comes before the fill of n b1 (fill it first; was the file sorted?)"},
		{"closed with bags", filled("b1", "bags=2") + row("n", "b1", "closed", "bags=2"),
			"3:12: this closed row can't carry bags (leave it blank: this row has by, note and time only)"},
		{"closed with a probe", filled("b1", "bags=2") + row("n", "b1", "closed", "probe=rod firm"),
			"3:17: this closed row can't carry probe (leave it blank: this row has by, note and time only)"},
		{"seen with a width", filled("b1", "bags=2") + row("n", "b1", "seen", "width=22"),
			"3:5: this seen row can't carry a width (write material as a topup; a seen row has what was seen)"},
		{"piece with bags", filled("b1", "bags=2") + row("n", "b1", "piece", with(box(), "bags=1")...),
			"3:12: this piece row can't carry bags (leave it blank: a piece or less row has sizes only)"},
		{"lost with counter", filled("b1", "counter=2") + row("n", "b1", "lost", "counter=3"),
			"3:13: the counter alone does not say how much was lost (write the bags or the weight; the counter may stand beside a weight)"},
		{"lost more than went in", filled("b1", "bags=2") + row("n", "b1", "lost", "bags=3"),
			"3:12: n b1 lost 25 lb more than went in (check both rows and their units; for a bay that was emptied write an amend with what is in it)"},
		{"size with nothing", row("n", "b1", "", "note=look here"),
			"2:3: a size row without any size (seen is for a look into a filled bay; or delete the row)"},
		{"a look past the end", filled("b1", "bags=2") + row("n", "b1", "seen", "probe=rod soft", "at=40"),
			"3:18: at 40' is past the end: n b1 is 12' long (write 40 in if you meant that; measure places from the low end; if the bay is longer, correct its length)"},
		{"a look far past the end", filled("b1", "bags=2") + row("n", "b1", "seen", "probe=rod soft", "at=90 ft"),
			"3:18: at 90' is past the end: n b1 is 12' long (write 90 in if you meant that; measure places from the low end; if the bay is longer, correct its length)"},
		{"a reach longer than the bay", filled("b1", "bags=2", "reach=5; 30"),
			"2:15: reach 30' is past the end: n b1 is 12' long (write 30 in if you meant that; write two ways as two values with ; between: the tube passes a bay once)"},
		{"strike of nothing", row("n", "b1", "strike"),
			"2:3: strike comes before any row of n b1 (put the bay's rows first; was the file sorted?)"},
		{"withdrawn and topped up", filled("b1", "bags=2") + row("n", "b1", "strike") + row("n", "b1", "topup", "bags=1"),
			"4:3: topup for n b1, which was struck in row 3 (write a fill or an amend to bring it back)"},
		{"count without a reading", row("", "", "count", "note=monday"),
			"2:13: this count row has no counter reading (write where the counter stands)"},
		{"count with a bay", row("n", "b1", "count", "counter=2"),
			"2:2: this count row belongs to no bay, and it names b1 (leave bay blank)"},
		{"counter runs back", filled("b1", "counter=2") + filled("b2", "counter=1 3/4"),
			"3:13: counter 1 3/4 runs back: it stood at 2 in row 2 (count 0 goes before it after a reset; was the file sorted?)"},
		{"bags between counters", filled("b1", "counter=2") + filled("b2", "bags=1") + filled("b3", "counter=4"),
			"3:12: bags 1 stands between two counter readings of one section: the reading in row 4 counts it again (count and where it stood goes before the next reading)"},
		{"an amend out of the counter", filled("b1", "counter=2") + filled("b2", "counter=4") + filled("b3", "counter=6") + row("n", "b2", "amend", with(box(), "bags=2")...),
			"5:12: bags 2 stands between two counter readings of one section: the reading in row 4 counts it again (count and where it stood goes before the next reading)"},
		{"less larger than its bay", filled("b1", "bags=2") + row("n", "b1", "less", "width=22.5", "depth=5.5", "length=13"),
			"3:0: less takes away more than n b1 holds (check the units of its sizes)"},
		{"amend without a size that was measured", filled("b1", "bags=2") + row("n", "b1", "amend", "width=22.5", "length=12", "bags=3"),
			`3:7: an amend takes over nothing, and its depth is blank: row 2 has 5.5 (write 5.5 again, or " for the size of the bay above)` + "\n" +
				"bays.csv:3:7: n b1 has a amend row and no depth (measure it: no bay above it in its section has one)"},
		{"measured before", row("n", "b1", "size", box()...) + row("n", "b1", "fill", "width=22.4", "bags=2"),
			"3:5: width 22.4, but width was measured already: 22.5 in row 2 (leave it blank here; write a further reading in a size row before the fill)"},
		{"width2 of a wedge", row("n", "b1", "fill", "shape=wedge", "width=22.5", "width2=20", "depth=5.5", "length=12", "bags=1"),
			"2:6: a wedge has no width2 (write taper in shape for a bay with another end)"},
		{"depth of a round", row("n", "b1", "fill", "shape=round", "width=10", "depth=5.5", "length=12", "bags=1"),
			"2:7: a round has no depth (leave depth blank: the width is the diameter; if only the bay above is round, write this one's shape)"},
		{"two shapes", row("n", "b1", "size", with(box(), "shape=wedge")...) + row("n", "b1", "fill", "shape=box", "bags=1"),
			"3:4: shape box, but row 2 says wedge (leave it blank here, or write an amend)"},
		{"shared across sections", filled("b1", "bags=shared") + row("s", "b1", "fill", with(box(), "bags=2")...),
			"2:12: n b1 shares the next bay's figure, and the next bay filled is s b1 (put bays that share a count one after the other, in one section)"},
		{"shared of two kinds", filled("b1", "bags=shared") + filled("b2", "weight=40"),
			"2:12: n b1 shares a figure of bags, and n b2 has weight (write both in one column)"},
		{"a top-up that shares", filled("b1", "bags=1") + row("n", "b1", "topup", "bags=shared"),
			"3:12: this topup row can't share the next bay's figure (write how much; only a fill can say shared)"},
		{"a section in two cases", filled("b1", "bags=2") + row("N", "b2", "fill", with(box(), "bags=2")...),
			"3:1: section N differs from n in row 2 only by case or spaces (write it one way)"},
		{"a bay in two spellings", filled("b 1", "bags=2") + row("n", "b1", "closed"),
			"3:2: bay b1 differs from b 1 in row 2 only by case or spaces (write it one way)"},
		{"section not filled down", filled("b1", "bags=2") + row("", "b2", "fill", with(box(), "bags=2")...),
			"3:1: section is blank (fill the name down; delete a row of totals)"},
		{"no bay", row("n", "", "fill", with(box(), "bags=2")...),
			"2:2: bay is blank (name the bay; only count, set, empties and elsewhere rows have none)"},
		{"totals", filled("b1", "bags=2") + row("Total", "", "", "bags=2"),
			"3:1: this is a row of totals (delete the row: the log holds bays only)"},
		{"one comma too many", filled("b1", "bags=2") + filled("b2", "bags=2,"),
			"3:21: 21 cells here, and the header names 20 (put a cell with a comma in it in quotes)"},
		{"torn row", filled("b1", "bags=2") + "n,b2,fill,,22.5",
			"3:5: the last row breaks off: 5 cells of 20 and no line end (complete it or delete it)"},
		{"line break", filled("b1", "bags=2", "note=\"hard\nstop\"") + filled("b1", "bags=2"),
			"2:19: this cell has a line break: its quote closes on line 3 of the file (write the cell on one line)"},
		{"quote", filled("b1", "bags=2", "note=\"hard") + filled("b2", "bags=2"),
			`2:19: a quote opens this cell and nothing closes it (close the quote; write an inch mark inside quotes twice, 12' 6"")`},
		{"a time of day without a date", filled("b1", "bags=2", "time=14:20"),
			"2:20: time 14:20 is a time of day, and the job has no date (give the job its date, or write 2026-03-02 14:20)"},
	} {
		_, faults := readLog(head + x.rows)
		if got := strings.TrimSpace(told(faults)); got != where+x.want {
			t.Errorf("%s: told\n%s\nwant\n%s", x.name, got, where+x.want)
		}
	}
}

// TestRefusedHeaders: faults of first rows and of whole files.
func TestRefusedHeaders(t *testing.T) {
	rest := "\nn,b1,22.5,5.5,12,2\n"
	for _, x := range []struct{ name, log, want string }{
		{"nothing", "", "0:0: the log is empty (write its columns in the first row: section, bay, entry, width, depth, length, bags, time)"},
		{"twice", "section,bay,width,depth,length,bags,Width" + rest, "1:7: column width stands twice, in columns C and G (keep one of them)"},
		{"one quantity", "section,bay,width,depth,length_m,length" + rest, "1:6: columns length_m and length both say length (keep one of them)"},
		{"slip", "section,bay,widht,depth,length,bags" + rest, "1:3: no column is called widht (write width, or a name less like it)"},
		{"strange unit", "section,bay,width_ell,depth,length,bags" + rest, "1:3: column width_ell ends in ell, which is no unit (write in, ft, mm, cm, m, lb, oz, kg or g)"},
		{"wrong unit", "section,bay,width_lb,depth,length,bags" + rest, "1:3: width_lb has lb, a unit of weight, not of length (write in, ft, mm, cm or m)"},
		{"no bay", "section,width,depth,length,bags\nn,22.5,5.5,12,2\n", "1:0: the log has no column bay (add a column bay to the first row)"},
		{"no table", "dear crew,\nplease\n", "1:0: the first row names no column of the log (write its columns in the first row: section, bay, entry, shape, width, width2, depth, depth2, length, length2, bulge, bags …)"},
		{"semicolon", "section;bay;width;depth;length;bags\nn;b1;22.5;5 1/4; 5 1/2;12;2\n",
			"2:7: 7 cells here, and the header names 6 (give the row as many cells as the header; put readings with ; between them in quotes)"},
		{"workbook", "PK\x03\x04abc", "0:0: this is a workbook, not a CSV file (save the sheet as CSV UTF-8)"},
		{"utf-16 cut in a letter", "\xff\xfes\x00e", "1:0: the last row breaks off in the middle of a letter (complete it or delete it)"},
		{"nul", "section,bay\nn,\x00b1\n", "2:0: this is not text: it has a NUL byte (save as CSV UTF-8; if the file was cut off, keep the lines before this one)"},
	} {
		_, faults := readLog(x.log)
		if got := strings.TrimSpace(told(faults)); got != "bays.csv:"+x.want {
			t.Errorf("%s: told\n%s\nwant\n%s", x.name, got, "bays.csv:"+x.want)
		}
	}
}
