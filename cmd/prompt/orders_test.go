package prompt

import (
	"regexp"
	"strings"
	"testing"

	"bayproof/verify"
)

// unsaid is a job in which nobody said whether the flow stalled.
func unsaid() *paperBook {
	book := newPaperBook()
	book.jobCSV = strings.Replace(book.jobCSV, "to_stall,yes\n", "", 1)
	return book
}

// Whoever types to the letter what the screen says logs it for the bay that it speaks of, though
// another is the next one.
func TestObeyedToTheLetter(t *testing.T) {
	tell := regexp.MustCompile(`Log it: (do \S+)`)
	for _, c := range []struct {
		book    *paperBook
		lines   []string // up to the order
		answers []string
		row     string // that it comes to
	}{
		{unsaid(), []string{"b1 22.5 5.4;5.6;5.5 12 1 3/4"}, []string{"yes"}, "b1,seen,,,,,,,,,,,,,,,,yes,"},
		{unsaid(), []string{"b1 22.5 5.4;5.6;5.5 12 1 3/4", "1 3/4", "1 3/4", "show"}, []string{"no stall"}, "b1,seen,,,,,,,,,,,,,,,,no,"},
		{newPaperBook(), []string{"b1 22.5 5.5 12 1 1/2 hole 0"}, []string{"6 lb", "yes"}, "b1,topup,,,,,,,,,,,6 lb,,138 in,,,yes,"},
		{newPaperBook(), []string{"b1 22.5 5.5 12 1 1/2 hole 0", "top b1 0 stall", "b1"}, []string{"5.4; 5.5; 5.6"}, "b1,size,,,,5.4; 5.5; 5.6,"},
	} {
		text := sitting(t, c.book, Options{}, c.lines...)
		said := tell.FindAllStringSubmatch(text, -1)
		if said == nil {
			t.Fatalf("no order in:\n%s", text)
		}
		text = sitting(t, c.book, Options{}, append([]string{said[len(said)-1][1]}, c.answers...)...)
		says(t, text, "now: ")
		says(t, c.book.log, c.row)
	}
}

// Words alone may be about the bay before or about the next one: the line says so and names both,
// and either that is typed then is taken.
func TestWordsAloneAskWhichBay(t *testing.T) {
	for _, words := range []string{"stall yes", "bulge 3/4", "reach 11", "rod firm at 9", "depth 5.4;5.5;5.6", "note wet"} {
		book := unsaid()
		s, _ := New(book, Options{})
		s.Feed("b1 22.5 5.5 12 1 3/4")
		before := book.log
		if text := s.Feed(words); !strings.Contains(strings.Join(strings.Fields(text), " "), "Which bay? Type b1 "+words+", or b2 "+words) || book.log != before || s.ask != nil {
			t.Errorf("%s: %s%s", words, text, book.log)
		}
		s.Feed("b1 " + words)
		if rows := strings.Count(book.log, "north slope,b1,"); rows != 2 || s.bad != nil {
			t.Errorf("b1 %s: not written for b1:\n%s", words, book.log)
		}
	}
	book := newPaperBook() // where the bay that comes next is in the log it is meant, and with its name it goes on
	says(t, sitting(t, book, Options{}, "size b1 22.5 5.5 12", "reach 11", "b1 1 3/4", "b2 reach 11", "1 1/4", "cancel"), "b1 measured", "b2 depth")
}

// A setting is no bay, a section's name in front of a bay goes nowhere by itself, and an unknown
// word with figures behind it is a slip.
func TestNoBayOfASlip(t *testing.T) {
	for line, says := range map[string]string{
		"bag_weight,25 lb":           "bag_weight is a setting. Write it in job.csv",
		`--bag-weight "25 lb"`:       "bag_weight is a setting",
		"aim 3.9":                    "aim is a setting",
		"hip b1 22.5 5.5 12 1 1/2":   "hip is another section. Type section hip, then",
		"do hip b1":                  "hip is another section",
		"leave hip b3 flue":          "hip is another section",
		"decide hip b1 AB: it is on": "hip is another section",
		"set bag_step to 1/2":        "bag_step is a setting",
		"set target 3.6":             "target is a setting",
		"set lot 12":                 "",
		"elsewhere 2 3 attic":        "How much went where?",
		"elsewhere 12 lb 2 attic":    "How much went where?",
		"elsewhere 2 1/2 attic":      "",
		"elsewhere weight 3 lb torn": "",
		"elsewhere bags 2 3 lb torn": "How much went where?",
		"elsewhere 3 lb counter 5 x": "",
		"elsewhere 2 attic":          "",
		"elsewhere attic":            "How much went where?",
		"b5 22.5 5.5":                "Type b5 width depth length bags. Or b5 and the count",
		"size b5 22.5":               "Type size b5 width depth length. Or size b5 alone",
		"amend b1 22.5 5.5":          "Type amend b1 width depth length bags.",
		"piece b1 22":                "As in: piece b1 14.5 5.5 3",
		"diameter 2.5 depth 5.5":     "No bay here is called diameter",
		"tpo b1 3 lb":                "Did you mean top?",
		"decide b1 yes: yes":         "Decide what?",
		"b2 22.5 5.5 12 1 3/4":       "",
		"bay porch 22.5 5.5 12 1":    "",
		"close b1 reach 11":          "closed takes no reach. Type that apart.",
		"close b1 12":                "closed takes no 12.",
		"close b1 by AB note wet":    "",
		"strike b1 reach 11":         "strike takes no reach.",
		"strike b1 by AB":            "",
		"probe b1 rod firm 9":        `What is "9"?`,
		"probe b1 rod firm at 9":     "",
		"core b1":                    "As in: core b7 27 g",
		"core b1 27 g":               "How big is it?",
	} {
		book := newPaperBook()
		s, _ := New(book, Options{})
		s.Feed("b1 22.5 5.5 12 1 3/4")
		before := book.log
		if text := strings.Join(strings.Fields(s.Feed(line)), " "); !strings.Contains(text, says) || (book.log == before) != (says != "") {
			t.Errorf("%s: %s%s", line, text, book.log)
		}
	}
}

// A setting that is mended while the prompt is open, and a count of empties that is counted again,
// leave no order standing.
func TestCarriedOut(t *testing.T) {
	book := unsaid()
	s, _ := New(book, Options{})
	s.Feed("b1 22.5 5.4;5.6;5.5 12 1 3/4")
	book.jobCSV += "to_stall,yes\n"
	for _, line := range []string{"do b1", "why b1"} {
		if text := s.Feed(line); strings.Contains(text, "by itself") {
			t.Errorf("%s: %s", line, text)
		}
	}
	book = newPaperBook()
	s, _ = New(book, Options{})
	for _, line := range []string{"b1 22.5 5.5;5.4;5.6 12 1 3/4 hole 0", "1 3/4", "1 3/4", "section hip", "b1 22.5 5.5;5.4;5.6 12 1 3/4 hole 0", "1 3/4"} {
		s.Feed(line)
	}
	says(t, s.Feed("empties 6"), "Count the empties again.", "Log it: empties recount and how many")
	says(t, s.Feed("do b1")+s.Prompt(), "empties recount [?]")
	if text := s.Feed("6"); strings.Contains(text, "again") {
		t.Errorf("counted again, and asked for again: %s", text)
	}
	says(t, s.Feed("do b1")+s.Prompt(), "decide b1 [?]")
}

// A bay that is left empty is not the next one: bare figures would fill it.
func TestLeftIsNotNext(t *testing.T) {
	book := newPaperBook()
	sitting(t, book, Options{}, "b1 22.5 5.5 12 1 3/4", "leave b2 flue", "1 3/4")
	says(t, book.log, "north slope,b3,fill,")
	text := sitting(t, book, Options{}, "leave b4 wet", "stall yes", "do north slope b1", "fix width 22")
	if says(t, text, "Which bay? Type b3 stall yes, or b5 stall yes.", "b1: nothing to do."); strings.Contains(book.log, "amend") {
		t.Error(book.log)
	}
}

// Empties that a form counts again are those that contradict the counts: a section's own, or the
// job's.
func TestRecountByForm(t *testing.T) {
	for line, row := range map[string]string{"empties north slope 2": "north slope,,empties,,,,,,,,,6,", "empties 2": "\n,,empties,,,,,,,,,6,"} {
		book := newPaperBook()
		s, _ := New(book, Options{Bare: true})
		for _, line := range []string{"b1 22.5 5.5;5.4;5.6 12 1 3/4 hole 0", "1 3/4", "1 3/4", line} {
			s.Feed(line)
		}
		if form, ok := s.Do("b1"); !ok || form.Action != "empties" {
			t.Fatalf("%s: %+v", line, form)
		}
		s.Enter("empties", "b1", Row{"bags": "6", "note": "recount"})
		if says(t, book.log, row); s.f.Bays[0].Verdict != verify.Close {
			t.Errorf("%s: counted again, and b1 stands as before", line)
		}
	}
}

// A fix that was not understood keeps no later one out, and the counter beside a weight is mended in
// its own row, not in the fill's.
func TestFixAgain(t *testing.T) {
	book := newPaperBook()
	text := sitting(t, book, Options{}, "b1 22.5 5.5 12 1 1/2", "fix width", "fix width 22")
	if says(t, book.log, "b1,amend,,22,"); strings.Contains(text, "The line above") {
		t.Error(text)
	}
	book = newPaperBook()
	book.jobCSV += "counting,running\n"
	sitting(t, book, Options{}, "b1 22.5 5.5 12 1 1/2", "top b1 3 lb", "fix counter 1 3/4")
	says(t, book.log, "b1,topup,,,,,,,,,,1.75,3 lb,")
	if strings.Contains(book.log, "amend") {
		t.Error(book.log)
	}
	if text := sitting(t, book, Options{}, "size b2 22.5 5.5 12", "top b2 3 lb"); strings.Contains(text, "still. If it moved") {
		t.Error(text)
	}
}

// Each blank is asked for until it reads, so that a slip costs one answer and not the line.
func TestBlanksAreAskedUntilTheyRead(t *testing.T) {
	book := newPaperBook()
	s, _ := New(book, Options{})
	for _, line := range []string{"b1 22.5 5.4;5.6;5.5 12 39 lb", "b2 22.5 5.4;5.6;5.5 12 40 lb", "b3 22.5 5.4;5.6;5.5 12 25 lb hole 0", "do b3"} {
		s.Feed(line)
	}
	for _, c := range []struct{ answer, says, asks string }{
		{"gave way", "One of: firm, soft, empty", "rod [firm, soft, empty] along at _"},
		{"rod empty", "", "rod empty along at [?]"},
		{"the middle", "no part of a number", "along at [?]"},
		{"at 8", "ADD  b3", ""},
		{"do b3", "new hole 8' up", "top b3 [?] lb hole 8' stall _"},
		{"firm", "top: a figure is missing", "top b3 [?] lb"},
		{"14", "", "stall [yes, no]"},
		{"maybe", "One of: yes, no", "stall [yes, no]"},
		{"yes", "b3: rod across at 8' up. Log it: do b3", ""},
	} {
		if text := s.Feed(c.answer); !strings.Contains(text, c.says) || !strings.Contains(s.Prompt(), c.asks) {
			t.Fatalf("%s: %s%s", c.answer, text, s.Prompt())
		}
	}
}

// Sizes typed again with what went in are refused, and the line that is named instead is taken.
func TestSizesTypedAgain(t *testing.T) {
	book := newPaperBook()
	text := sitting(t, book, Options{}, "b1 22.5 5.5 12", "b1 22.5 5.5 12 1 3/4", "b1 1 3/4")
	says(t, strings.Join(strings.Fields(text), " "), "not written: b1 has its sizes. Type b1 and what went in alone.")
	says(t, book.log, "b1,size,,22.5,,5.5,,12,", "b1,fill,,,,,,,,,1.75,")
}

// Whatever is told not to be written is what undo means, and is counted for who pipes lines in.
func TestUndoMeansWhatWasNotWritten(t *testing.T) {
	for _, line := range []string{"core b1 27 g", "box 3 lb", "empties attic 6", "fix b1 foo 3", "fix b1 core 3", "top b9 5 lb", "leave hip b1 flue", "close b1 reach 11", "set target 3.6",
		"recount b1 2 3", "lost b1 3 4", "piece b1 14.5", "elsewhere attic", "decide b1 AB", "leave b3"} {
		book := newPaperBook()
		s, _ := New(book, Options{})
		s.Feed("b1 22.5 5.5 12 1 3/4")
		before := book.log
		s.Feed(line)
		if n := s.Refused(); n != 1 {
			t.Errorf("%s: %d lines refused", line, n)
		}
		if says(t, s.Feed("undo"), "The line above was not written."); book.log != before || s.Refused() != 0 {
			t.Errorf("%s: undo took back what stands above it: %s", line, book.log)
		}
	}
}

// A _ in the name of a bay, or in an answer, is a letter of it and no blank.
func TestBlankIsNoLetter(t *testing.T) {
	for _, c := range []struct {
		lines []string
		row   string
	}{
		{[]string{"bay b_4 22.5 5.5 12 1 1/2 hole 0", "do b_4", "6 lb", "yes"}, "b_4,topup,,,,,,,,,,,6 lb,"},
		{[]string{"bay _4 22.5 5.5 12 1 1/2 hole 0", "do _4", "6 lb", "yes"}, "_4,topup,,,,,,,,,,,6 lb,"},
		{[]string{"b1 22.5 5.5 12 1 3/4 reach 10", "probe b1 stop 11 ?", "do b1", "A_B", "see _ in photo_7"}, "A_B,see _ in photo_7,"},
	} {
		book := newPaperBook()
		sitting(t, book, Options{}, c.lines...)
		says(t, book.log, c.row)
	}
}

// A line that names a bay of another section is told so, and figures and words are taken for no
// name.
func TestNamesNoBay(t *testing.T) {
	for _, c := range []struct {
		lines []string
		says  string
	}{
		{[]string{"b1 22.5 5.5 12 1 3/4", "section hip", "fix north slope b1 depth 5.4"}, "north slope is another section."},
		{[]string{"b1 22.5 5.5 12 1 3/4", "leave b2 flue", "top 5 lb"}, "Which bay? list shows them."},
		{[]string{"b1 22.5 5.5 12 1 3/4", "leave b2 flue", "fix width 22"}, "Which bay? list shows them."},
		{[]string{"b1 22.5 5.5 12 1 3/4", "top b9 5 lb"}, "No bay here is called b9."},
	} {
		says(t, strings.Join(strings.Fields(sitting(t, newPaperBook(), Options{}, c.lines...)), " "), c.says)
	}
}

// What was found at one of several places is asked for its place: a look that found something there
// says nothing of the others. What is firm is firm at all of them.
func TestFoundAtOneOfSeveralPlaces(t *testing.T) {
	for _, c := range []struct {
		answers []string
		row     string
	}{
		{[]string{"soft", "10'10\""}, "b2,seen,,,,,,,,,,,,,,,,,hand soft,130 in,"},
		{[]string{"firm"}, "b2,seen,,,,,,,,,,,,,,,,,hand firm,114; 122; 130; 138 in,"},
	} {
		book := newPaperBook()
		book.sections = "section,kind,bays,face,holes\nnorth slope,rafter,12,netting,slit\n"
		lines := []string{"b1 22.5 5.4;5.6;5.5 12 43 lb bulge 3/4 hole 0", "b2 22.5 5.4;5.6;5.5 12 43 lb bulge 3/4 hole 0 reach 8", "do b2"}
		sitting(t, book, Options{}, append(lines, c.answers...)...)
		says(t, book.log, c.row)
	}
}

// A sheet's figure goes to the bay whose order asks for it, though another one waits before it.
func TestWaitsForTheTruckSheet(t *testing.T) {
	book := newPaperBook()
	book.log += strings.Repeat("north slope,bX,size,,22.5,,5.5,,12,,,,,,11,,,,,,,,,,,2026-03-02T14:20:00Z\n", 3)
	for _, name := range []string{"b1", "b2", "b3"} {
		book.log = strings.Replace(book.log, "bX", name, 1)
	}
	sitting(t, book, Options{}, "do b3", "1 3/4")
	says(t, book.log, "north slope,b3,fill,,,,,,,,,1.75,")
}

// What went in is asked for at the truck, not on the roof sheet, which would not take it.
func TestRoofSheetAsksForNoCount(t *testing.T) {
	book := newPaperBook()
	s, _ := New(book, Options{Sheet: Roof})
	s.Feed("b1 22.5 5.5 12 reach 11")
	if says(t, s.Feed("do b1"), "logged at the truck"); s.ask != nil {
		t.Error(s.Prompt())
	}
}

// A yes to a question for a figure is no answer, and the question stays: the figures after it are
// the sizes that they were asked as.
func TestYesIsNoFigure(t *testing.T) {
	book := newPaperBook()
	sitting(t, book, Options{}, "yes", "b1", "yes", "22.5", "yes", "5.5", "12", "yes", "1 3/4", "yes")
	says(t, book.log, "north slope,b1,fill,,22.5,,5.5,,12,,,1.75,")
}

// Orders are said in pounds, and a bare figure on top is one of bags: that is said, with the lines
// that put it right, whatever was typed since.
func TestPoundsTypedAsBags(t *testing.T) {
	book := newPaperBook()
	text := sitting(t, book, Options{}, "b1 22.5 5.5 12 1 1/2", "top b1 6", "b2 22.5 5.5 12 1 3/4", "strike b1 topup", "top b1 6 lb")
	says(t, strings.Join(strings.Fields(text), " "), "b1: 6 bags more make it 18.18 lb/ft³. Meant lb? strike b1 topup, then: top b1 6 lb")
	if strings.Contains(text, "The amend stands") {
		t.Errorf("a strike is told as an amend:\n%s", text)
	}
	says(t, book.log, "b1,strike,,,,,,,,,,,,,,,,,,,,,,topup,", "b1,topup,,,,,,,,,,,6 lb,")
}

// Whoever types over a question of an order has the line taken that he typed, and the order dropped:
// nobody decides by a command.
func TestTypedOverAnOrder(t *testing.T) {
	for _, c := range []struct{ over, row string }{
		{"b2 22.5 5.5 12 1 3/4", "north slope,b2,fill,"},
		{"close b1", "north slope,b1,closed,"},
		{"section hip", ""},
	} {
		for _, answers := range [][]string{nil, {"AB"}} {
			if c.over == "section hip" && answers != nil {
				continue // a reason may begin so
			}
			book := newPaperBook()
			s, _ := New(book, Options{})
			for _, line := range append([]string{"b1 22.5 5.5 12 1 3/4 reach 10", "probe b1 stop 11 ?", "do b1"}, answers...) {
				s.Feed(line)
			}
			says(t, s.Prompt(), "decide b1 ")
			says(t, s.Feed(c.over), "Dropped.")
			if says(t, book.log, c.row); strings.Contains(book.log, "decided") {
				t.Errorf("%s: %s", c.over, book.log)
			}
		}
	}
}

// An answer to a blank may hold what stands around the blank.
func TestBlankFilled(t *testing.T) {
	for _, c := range [][4]string{
		{"top b1 ", "8", " lb stall _", "top b1 8 lb stall _"},
		{"top b1 ", "8 lb", " lb stall _", "top b1 8 lb stall _"},
		{"top b1 ", "8lb", " lb stall _", "top b1 8lb stall _"},
		{"top b1 ", "3.6 kg", " lb stall _", "top b1 3.6 kg stall _"},
		{"top b1 8 lb stall ", "no stall", "", "top b1 8 lb stall no"},
		{"top b1 8 lb stall ", "stall yes", "", "top b1 8 lb stall yes"},
		{"size b1 depth ", "5.4", "; _; _", "size b1 depth 5.4; _; _"},
		{"size b1 depth ", "5.4; 5.5;5.6", "; _; _", "size b1 depth 5.4; 5.5;5.6"},
		{"size b1 width ", "22; 22.5", " depth _", "size b1 width 22; 22.5 depth _"},
		{"probe b1 rod ", "rod firm", " along at _", "probe b1 rod firm along at _"},
		{"probe b1 smoke ", "still 50 Pa", " 50 Pa at 9'", "probe b1 smoke still 50 Pa at 9'"},
		{"core b1 ", "27 g", " g diameter _", "core b1 27 g diameter _"},
		{"decide b1 ", "AB", ": _", "decide b1 AB: _"},
		{"decide b1 ", "AB: seen", ": _", "decide b1 AB: seen"},
	} {
		if filled, behind := blankFilled(c[0], c[1], c[2]); filled+behind != c[3] {
			t.Errorf("%q answered %q: %q, want %q", c[0]+"_"+c[2], c[1], filled+behind, c[3])
		}
	}
}
