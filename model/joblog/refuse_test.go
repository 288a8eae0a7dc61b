package joblog

import (
	"strings"
	"testing"
)

// TestRefused: every rule of the entries, with the words that it is told in. A row each; line 2 is the first.
func TestRefused(t *testing.T) {
	const where = "bays.csv:"
	for _, x := range []struct{ name, rows, want string }{
		{"second fill", filled("b1", "bags=2") + filled("b1", "bags=2"),
			"3:3: n b1 was filled on line 2 already (one fill a bay: piece adds volume, topup adds material, amend replaces the fill)"},
		{"one row taken back that is not there", filled("b1", "bags=2") + row("n", "b1", "strike", "note=topup"),
			"3:19: strike of a topup row of b1: there is none before it (a strike with another note, or none, withdraws the bay)"},
		{"a strike of nothing named", filled("b1", "bags=2") + row("", "", "strike"),
			"3:2: strike without a bay (name the bay, or in the note what is withdrawn: empties, elsewhere, count, set)"},
		{"fill without material", filled("b1", "note=x"),
			"2:12: fill without bags, counter or weight (0 is accepted; a bay that is measured and not filled is a size row)"},
		{"fill without size", row("n", "b1", "fill", "bags=1", "width=22.5", "length=12"),
			"2:7: n b1 fill without depth (measure it: there is no bay above it in its section to take it from)"},
		{"ditto in another section", filled("b1", "bags=2") + row("s", "b1", "fill", "width=22.5", `depth="`, "length=12", "bags=1"),
			"3:7: depth is a ditto, and no bay above s b1 in its section has one (measure it)"},
		{"material twice", filled("b1", "bags=2", "weight=40"),
			"2:14: material is said twice on this row: 2 and 40 (keep one of bags, counter and weight)"},
		{"topup before fill", row("n", "b1", "topup", "bags=1") + filled("b1", "bags=2"),
			"2:3: topup before the fill of n b1 (was the file sorted? its fill row comes first)"},
		{"topup without material", filled("b1", "bags=2") + row("n", "b1", "topup", "stall=yes"),
			"3:12: topup without bags, counter or weight (0 is accepted)"},
		{"piece before size", row("n", "b1", "piece", box()...),
			"2:3: piece before any size of n b1 (was the file sorted? its size or fill row comes first)"},
		{"amend before fill", row("n", "b1", "amend", with(box(), "bags=1")...),
			"2:3: amend before the fill of n b1 (was the file sorted? its fill row comes first)"},
		{"seen before fill", row("n", "b1", "seen", "stall=yes"),
			"2:3: seen before the fill of n b1 (was the file sorted? its fill row comes first)"},
		{"closed with bags", filled("b1", "bags=2") + row("n", "b1", "closed", "bags=2"),
			"3:12: a closed row with bags (it carries by, note and time only)"},
		{"closed with a probe", filled("b1", "bags=2") + row("n", "b1", "closed", "probe=rod firm"),
			"3:17: a closed row with probe (it carries by, note and time only)"},
		{"seen with a width", filled("b1", "bags=2") + row("n", "b1", "seen", "width=22"),
			"3:5: a seen row with a width (a seen row carries what was seen only; material is a topup)"},
		{"piece with bags", filled("b1", "bags=2") + row("n", "b1", "piece", with(box(), "bags=1")...),
			"3:12: a piece row with bags (a piece or less row carries sizes only)"},
		{"lost with counter", filled("b1", "counter=2") + row("n", "b1", "lost", "counter=3"),
			"3:13: lost with a counter reading: does it say where the counter stands, or how much was lost? (say how much in bags or weight; a counter may stand beside a weight)"},
		{"lost more than went in", filled("b1", "bags=2") + row("n", "b1", "lost", "bags=3"),
			"3:12: n b1 lost more than went in: 25 lb too much (look at both rows and their units; a bay that was emptied is amended to what is in it)"},
		{"size with nothing", row("n", "b1", "", "note=look here"),
			"2:3: a size row without any size (what was seen of a filled bay is entry seen; an empty row is deleted)"},
		{"a look past the end", filled("b1", "bags=2") + row("n", "b1", "seen", "probe=rod soft", "at=40"),
			"3:18: at 40 ft: n b1 is 12 ft long (40 in? places are told from the low end; if the bay is longer, mend its length)"},
		{"a look far past the end", filled("b1", "bags=2") + row("n", "b1", "seen", "probe=rod soft", "at=90 ft"),
			"3:18: at 90 ft: n b1 is 12 ft long (90 in? places are told from the low end; if the bay is longer, mend its length)"},
		{"a reach longer than the bay", filled("b1", "bags=2", "reach=5; 30"),
			"2:15: reach 30 ft: n b1 is 12 ft long (30 in? the tube passes a bay once; two ways are two values with ; between)"},
		{"strike of nothing", row("n", "b1", "strike"),
			"2:3: strike before any row of n b1 (was the file sorted?)"},
		{"withdrawn and topped up", filled("b1", "bags=2") + row("n", "b1", "strike") + row("n", "b1", "topup", "bags=1"),
			"4:3: topup for n b1, which was withdrawn on line 3 (a fill or an amend brings it back)"},
		{"count without a reading", row("", "", "count", "note=monday"),
			"2:13: count without a counter reading (a count row says where the counter stands)"},
		{"count with a bay", row("n", "b1", "count", "counter=2"),
			"2:2: a count row belongs to no bay, and this one names b1 (leave the bay blank)"},
		{"counter runs back", filled("b1", "counter=2") + filled("b2", "counter=1 3/4"),
			"3:13: counter 1 3/4 runs back: it stood at 2 on line 2 (was the file sorted? after a reset write a count row)"},
		{"bags between counters", filled("b1", "counter=2") + filled("b2", "bags=1") + filled("b3", "counter=4"),
			"3:12: bags 1 between two counter readings of one section: the reading on line 4 counts it once more (read the counter here too, or start it again with a count row)"},
		{"an amend out of the counter", filled("b1", "counter=2") + filled("b2", "counter=4") + filled("b3", "counter=6") + row("n", "b2", "amend", with(box(), "bags=2")...),
			"5:12: bags 2 between two counter readings of one section: the reading on line 4 counts it once more (read the counter here too, or start it again with a count row)"},
		{"less larger than its bay", filled("b1", "bags=2") + row("n", "b1", "less", "width=22.5", "depth=5.5", "length=13"),
			"3:0: less takes away more than n b1 holds (look at the units of its sizes)"},
		{"amend without a size that was measured", filled("b1", "bags=2") + row("n", "b1", "amend", "width=22.5", "length=12", "bags=3"),
			`3:7: an amend inherits nothing, and its depth is blank: 5.5 again, as on line 2, or as the bay above? (write the size again, or " for the size of the bay above)` + "\n" +
				"bays.csv:3:7: n b1 amend without depth (measure it: there is no bay above it in its section to take it from)"},
		{"measured before", row("n", "b1", "size", box()...) + row("n", "b1", "fill", "width=22.4", "bags=2"),
			"3:5: width 22.4: width was measured on line 2 already, 22.5 (leave it blank here; a further reading is a size row before the fill)"},
		{"width2 of a wedge", row("n", "b1", "fill", "shape=wedge", "width=22.5", "width2=20", "depth=5.5", "length=12", "bags=1"),
			"2:6: width2 on a wedge (another end is shape taper)"},
		{"depth of a round", row("n", "b1", "fill", "shape=round", "width=10", "depth=5.5", "length=12", "bags=1"),
			"2:7: depth on a round (its width is the diameter; leave depth blank, or say its shape where the bay above is the round one)"},
		{"two shapes", row("n", "b1", "size", with(box(), "shape=wedge")...) + row("n", "b1", "fill", "shape=box", "bags=1"),
			"3:4: shape box: line 2 says wedge (leave it blank here, or amend)"},
		{"shared across sections", filled("b1", "bags=shared") + row("s", "b1", "fill", with(box(), "bags=2")...),
			"2:12: n b1 shares the next bay's figure, and the next bay filled is s b1 (bays that share a count stand one after the other in one section)"},
		{"shared of two kinds", filled("b1", "bags=shared") + filled("b2", "weight=40"),
			"2:12: n b1 shares a figure of bags, and n b2 has weight (write both in one column)"},
		{"a top-up that shares", filled("b1", "bags=1") + row("n", "b1", "topup", "bags=shared"),
			"3:12: a topup row that shares a figure (only a fill shares the next bay's figure)"},
		{"a section in two cases", filled("b1", "bags=2") + row("N", "b2", "fill", with(box(), "bags=2")...),
			"3:1: section N differs from n on line 2 only in case or spaces (write it one way)"},
		{"a bay in two spellings", filled("b 1", "bags=2") + row("n", "b1", "closed"),
			"3:2: bay b1 differs from b 1 on line 2 only in case or spaces (write it one way)"},
		{"section not filled down", filled("b1", "bags=2") + row("", "b2", "fill", with(box(), "bags=2")...),
			"3:1: section is blank (fill the name down; a row of totals is deleted)"},
		{"no bay", row("n", "", "fill", with(box(), "bags=2")...),
			"2:2: bay is blank (name it; only count, set, empties and elsewhere rows have no bay)"},
		{"totals", filled("b1", "bags=2") + row("Total", "", "", "bags=2"),
			"3:1: a row of totals (delete the row: the log holds bays only)"},
		{"one comma too many", filled("b1", "bags=2") + filled("b2", "bags=2,"),
			"3:21: 21 cells where the header names 20 (a comma inside a cell? put the cell in quotes)"},
		{"torn row", filled("b1", "bags=2") + "n,b2,fill,,22.5",
			"3:5: the last row is torn off: 5 cells of 20 and no line end (complete it or delete it)"},
		{"line break", filled("b1", "bags=2", "note=\"hard\nstop\"") + filled("b1", "bags=2"),
			"2:19: a line break inside a cell: its quote opens here and closes on line 3 (write the cell on one line)"},
		{"quote", filled("b1", "bags=2", "note=\"hard") + filled("b2", "bags=2"),
			`2:19: a quote opens this cell and nothing closes it (close it; an inch mark inside quotes is written twice, 12' 6"")`},
		{"a time of day without a date", filled("b1", "bags=2", "time=14:20"),
			"2:20: time 14:20: a time of day, but the job has no date (give the job's date, or write 2026-03-02 14:20)"},
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
		{"nothing", "", "0:0: the log is empty (its first row names its columns: section, bay, entry, width, depth, length, bags, time)"},
		{"twice", "section,bay,width,depth,length,bags,Width" + rest, "1:7: column width stands twice, in columns 3 and 7 (keep one of them)"},
		{"one quantity", "section,bay,width,depth,length_m,length" + rest, "1:6: columns length_m and length both say length (keep one of them)"},
		{"slip", "section,bay,widht,depth,length,bags" + rest, "1:3: column widht: width? (write width, or a name that is farther off)"},
		{"strange unit", "section,bay,width_ell,depth,length,bags" + rest, "1:3: column width_ell: ell is no unit that is known (known are in, ft, mm, cm, m, lb, oz, kg, g)"},
		{"wrong unit", "section,bay,width_lb,depth,length,bags" + rest, "1:3: width_lb: lb is a unit of weight, not of length (known are in, ft, mm, cm, m)"},
		{"no bay", "section,width,depth,length,bags\nn,22.5,5.5,12,2\n", "1:0: the log has no column bay (add it to the first row)"},
		{"no table", "dear crew,\nplease\n", "1:0: the first row names no column of the log (its columns are section, bay, entry, shape, width, width2, depth, depth2, length, length2, bulge, bags …)"},
		{"semicolon", "section;bay;width;depth;length;bags\nn;b1;22.5;5 1/4; 5 1/2;12;2\n",
			"2:7: 7 cells where the header names 6 (in a semicolon file every row has as many cells as the header; put readings with ; between in quotes)"},
		{"workbook", "PK\x03\x04abc", "0:0: a workbook, not a CSV file (save the sheet as CSV UTF-8)"},
		{"utf-16 cut in a letter", "\xff\xfes\x00e", "1:0: the last row is torn off in the middle of a letter (complete it or delete it)"},
		{"nul", "section,bay\nn,\x00b1\n", "2:0: a NUL byte: this is no text (save as CSV UTF-8; a torn file ends at the line before)"},
	} {
		_, faults := readLog(x.log)
		if got := strings.TrimSpace(told(faults)); got != "bays.csv:"+x.want {
			t.Errorf("%s: told\n%s\nwant\n%s", x.name, got, "bays.csv:"+x.want)
		}
	}
}
