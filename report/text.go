package report

import (
	"fmt"
	"math"
	"strings"
	"unicode/utf8"

	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
)

// AppendText appends a job as text for a small screen: what is to be done first, then what may be closed, then the bags.
func AppendText(dst []byte, f *verify.Findings, colour bool) []byte {
	t := newTextPage(f, colour)
	t.head()
	t.again()
	t.toDo()
	t.mayClose()
	t.bags()
	t.notes()
	t.legend()
	return append(dst, t.dst...)
}

// textPage writes one job.
type textPage struct {
	page
	f         *verify.Findings
	w         *say.Words
	nameWidth int // of the longest bay name, and two spaces
}

// longestName is how much of a bay's name is shown; it leaves room for what is said about it.
const longestName = 14

func newTextPage(f *verify.Findings, colour bool) *textPage {
	t := &textPage{page: page{colour: colour}, f: f, w: say.New(f)}
	for i := range f.Bays {
		t.nameWidth = max(t.nameWidth, min(utf8.RuneCountInString(f.Bays[i].Bay.Name), longestName)+2)
	}
	return t
}

// head says which job it is and how its bays stand.
func (t *textPage) head() {
	s := t.f.Job.Settings
	parts := []string{t.paint(bold, screen.Clean(t.f.Job.Name))}
	for _, part := range []string{s.Site, s.Crew, s.Date} {
		if part != "" {
			parts = append(parts, screen.Clean(part))
		}
	}
	t.line(strings.Join(parts, ", "))
	t.paragraph(0, t.counts())
	if say.Flagged(&s) {
		t.paragraph(0, t.unusual())
	}
}

// unusual names the settings that are not what they are where nothing is said; empty where there are none.
func (t *textPage) unusual() string {
	set := t.w.NotDefault(t.f.Job)
	if set == "" {
		return ""
	}
	return "Not the usual settings: " + screen.Clean(set) + "."
}

// counts says how the bays stand: "14 bays: 9 CLOSE, 2 ADD, 3 MEASURE; 1 not filled, 2 not in the log."
func (t *textPage) counts() string {
	n := t.f.Totals
	var verdicts []string
	for _, x := range []struct {
		n    int
		word string
	}{{n.Add, "ADD"}, {n.Probe, "PROBE"}, {n.Measure, "MEASURE"}, {n.Close, "CLOSE"}} {
		if x.n > 0 {
			verdicts = append(verdicts, fmt.Sprintf("%d\u00a0%s", x.n, x.word))
		}
	}
	text := say.Count(n.Bays, "bay", "bays")
	if len(verdicts) > 0 {
		text += ": " + strings.Join(verdicts, ", ")
	}
	if n.NotFilled > 0 {
		text += fmt.Sprintf("; %d not filled", n.NotFilled)
	}
	if n.NotInLog > 0 {
		text += fmt.Sprintf("; %d not in the log", n.NotInLog)
	}
	return text + "."
}

// sectionName appends a section's name where the job has more than one.
func (t *textPage) sectionName(s *verify.Section) {
	if len(t.f.Sections) > 1 && s.Section.Name != "" {
		if !t.afterHeading {
			t.blank()
		}
		t.line(screen.Clean(s.Section.Name))
	}
}

// name is a bay's name, cut and padded to the page's column.
func (t *textPage) name(b *verify.Bay) string {
	return screen.Pad(screen.Short(screen.Clean(b.Bay.Name), longestName), t.nameWidth)
}

// mayClose lists the bays that are shown to be good, one line each: those still open first.
func (t *textPage) mayClose() {
	for _, part := range []struct {
		state   verify.State
		heading string
	}{{verify.Filled, "May be closed"}, {verify.Closed, "Closed, and rightly"}} {
		wanted := func(b *verify.Bay) bool {
			return b.State == part.state && b.Verdict == verify.Close && !lookAgain(b)
		}
		if !t.any(wanted) {
			continue
		}
		t.heading(part.heading)
		for i := range t.f.Sections {
			t.each(&t.f.Sections[i], false, wanted, t.closeLine)
		}
	}
}

func (t *textPage) any(wanted func(*verify.Bay) bool) bool {
	for i := range t.f.Bays {
		if wanted(&t.f.Bays[i]) {
			return true
		}
	}
	return false
}

func (t *textPage) closeLine(b *verify.Bay) {
	t.line(t.label(b.Verdict) + t.name(b) + screen.Pad(t.w.Figure(b), 12) + "  " + screen.Pad(t.w.SureAndWhose(b), 16) + "  " + t.w.Blind(b))
	for _, text := range t.answered(b) {
		t.paragraph(labelWidth, text)
	}
}

// answered says what was suspicious and is no longer.
func (t *textPage) answered(b *verify.Bay) []string {
	var text []string
	for _, r := range b.Reasons {
		if r.IsAnswered() {
			text = append(text, screen.Clean(t.w.BriefReason(r)+": answered, "+t.w.Answered(r)))
		}
	}
	return text
}

// pageWidth is what fits a small screen, in characters.
const pageWidth = 72

// page collects lines of at most pageWidth characters.
type page struct {
	dst          []byte
	colour       bool
	afterHeading bool // the last line was a heading
}

// Escape sequences of a terminal; colour only repeats what word and shape say.
const (
	plain   = "\x1b[0m"
	bold    = "\x1b[1m"
	red     = "\x1b[31m"
	green   = "\x1b[32m"
	yellow  = "\x1b[33m"
	magenta = "\x1b[35m"
)

func verdictColour(v verify.Verdict) string {
	switch v {
	case verify.Close:
		return green
	case verify.Add:
		return red
	case verify.Probe:
		return magenta
	}
	return yellow
}

// line appends text as it is.
func (p *page) line(text string) {
	p.dst = append(append(p.dst, text...), '\n')
	p.afterHeading = false
}

// blank appends an empty line unless the page begins or already has one.
func (p *page) blank() {
	if n := len(p.dst); n > 1 && !(p.dst[n-1] == '\n' && p.dst[n-2] == '\n') {
		p.dst = append(p.dst, '\n')
	}
}

// heading appends a line that stands out.
func (p *page) heading(text string) {
	p.blank()
	p.line(p.paint(bold, text))
	p.afterHeading = true
}

func (p *page) paint(code, text string) string {
	if !p.colour {
		return text
	}
	return code + text + plain
}

// label is the mark and word of a verdict, padded to one width.
func (p *page) label(v verify.Verdict) string {
	word := say.Mark(v) + " " + say.Verdict(v)
	return p.paint(verdictColour(v), word) + screen.Pad("", labelWidth-utf8.RuneCountInString(word))
}

// labelWidth is the width of the longest label, "□ UNFILLED", and a space.
const labelWidth = 11

// item appends text behind a head that is headWidth characters wide, going on under its own beginning.
func (p *page) item(head string, headWidth int, text string) {
	for _, line := range screen.Hang(head, headWidth, pageWidth, text) {
		p.line(line)
	}
}

// paragraph appends wrapped text with an indent.
func (p *page) paragraph(indent int, text string) { p.item(screen.Pad("", indent), indent, text) }

// column is one column of a small table; the first is left-aligned.
type column struct {
	head  string
	cells []string
}

// table appends columns side by side with two spaces between.
func (t *textPage) table(cols []column) {
	widths := make([]int, len(cols))
	for i, c := range cols {
		for _, cell := range append([]string{c.head}, c.cells...) {
			widths[i] = max(widths[i], utf8.RuneCountInString(cell))
		}
	}
	for row := -1; row < len(cols[0].cells); row++ {
		var parts []string
		for i, c := range cols {
			cell := c.head
			if row >= 0 {
				cell = c.cells[row]
			}
			if i == 0 {
				parts = append(parts, screen.Pad(cell, widths[i]))
			} else {
				parts = append(parts, screen.PadLeft(cell, widths[i]))
			}
		}
		line := strings.TrimRight(strings.Join(parts, "  "), " ")
		if row < 0 {
			line = t.paint(bold, line)
		}
		t.line(line)
	}
}

// The words below are keys of the machine formats; empty where a bay has no such thing.

func stateWord(s verify.State) string {
	switch s {
	case verify.Filled:
		return "filled"
	case verify.Struck:
		return "struck"
	case verify.Closed:
		return "closed"
	}
	return "not-filled"
}

func verdictWord(b *verify.Bay) string {
	if !b.Judged() {
		return ""
	}
	return say.Verdict(b.Verdict)
}

func basisWord(b *verify.Bay) string {
	switch {
	case !b.Judged():
		return ""
	case b.Basis == verify.Crew:
		return "crew"
	}
	return "own"
}

// closedWord is the verdict as it stood when the bay was last closed; none for a bay that was withdrawn.
func closedWord(b *verify.Bay) string {
	if b.State == verify.Struck || len(b.Closings) == 0 {
		return ""
	}
	return say.Verdict(b.Closings[len(b.Closings)-1].Verdict)
}

// levelOf is the level of a bay's interval, where it has one.
func levelOf(b *verify.Bay) float64 {
	if math.IsNaN(b.Density) {
		return math.NaN()
	}
	return b.Level
}
