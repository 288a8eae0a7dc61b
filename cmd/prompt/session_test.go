package prompt

import (
	"fmt"
	"maps"
	"math"
	"strings"
	"testing"

	"time"

	"bayproof/model"
	"bayproof/report/say"
	"bayproof/verify/plan"
)

func TestWholeJob(t *testing.T) {
	book := newPaperBook()
	text := sitting(t, book, Options{},
		"b1 22.5 5 1/2;5 5/8 12 1 3/4 stall reach 11.5",
		"1 3/4 stall", "1 3/4", "1 1/2", "", "22 3/8", "", "11'10", "1 3/4",
		"top b4 8 lb stall", "probe b4 rod firm at 9", "close", "close b1", "list", "finish")
	says(t, text, "■ CLOSE  b1", "5 of 12 bays", "7 of the 12 bays are not in the log")
	if n := strings.Count(book.log, "\n"); n != 10 {
		t.Errorf("%d lines in the log, want a header and 9 rows:\n%s", n, book.log)
	}
	says(t, book.log, `north slope,b1,fill,,22.5,,5.5; 5.625,,12,,,1.75,`, `north slope,b5,fill,,22.375,,"""",,142 in,,,1.75`,
		`north slope,b2,fill,,"""",,"""",,"""",,,1.75`, `b4,seen,,,,,,,,,,,,,,,,,rod firm,9`)
}

// A bay costs six keys, Enter among them, where only the count changes, and fourteen with one
// measured depth.
func TestKeystrokes(t *testing.T) {
	for _, c := range []struct {
		line, row string
		most      int
	}{
		{"1 3/4", "b2,fill,,\"\"\"\",,\"\"\"\",,\"\"\"\",,,1.75,", 6},
		{"d 5 5/8 1 3/4", "b2,fill,,,,5.625,,,,,1.75,", 14},
	} {
		book := newPaperBook()
		sitting(t, book, Options{}, "b1 22.5 5.5 12 1 3/4", c.line)
		if says(t, book.log, c.row); len(c.line)+1 > c.most {
			t.Errorf("%s: %d keys", c.line, len(c.line)+1)
		}
	}
}

// What looks odd is written, and said under the answer with the word that mends it.
func TestOddIsSaid(t *testing.T) {
	book := newPaperBook()
	text := sitting(t, book, Options{}, "b1 22.5 5.5 22.5 3 1/4", "n", "fix length 12 bags 1 3/4", "b2 22.5 5.5 12 4", "y", "b3 22.5 5.5 12 1 1/2", "fix b2 bags 1 1/2")
	says(t, text, "b1 is 22' 6\" long? Bays here are 12'. If not: fix b1 length", "Nothing was asked", "b2: 4 bags in 10", "makes 9.7", "fix b2 bags and what it was, or undo")
	says(t, book.log, "b1,fill,,22.5,,5.5,,22.5,,,3.25,", "b1,amend,,22.5,,5.5,,12,,,1.75,", "b2,amend,,22.5,,5.5,,12,,,1.5,")
	if n := strings.Count(book.log, "\n"); n != 6 {
		t.Errorf("%d lines:\n%s", n, book.log)
	}
}

// A line that reads in two ways is asked about; whatever is typed instead of an answer takes the
// likelier one, and is taken too.
func TestAsksWhichReading(t *testing.T) {
	for _, c := range []struct {
		lines []string
		rows  []string
	}{
		{[]string{"2"}, []string{"b1,fill,,14.5,,3.5,,12,,,0.5,"}},
		{[]string{"b2 22.5 5.5 12 1 1/2"}, []string{"b1,size,,14.5,,3.5,,12.5,,,,", "b2,fill,,22.5,,5.5,,12,,,1.5,"}},
		{[]string{"finish"}, []string{"b1,size,,14.5,,3.5,,12.5,,,,"}},
		{nil, []string{"b1,size,,14.5,,3.5,,12.5,,,,"}},
	} {
		book := newPaperBook()
		text := sitting(t, book, Options{Sheet: Both}, append([]string{"size 1", "cancel", "b1 14.5 3.5 12 1/2"}, c.lines...)...)
		says(t, text, "1: width 14.5, depth 3.5, length 12 1/2, not filled yet", "2: width 14.5, depth 3.5, length 12, bags 1/2")
		says(t, book.log, c.rows...)
	}
}

// What the file would refuse is refused before it is written, with what would cure it.
func TestRefusals(t *testing.T) {
	for _, c := range []struct{ line, says string }{
		{"b1 1 3/4\n", "has to be measured. cancel drops it."},
		{"b1 22.5 5.5 12 1 3/4 stalll", "stall?"},
		{"b1 22.5 5.5", "Type b1 width depth length bags"},
		{"b1 -3 5.5 12 1", "width"},
		{"top b9 8 lb", "No bay yet."},
		{"rod", "rod what?"},
		{"lost 5 lb", "No bay yet"},
	} {
		book := newPaperBook()
		text := sitting(t, book, Options{}, strings.Split(c.line, "\n")...)
		says(t, text, c.says)
		if n := strings.Count(book.log, "\n"); n != 1 {
			t.Errorf("%s: something was written:\n%s", c.line, book.log)
		}
	}
}

func TestEveryEntryKind(t *testing.T) {
	book := newPaperBook()
	sitting(t, book, Options{By: "AR"},
		"size b1 22.5 5.5 12", "b1 1 3/4", "piece 22.5 5.5 2", "less b1 3.5 5.5 1", "top 1/4 stall", "lost b1 3 lb",
		"seen b1 reach 11 hole 1 photo b1.jpg", "set gate to 4", "b2 1 3/4 note wet corner seen", "amend b2 22.5 5.5 11.5 1 3/4", "close b2", "strike b1",
		"b3 wedge 22.5, 5.5, 12, 3/4", "b4 taper 22.5 5.5 12 1 1/2 width2 20 depth2 5", "b5 round 12 8 1", "y", "section hip", "b1 22.5 5.5 8 1 length2 4", "shared", "1 1/2")
	for _, want := range []string{"b1,size", "b1,fill", "b1,piece", "b1,less", "b1,topup", "b1,lost", "b1,seen", ",,set", "b2,fill", "b2,amend", "b2,closed", "b1,strike",
		"b3,fill,wedge", "b4,fill,taper,22.5,20,5.5,5,", "hip,b1,fill,,22.5,,5.5,,8,4,", "hip,b2,fill,,\"\"\"\",,\"\"\"\",,\"\"\"\",,,shared", "hip,b3,fill", "gate to 4", "wet corner seen"} {
		if !strings.Contains(book.log, want) {
			t.Errorf("no %s in the log:\n%s", want, book.log)
		}
	}
	if _, faults := book.Job(); len(faults) > 0 {
		t.Errorf("the log does not read: %v", faults)
	}
	for _, row := range strings.Split(strings.TrimSpace(book.log), "\n")[1:] {
		if !strings.Contains(row, ",AR,") {
			t.Errorf("no initials on %s", row)
		}
	}
}

// After an undo the bay stands as before, and nothing that was written is gone.
func TestUndo(t *testing.T) {
	start := []string{"b1 22.5 5.5 12 1 3/4 stall", "b2 22.5 5.5 12 1 1/2", "top b2 1/8", "probe b2 rod firm at 9"}
	for _, c := range []struct{ line string }{
		{"top b2 10 lb"}, {"lost b2 10 lb"}, {"probe b2 rod empty at 3"}, {"piece b2 22.5 5.5 1"}, {"amend b2 22.5 5.5 14 2"}, {"amend b2 22.5 5.25 11'11 2"}, {"strike b2"},
	} {
		book := newPaperBook()
		sitting(t, book, Options{}, start...)
		before := book.log
		want := state(t, book)
		sitting(t, book, Options{}, c.line, "undo")
		if !strings.HasPrefix(book.log, before) {
			t.Errorf("%s, undo: rows that were there are gone", c.line)
		}
		if got := state(t, book); got != want {
			t.Errorf("%s, undo: %s, want %s\n%s", c.line, got, want, book.log)
		}
	}
}

// state says what holds of every bay; what was answered, as by the amending row, stays in the
// record.
func state(t *testing.T, book *paperBook) string {
	t.Helper()
	job, faults := book.Job()
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	var b strings.Builder
	f := findings(job, "")
	for i := range f.Bays {
		x := &f.Bays[i]
		fmt.Fprintf(&b, "%s %.6f %.6f %s", x.Bay.Name, x.Volume, x.Mass, fmt.Sprint(x.Verdict))
		for _, r := range x.Reasons {
			if !r.IsAnswered() {
				fmt.Fprintf(&b, " %s", r.Code)
			}
		}
		b.WriteString("; ")
	}
	return b.String()
}

// A bay that was withdrawn before it was filled gives its name up: it was the wrong one, or the
// wrong sizes, and the right bay takes the name. None of the old sizes goes with it.
func TestNameOfAWithdrawnBay(t *testing.T) {
	for _, back := range []string{"undo", "strike b1"} {
		book := newPaperBook()
		text := sitting(t, book, Options{}, "size b1 22.5 5.5 12", back, "b1 22.5 5.5 11 1 1/2", "undo", "b1 22.5 5.5 11 1 5/8")
		says(t, text, "b1 withdrawn")
		says(t, book.log, "b1,size", "b1,strike", "b1,fill,,22.5,,5.5,,11,,,1.5", "b1,fill,,22.5,,5.5,,11,,,1.625")
		if got, want := state(t, book), "b1 0.267683 18.427190 "; !strings.HasPrefix(got, want) { // 22.5 × 5.5 × 132 in³; 1 5/8 × 25 lb
			t.Errorf("after %s: %s, want %s", back, got, want)
		}
	}
	book := newPaperBook()
	text := sitting(t, book, Options{}, "b1 22.5 5.5 12 1 3/4", "size b3 30 5.5 4", "y", "strike b3", "b3 1 3/4")
	says(t, book.log, `b3,fill,,"""",,"""",,"""",,,1.75`)
	says(t, state(t, book), "b3 0.292017") // those of the bay above, not of the bay that was withdrawn
	if strings.Contains(text, "b3r") {
		t.Errorf("another name is asked for:\n%s", text)
	}
	book = newPaperBook()
	sitting(t, book, Options{}, "size b1 22.5 5.5 12", "strike b1", "size b1 22.5 5.5 11")
	says(t, state(t, book), "b1 0.267683 NaN")
}

// A place that is not in the bay is refused at once, with the unit that would fit.
func TestPlaceBeyondTheBay(t *testing.T) {
	for _, c := range []struct{ line, says string }{
		{"probe b1 rod soft at 40", "not written: at 40' is past the end: north slope b1 is 12' long"},
		{"probe b1 rod soft at 40", "write 40 in if you meant that; measure places from the low end; if the bay is longer, correct its length"},
		{"b1 reach 30", "not written: reach 30' is past the end: north slope b1 is 12' long"},
		{"b1 hole 14", "not written: hole 14' is past the end: north slope b1 is 12' long"},
	} {
		book := newPaperBook()
		text := sitting(t, book, Options{}, "b1 22.5 5.5 12 1 3/4", c.line)
		says(t, strings.Join(strings.Fields(text), " "), c.says)
		if n := strings.Count(book.log, "\n"); n != 2 {
			t.Errorf("%s: something was written:\n%s", c.line, book.log)
		}
	}
	book := newPaperBook()
	text := sitting(t, book, Options{}, "b1 22.5 5.5 12 1 3/4", "probe b1 rod soft at 12.5") // the tape's own error
	says(t, strings.Join(strings.Fields(text), " "), "new hole 11' 6\" up")
}

// An amount that cannot be is refused when it is typed, with what would cure it.
func TestAmountsThatCannotBe(t *testing.T) {
	for _, c := range []struct{ line, says string }{
		{"b2 22.5 5.5 12 2 - 60 lb", "not written: bags 2 - 60 lb has a part of 60 lb, and a whole bag is 25 lb"},
		{"b2 22.5 5.5 12 1 + 30 lb", "for more than a bag write 2 + 5 lb"},
		{"lost b1 500 lb", "not written: north slope b1 lost 456.2 lb more than went in"},
		{"b2 22.5 5.5 12 counter 9000", "not written: counter 9000 puts 225000 lb into north slope b2, which holds 10.31 ft3: no loose fill packs past 20 lb/ft3 write a count row before it"},
		{"b2 22.5 5.5 12 40", "check the figure, the sizes and their units"},
		{"b2 1e-300 5.5 12 1", "width 1e-300 is under 1/64 in; check the number"},
	} {
		book := newPaperBook()
		text := sitting(t, book, Options{}, "b1 22.5 5.5 12 1 3/4", c.line)
		says(t, strings.Join(strings.Fields(text), " "), c.says)
		if n := strings.Count(book.log, "\n"); n != 2 {
			t.Errorf("%s: something was written:\n%s", c.line, book.log)
		}
	}
}

// An amend stands for the whole bay; what it takes out of force is said.
func TestAmendSaysWhatItReplaces(t *testing.T) {
	book := newPaperBook()
	text := sitting(t, book, Options{}, "b1 22.5 5.5 12 1 1/2", "top b1 8 lb", "probe b1 rod firm at 9", "amend b1 22.5 5.5 11.5 1 1/2")
	says(t, text, "The amend stands for the whole bay. Of its earlier rows 2 no longer hold")
}

// A bay is told as it is understood: what a ditto took over, and from where. A bay whose sizes were
// read in several rows, in feet and in inches, is said again as it stands when a later row is taken
// back.
func TestBayAsUnderstood(t *testing.T) {
	book := newPaperBook()
	text := sitting(t, book, Options{}, "b1 22.5 5.5 12'2 1 wedge bulge 1", "1", `b3 22 " " 1`, "amend b3 22 5.5 12'2 1 wedge")
	says(t, text, `wedge 22½ × 5½ in × 12' 2", bulge 1 in;`, `wedge 22½ × 5½ in × 12' 2", bulge 1 in, as b1;`, `wedge 22 × 5½ in × 12' 2", depth and length as b1;`, `wedge 22 × 5½ in × 12' 2";`)

	book = newPaperBook()
	sitting(t, book, Options{}, "b1 22.5 5.5 12 1 3/4", "amend b1 22.5 5.25 11'11 1 3/4")
	want := state(t, book)
	sitting(t, book, Options{}, "fix b1 bags 1 3/4")
	says(t, book.log, "b1,amend,,22.5,,5.5; 5.25 in,,144; 143 in,,,1.75")
	if got := state(t, book); got != want {
		t.Errorf("%s, want %s\n%s", got, want, book.log)
	}
}

func TestUndoOfAFill(t *testing.T) {
	book := newPaperBook()
	text := sitting(t, book, Options{}, "b1 22.5 5.5 12 1 3/4", "b2 22.5 5.5 12 1 3/4", "undo", "b2 22.5 5.5 11 1 1/2", "undo", "undo", "undo")
	says(t, text, "b2 withdrawn", "Nothing to take back")
	says(t, book.log, "b2,strike", "b2,fill,,22.5,,5.5,,11,,,1.5", "b1,strike")
}

func TestFullDisk(t *testing.T) {
	book := newPaperBook()
	book.fail = errDisk
	text := sitting(t, book, Options{}, "b1 22.5 5.5 12 1 3/4", "", "1 3/4")
	says(t, text, "NOT on disk: no space left on device", "Still here: section north slope, bay b1, entry fill", "Enter tries again")
	if n := strings.Count(book.log, "\n"); n != 3 {
		t.Errorf("want two rows:\n%s", book.log)
	}
}

// A spreadsheet saved an older copy over the log: the row that went is shown and written again if
// wanted.
func TestOverwritten(t *testing.T) {
	for _, c := range []struct {
		answer string
		rows   int
	}{{"y", 3}, {"n", 2}} {
		book := newPaperBook()
		s, _ := New(book, Options{})
		s.Feed("b1 22.5 5.5 12 1 3/4")
		s.Feed("b2 22.5 5.5 12 1 1/2")
		rows := strings.SplitAfter(book.log, "\n")
		book.changed = rows[0] + rows[1]
		book.lost = []Row{s.own[1].rows[0]}
		text := s.Feed("b3 22.5 5.5 12 1 3/4") + s.Prompt()
		says(t, text, "Another program changed the log", "gone from it", "bay b2, entry fill", "kept in bays.csv.before", "Write them again, at the end?")
		for _, unclear := range []string{"", "b3 22.5 5.5 12 1 3/4", "maybe"} {
			says(t, s.Feed(unclear)+s.Prompt(), "Type y or n first", "Write them again")
		}
		s.Feed(c.answer)
		if n := strings.Count(book.log, "\n") - 1; n != c.rows {
			t.Errorf("answer %s: %d rows, want %d:\n%s", c.answer, n, c.rows, book.log)
		}
	}
}

func TestRoofThenTruck(t *testing.T) {
	book := newPaperBook()
	text := sitting(t, book, Options{Sheet: Roof}, "22.5 5.5 12", "b2 22 3/8 5.5 12 hole 1", "", "22.5", "", "")
	says(t, text, "It takes 40 lb (about 1 1/2 bags)")
	if n := strings.Count(book.log, ",size,"); n != 3 {
		t.Errorf("%d size rows, want 3:\n%s", n, book.log)
	}
	text = sitting(t, book, Options{Sheet: Truck}, "1 3/4", "b2 3 1/2", "5", "top b3 5 1/4", "top b3 0 stall", "top b3 4 lb", "b4 22.5 5.5 12 7")
	says(t, text, "The counter is taken to stand at 5.25 still", "4 of 12 bays", "1 3/4 bags, aim")
	says(t, book.log, "b1,fill,,,,,,,,,,1.75,", "b2,fill,,,,,,,,,,3.5,", "b3,fill,,,,,,,,,,5,", "b3,topup,,,,,,,,,,5.25", "b3,topup,,,,,,,,,,5.25,4 lb", "b4,fill,,22.5,,5.5,,12,,,,7,")
	text = sitting(t, book, Options{Sheet: Roof}, "b3 reach 11 rod firm at 6")
	says(t, book.log, "b3,seen,,,,,,,,,,,,11,,,,,rod firm,6")
	_ = text
}

// The truck sheet first: a bay waits for the roof sheet although one above it is measured, and
// nothing of the count is typed twice. A size that is typed alone takes the others over, as
// everywhere.
func TestTruckThenRoof(t *testing.T) {
	book := newPaperBook()
	sitting(t, book, Options{}, "b1 22.5 5.5 12 counter 1 3/4")
	waits := sitting(t, book, Options{Sheet: Truck}, "3 1/2", "5", "top b2 5 1/4 stall", "recount b3 5 1/4", "recount b3 5", "list")
	says(t, waits, "b2: waiting for the roof sheet", "b3: waiting for the roof sheet", "2 not filled")
	if strings.Contains(waits, "■ CLOSE  b2") || strings.Contains(waits, "■ CLOSE  b3") {
		t.Errorf("a bay is CLOSE without its sizes:\n%s", waits)
	}
	says(t, book.log, "b2,fill,,?,,?,,?,,,,3.5,", "b3,fill,,?,,?,,?,,,,5,", "b3,amend,,?,,?,,?,,,,5.25,", "b3,amend,,?,,?,,?,,,,5,")
	text := sitting(t, book, Options{Sheet: Roof}, "b2 22.25 5.5 22 reach 11", "b2 22.25 5.5 11.5 reach 11", "b3 22 5.5 12")
	says(t, text, "b2 is 22' long? Bays here are 12'", "length 22 is taken for a slip, and 11.5 for what it is")
	says(t, book.log, "b2,size,,22.25,,5.5,,11.5,,,,,,11,", "b3,size,,22,,5.5,,12,")
	job, faults := book.Job()
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	for i, want := range []float64{1.75, 2, 1.5} {
		if x := findings(job, "").Bays[i]; x.Bags != want {
			t.Errorf("%s holds %v bags, want %v", x.Bay.Name, x.Bags, want)
		}
	}
}

// A top-up by the counter that was a slip is taken back, and the counter goes on from before it.
func TestUndoOfACounterTopup(t *testing.T) {
	book := newPaperBook()
	sitting(t, book, Options{}, "b1 22.5 5.5 12 counter 1 3/4", "3 1/2", "top b1 5 1/2", "undo", "b3 5 1/4")
	job, faults := book.Job()
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	for _, x := range findings(job, "").Bays {
		if x.Bags != 1.75 {
			t.Errorf("%s holds %v bags, want 1 3/4:\n%s", x.Bay.Name, x.Bags, book.log)
		}
	}
}

func TestNumberedBays(t *testing.T) {
	book := newPaperBook()
	sitting(t, book, Options{}, "bay 1 22.5 5.5 12 1 3/4", "2 1 3/4", "3 22.5 5.5 12 1 1/2", "top 2 5 lb", "top 10 lb")
	says(t, book.log, "north slope,1,fill", "north slope,2,fill", "north slope,3,fill", "north slope,2,topup,,,,,,,,,,,5 lb", "north slope,2,topup,,,,,,,,,,,10 lb")
}

// A whole line of figures where one was asked for is the bay's line.
func TestWholeLineAtAQuestion(t *testing.T) {
	for _, lines := range [][]string{{"", "22.5 5.5 12 1 3/4"}, {"b1", "22.5", "5.5 12 1 3/4"}, {"b1", "8", "22.5, 5.5, 12, 1 3/4"}, {"b1 22 5 11", "22.5 5.5 12 1 3/4"}} {
		book := newPaperBook()
		sitting(t, book, Options{}, lines...)
		says(t, book.log, "b1,fill,,22.5,,5.5,,12,,,1.75,")
		if strings.Count(book.log, "\n") != 2 {
			t.Errorf("%q:\n%s", lines, book.log)
		}
	}
	book := newPaperBook()
	sitting(t, book, Options{}, "b1 22.5 5.5 12 1 3/4", "", "1 1/2 bags", "b3", "99", "cancel")
	says(t, book.log, "b2,fill,,\"\"\"\",,\"\"\"\",,\"\"\"\",,,1.5,")
	if strings.Contains(book.log, "99") {
		t.Errorf("an impossible width is a count:\n%s", book.log)
	}
}

// A bay to be left open is named only once its count is on disk.
func TestHoldIsToldLate(t *testing.T) {
	book := newPaperBook()
	job, _ := book.Job()
	held := plan.Held{Section: job.Sections[0], Place: 2}
	s, _ := New(book, Options{Hold: []plan.Held{held}})
	if text := s.Feed("b1 22.5 5.5 12 1 3/4"); strings.Contains(text, "OPEN") {
		t.Errorf("told too early: %s", text)
	}
	book.fail = errDisk
	if text := s.Feed("1 3/4"); strings.Contains(text, "OPEN") {
		t.Errorf("told before it was on disk: %s", text)
	}
	says(t, s.Feed(""), "LEAVE b2 OPEN")
}

// What was closed against the evidence stands first in the summary: closed though not CLOSE, and
// closed on a CLOSE that later evidence speaks against.
func TestClosedAgainst(t *testing.T) {
	book := newPaperBook()
	text := sitting(t, book, Options{}, "b1 22.5 5.5 12 1 3/4", "close b1", "b2 22.5 5.5 12 1", "close b2", "probe b1 rod empty at 3", "finish")
	says(t, text, "b2 closed before it was cleared: ▲ ADD", "Closed, look again:", "b1: closed on CLOSE, now PROBE", "b2: closed as ADD")
	if strings.Index(text, "look again:") > strings.Index(text, "Left to do. Log it: section north slope, then do b2") {
		t.Errorf("the closed ones do not stand first:\n%s", text)
	}
}

// TestObservationsTyped: the words of what was seen, with what may stand behind them, land in their
// columns.
func TestObservationsTyped(t *testing.T) {
	got, err := parseWords(say.Units{}, strings.Fields("1 3/4 stall ? feed 2:00; 1:40 stop 6 1/2 block; 9 wire existing old batts machine B hole 2; 8 at 2; 4 hand soft by AB"))
	want := Row{"stall": "?", "feed": "2:00; 1:40", "stop": "6 1/2 block; 9 wire", "existing": "old batts", "machine": "B", "hole": "2; 8", "at": "2; 4", "probe": "hand soft", "by": "AB"}
	if err != nil || !maps.Equal(got.said, want) || got.ways[0][0] != "1 3/4" {
		t.Errorf("%v %v (%v)", got.ways, got.said, err)
	}
	for line, probe := range map[string]string{"rod firm across 1": "rod firm across", "smoke still 50 Pa at 2": "smoke still 50 Pa", "ir even 20 F": "ir even 20 F", "rod firm 1": "rod firm"} {
		if got, err := parseWords(say.Units{}, strings.Fields(line)); err != nil || got.said["probe"] != probe {
			t.Errorf("%s: %v (%v)", line, got.said, err)
		}
	}
	if bad := plain(want, model.US); bad != nil || want["stop"] != "6.5 block; 9 wire" || want["feed"] != "2:00; 1:40" {
		t.Errorf("written %v (%v)", want, bad)
	}
}

// An earlier verdict that changes is said at once.
func TestChangedVerdict(t *testing.T) {
	book := newPaperBook()
	text := sitting(t, book, Options{}, "b1 22.5 5.5 12 1 1/2", "1 3/4", "1 3/4", "1 3/4", "1 3/4", "1 3/4")
	says(t, text, "! b1 is now ■ CLOSE")
}

func TestWrap(t *testing.T) {
	book := newPaperBook()
	text := sitting(t, book, Options{Width: 60}, "b1 22.5 5.5 12 1 1/2 stall no", "help", "list", "show", "finish")
	for _, l := range strings.Split(text, "\n") {
		if n := len([]rune(l)); n > 80 {
			t.Errorf("%d columns: %s", n, l)
		}
	}
}

// Nothing that can be typed makes the session fall over, and whatever it wrote reads back.
func FuzzLines(f *testing.F) {
	f.Add("b1 22.5 5.5 12 1 3/4\nundo\ntop b1 8 lb")
	f.Add("\n22\n5\n12\n1\nstrike\nb1 1\nfinish")
	f.Add("section hip\nb1 wedge 12 3 4 1 rod firm at 3 note x\nshared\n\"\n1 1/2 1/2")
	f.Add("count 0\ncounter\ntop\npiece\namend b1\nundo\nundo")
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > 400 {
			return
		}
		book := newPaperBook()
		s, _ := New(book, Options{})
		start := time.Now()
		for _, l := range strings.Split(text, "\n") {
			s.Feed(l)
			_ = s.Prompt()
		}
		s.Close()
		if d := time.Since(start); d > 3*time.Second {
			t.Errorf("%v for %q", d, text)
		}
		if _, faults := book.Job(); len(faults) > 0 {
			t.Errorf("the log does not read: %v\n%s", faults, book.log)
		}
	})
}

// Without a bag weight the prompt says so at once, and sizes that were typed one by one outlive a
// count that is refused.
func TestRefusedCountKeepsSizes(t *testing.T) {
	book := newPaperBook()
	book.jobCSV = "name,value\njob,boathouse\n"
	text := sitting(t, book, Options{}, "", "22 1/2", "5 1/2", "12", "2", "weight 40 lb", "finish")
	says(t, text, "No bag weight yet: only pounds can be logged", "not written: bags are counted, and nobody gave the bag_weight",
		"Kept: width 22 1/2, depth 5 1/2, length 12")
	if !strings.Contains(book.log, "fill,,22.5,,5.5,,12,") || !strings.Contains(book.log, "40 lb") {
		t.Errorf("the bay is not in the log as typed:\n%s\n%s", book.log, text)
	}
	book = newPaperBook()
	book.jobCSV = "name,value\njob,boathouse\n"
	sitting(t, book, Options{}, "", "22 1/2", "5 1/2", "12", "2", "cancel", "finish")
	if strings.Contains(book.log, "22.5") {
		t.Errorf("a cancelled entry is in the log:\n%s", book.log)
	}
}

// Where the first section is asked for, what is meant otherwise is not taken for its name.
func TestFirstSection(t *testing.T) {
	for _, c := range []struct{ typed, section string }{
		{"help", "north slope"}, {"section hip", "hip"}, {"help desk wall", "help desk wall"}, {"dormer 2", "dormer 2"}, {"", ""},
	} {
		book := newPaperBook()
		book.sections = ""
		lines := []string{c.typed}
		if c.section == "north slope" {
			lines = append(lines, c.section)
		}
		text := sitting(t, book, Options{}, append(lines, "b1 22.5 5.5 12 1 3/4", "finish")...)
		if !strings.Contains(book.log, "\n"+c.section+",b1,fill,,22.5,,5.5,,12,,,1.75,") {
			t.Errorf("%q: not in section %q:\n%s%s", c.typed, c.section, text, book.log)
		}
	}
	book := newPaperBook()
	book.sections = ""
	if text := sitting(t, book, Options{}, "finish"); !strings.Contains(text, "no bay yet") {
		t.Errorf("finish is a section's name: %s", text)
	}
}

// The bags of a section are all that went in, weighed bays at their share of a bag: 1 3/4 + 40 lb /
// 25 lb + 1 1/2 = 4.85. Nothing moves them but material: a top-up of 0 does not.
func TestTotalsTakeWeighedBays(t *testing.T) {
	book := newPaperBook()
	sitting(t, book, Options{}, "b1 22.5 5.5 12 1 3/4", "b2 22.5 5.5 12 40 lb stall", "b3 22.5 5.5 12 1 1/2")
	want := "4 3/4 bags so far. Plan for these bays: 4 3/4 bags" // 4.85; 3 × 10.3125 ft³ × 3.85 lb/ft³ / 25 lb = 4.76
	for _, line := range []string{"top b2 0 stall", "top b2 0 lb stall", "top b1 0 stall", "top b3 0 lb"} {
		if text := sitting(t, book, Options{}, line, "show"); !strings.Contains(text, want) {
			t.Errorf("%s: no %q in\n%s", line, want, text)
		}
	}
	book = newPaperBook()
	text := sitting(t, book, Options{}, "b1 22.5 5.5 12 40 lb stall", "show", "top b1 0 stall", "show")
	if n := strings.Count(text, "1 1/2 bags so far. Plan for these bays: 1 1/2 bags"); n != 2 {
		t.Errorf("said %d times, want 2:\n%s", n, text)
	}
	says(t, book.log, "b1,topup,,,,,,,,,0,")
	job, _ := book.Job()
	if x := findings(job, "").Bays[0]; !math.IsNaN(x.Bags) {
		t.Errorf("a weighed bay counts %v bags once nothing was topped up", x.Bags)
	}
}

// A shape that is told too late, after the sizes were asked for, cannot have them: it is said, and
// asked again.
func TestShapeToldLate(t *testing.T) {
	book := newPaperBook()
	text := sitting(t, book, Options{}, "", "22.5", "5.5", "12", "2 round", "1 3/4")
	says(t, text, "round has other sizes", "b1 ")
	if strings.Count(book.log, "\n") != 2 || !strings.Contains(book.log, "5.5") || strings.Contains(book.log, "round") {
		t.Errorf("written:\n%s", book.log)
	}
	text = sitting(t, newPaperBook(), Options{}, "b1 round", "12", "8", "2 box", "cancel")
	says(t, text, "box has other sizes")
}

// A command typed at a blank of an order's line drops the line and is taken.
func TestCommandInsteadOfABlank(t *testing.T) {
	book := newPaperBook()
	text := sitting(t, book, Options{}, "b1 22.5 5.5 12 1 3/4 stall", "b2 22.5 5.5 12 1 stall", "do b2", "why b2", "do b2", "_")
	says(t, text, "Dropped. Nothing was written.", "▲ ADD  b2 reads 2.42", "of this crew's full bays reads this low")
	if n := strings.Count(book.log, "\n"); n != 3 {
		t.Errorf("%d lines in the log, want a header and 2 rows:\n%s", n, book.log)
	}
}

// Lines of bays that are typed where a section's name is asked for are all kept, in their order.
func TestLinesBeforeTheSection(t *testing.T) {
	book := newPaperBook()
	book.jobCSV, book.sections, book.log = "name,value\njob,boathouse\nbag_weight,25 lb\n", "", book.log[:strings.IndexByte(book.log, '\n')+1]
	text := sitting(t, book, Options{}, "b1 22 1/2 5 1/2 12 1 1/2 stall", "b2 1 1/2", "roof 2", "finish")
	if strings.Count(text, "That is a bay's line, and it is kept.") != 2 {
		t.Errorf("not both lines are kept:\n%s", text)
	}
	for _, row := range []string{"roof 2,b1,fill", "roof 2,b2,fill"} {
		if !strings.Contains(book.log, row) {
			t.Errorf("no row %s in\n%s", row, book.log)
		}
	}
}

// Every form can be asked for, of a bay that is not there yet too, and a figure's field says its unit.
func TestFormsOfANewBay(t *testing.T) {
	s, faults := New(newPaperBook(), Options{})
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	for action, first := range map[string]string{"fill": "shape", "size": "shape", "amend": "shape", "recount": "bags", "topup": "weight", "lost": "weight", "seen": "probe", "closed": "photo",
		"decided": "by", "leave": "note", "strike": "note", "empties": "bags", "count": "counter", "set": "note", "elsewhere": "bags"} {
		f := s.Form(action, "b1")
		if len(f.Fields) == 0 || f.Fields[0].Column != first {
			t.Errorf("%s asks first for %v, want %s", action, f.Fields, first)
		}
		for _, x := range f.Fields {
			if want := map[Keys]bool{TapeKeys: true, FeetKeys: true, StopKeys: true, MassKeys: true}[x.Keys]; want && x.Unit == "" {
				t.Errorf("%s: %s has no unit", action, x.Column)
			}
		}
	}
}
