package report

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
)

// AppendWhy appends a job as text with what every verdict rests on: what is to be done first, then
// what may be closed and what that could still hide, then the bags, what is worth knowing and what
// the figures mean.
func AppendWhy(dst []byte, f *verify.Findings, colour bool) []byte {
	t := newTextPage(f, colour)
	t.head()
	t.closedEarly(func(b *verify.Bay) (first string, rest []string) {
		first = t.w.ClosedAs(b)
		if now := t.w.Now(b); now != "" {
			first += ". " + now
		}
		return first, t.why(b)
	})
	t.toDo()
	t.decided()
	t.mayClose()
	t.bags()
	t.notes()
	t.legend()
	t.howToLog()
	return append(dst, t.Dst...)
}

// textPage writes one job, part by part in the order of what is to be done with it. Each part is
// left out as a whole where it has nothing to say. say makes the sentences; whatever a file's text
// went into is cleaned here, where it is printed.
type textPage struct {
	screen.Page
	f            *verify.Findings
	w            *say.Words
	labelWidth   int             // of the longest label, "□ NOT FILLED", and a space
	nameWidth    int             // of the longest bay name, and two spaces
	under        *verify.Section // whose name stands above, since the last heading
	afterHeading int             // length of the page behind its last heading
}

// pageWidth is what fits a small screen beside a label, in characters: with English
// labels 72 in all, 74 where bays are not filled.
const pageWidth = 61

// leastLabel is how wide the first column is at least: "○ MEASURE" and two spaces.
const leastLabel = 11

// longestName is how much of a bay's name is shown; it leaves room for what is said about it.
const longestName = 12

// newTextPage makes the page of a job's findings. Its first column is as wide as the longest
// label in the reader's language.
func newTextPage(f *verify.Findings, colour bool) *textPage {
	t := &textPage{Page: screen.Page{Colour: colour}, f: f, w: say.New(f), labelWidth: leastLabel}
	var labels []string
	for _, v := range []verify.Verdict{verify.Add, verify.Probe, verify.Measure, verify.Close} {
		labels = append(labels, t.w.Verdict(v))
	}
	if n := f.Totals; n.NotFilled+n.NotInLog > 0 {
		labels = append(labels, t.w.S(notFilled), t.w.S(notInLog))
	}
	for _, label := range labels {
		t.labelWidth = max(t.labelWidth, utf8.RuneCountInString(label)+3)
	}
	t.Width = pageWidth + t.labelWidth
	for i := range f.Bays {
		t.nameWidth = max(t.nameWidth, min(utf8.RuneCountInString(f.Bays[i].Bay.Name), longestName)+2)
	}
	return t
}

// Labels of bays without a verdict.
const notFilled, notInLog = "NOT FILLED", "NOT IN LOG"

// colours go with the marks of say.Mark and never stand alone: a log is read on paper and by eyes
// that see no red.
var colours = map[verify.Verdict]string{verify.Close: screen.Green, verify.Add: screen.Red, verify.Probe: screen.Magenta, verify.Measure: screen.Yellow}

// label is the mark and word of a verdict, padded to one width.
func (t *textPage) label(v verify.Verdict) string { return t.labelled(v, t.w.Verdict(v)) }

// labelled is label with another word.
func (t *textPage) labelled(v verify.Verdict, word string) string {
	word = say.Mark(v) + " " + word
	return t.Paint(colours[v], word) + screen.Pad("", t.labelWidth-utf8.RuneCountInString(word))
}

// paragraph appends wrapped text with an indent.
func (t *textPage) paragraph(indent int, text string) { t.Told("", indent, text) }

// unfinished is the label of bays that are not filled, or not in the log.
func (t *textPage) unfinished(word string) string {
	return screen.Pad("□ "+t.w.S(word), t.labelWidth)
}

// head says which job it is and how its bays stand, and terms and settings from elsewhere at once:
// without them its files would not give these verdicts.
func (t *textPage) head() {
	s := &t.f.Job.Settings
	parts := []string{t.Paint(screen.Bold, screen.Clean(t.f.Job.Name))}
	for _, part := range []string{s.Site, s.Crew, s.Date} {
		if part != "" {
			parts = append(parts, screen.Clean(part))
		}
	}
	t.Line(strings.Join(parts, ", "))
	t.paragraph(0, t.counts())
	if t.f.Totals.Counts == verify.Contradicted {
		t.paragraph(0, t.w.Counts(t.f))
	}
	if t.first() {
		t.paragraph(0, t.unusual())
	}
}

// first tells whether the line about settings stands at the head: where the job's own files alone
// would not give these verdicts.
func (t *textPage) first() bool { return t.f.Job.Terms != nil || say.Flagged(&t.f.Job.Settings) }

// unusual is the one line about settings: it names those that are not what they are where nothing
// is said; empty where there are none.
func (t *textPage) unusual() string {
	text := ""
	if t.f.Job.Terms != nil {
		text = t.w.F("Judged by %s.", t.w.TermsOf(t.f.Job))
	}
	if set := t.w.NotDefault(t.f.Job); set != "" {
		text += " " + t.w.F("Not the usual settings: %s.", set)
	}
	return strings.TrimSpace(text)
}

// counts says how the bays stand: "14 bays: 9 CLOSE, 2 ADD, 3 MEASURE; 1 not filled; 2 not in the log."
func (t *textPage) counts() string {
	n := t.f.Totals
	text, sep := t.w.Count(n.Bays, "bay", "bays"), ": "
	for _, x := range []struct {
		n int
		v verify.Verdict
	}{{n.Add, verify.Add}, {n.Probe, verify.Probe}, {n.Measure, verify.Measure}, {n.Close, verify.Close}} {
		if x.n > 0 {
			text += fmt.Sprintf("%s%d\u00a0%s", sep, x.n, t.w.Verdict(x.v))
			sep = ", "
		}
	}
	for _, x := range []struct {
		n    int
		text string
	}{{n.NotFilled, t.w.S("%d not filled")}, {n.NotInLog, t.w.S("%d not in the log")}, {n.Decided, t.w.S("%d decided")}, {n.Left, t.w.S("%d left on purpose")}} {
		if x.n > 0 {
			text += "; " + fmt.Sprintf(x.text, x.n)
		}
	}
	var left []string
	for _, b := range t.f.Left {
		left = append(left, b.Bay.Name+" ("+b.Bay.Left.Note+")")
	}
	if len(left) > 0 {
		text += ": " + t.w.List(left)
	}
	return text + "."
}

// bay prints one bay: its verdict and name, then what is said about it, a paragraph each.
func (t *textPage) bay(b *verify.Bay, first string, rest []string) {
	t.said(t.label(b.Verdict)+t.name(b), t.labelWidth+t.nameWidth, first, rest)
}

// name is a bay's name, cut and padded to the page's column.
func (t *textPage) name(b *verify.Bay) string {
	return screen.Pad(screen.Short(screen.Clean(b.Bay.Name), longestName), t.nameWidth)
}

// said prints what is said about one bay or several: text behind a head, and further paragraphs
// under it.
func (t *textPage) said(head string, headWidth int, first string, rest []string) {
	t.Told(head, headWidth, first)
	for _, text := range rest {
		t.paragraph(t.labelWidth, text)
	}
}

// wanted returns a section's bays of which something holds, in the log's order.
func (t *textPage) wanted(s *verify.Section, holds func(*verify.Bay) bool) []*verify.Bay {
	var out []*verify.Bay
	for i := range t.f.Bays {
		if b := &t.f.Bays[i]; b.Bay.Section == s.Section && holds(b) {
			out = append(out, b)
		}
	}
	return out
}

// inSection prints a section's name where the job has more than one, once below a heading.
func (t *textPage) inSection(s *verify.Section) {
	if t.under == s {
		return
	}
	t.under = s
	if len(t.f.Sections) > 1 && s.Section.Name != "" {
		if t.afterHeading != len(t.Dst) {
			t.Blank()
		}
		t.Line(screen.Clean(s.Section.Name))
	}
}

// part begins a part of the page.
func (t *textPage) part(heading string) {
	t.Heading(heading)
	t.afterHeading, t.under = len(t.Dst), nil
}

// bySection prints the bays of which something holds under a heading, by section; nothing where
// there are none.
func (t *textPage) bySection(heading string, holds func(*verify.Bay) bool, print func(*verify.Bay)) {
	first := true
	for i := range t.f.Sections {
		for _, b := range t.wanted(&t.f.Sections[i], holds) {
			if first {
				t.part(heading)
				first = false
			}
			t.inSection(&t.f.Sections[i])
			print(b)
		}
	}
}

// A bay stands in one list only: Closed, look again; To do first; or one of the two lists of good
// bays.

// lookAgain tells whether a bay was closed though it should not have been, as known then or as
// known now.
func lookAgain(b *verify.Bay) bool {
	return b.State == verify.Closed && !b.IsDecided() && (b.Verdict != verify.Close || closedWord(b) != say.Verdict(verify.Close))
}

// closedEarly lists first of all the bays that someone closed on less than a CLOSE, and those
// closed on a CLOSE that later evidence speaks against, with what is to be said about each.
func (t *textPage) closedEarly(about func(*verify.Bay) (first string, rest []string)) {
	t.bySection(t.w.S("Closed, look again"), lookAgain, func(b *verify.Bay) {
		first, rest := about(b)
		t.bay(b, first, rest)
	})
}

// toDo lists every bay that may not be closed yet, what can be done about it now first.
func (t *textPage) toDo() {
	n := t.f.Totals
	// A section may have something to do though none of its bays has: empties that differ, a drift.
	ofSections := func(s verify.Section) bool { return len(unanswered(s.Reasons)) > 0 }
	if n.Add+n.Probe+n.Measure-n.Decided+n.NotFilled+n.NotInLog == 0 && !slices.ContainsFunc(t.f.Sections, ofSections) {
		return
	}
	t.part(t.w.S("To do first"))
	for i := range t.f.Sections {
		t.openBays(&t.f.Sections[i], t.openText)
		t.sectionLines(&t.f.Sections[i])
	}
}

// decided lists the bays that a person closed though they are not CLOSE, with their sureness.
func (t *textPage) decided() {
	t.bySection(t.w.S("Decided by a person"), (*verify.Bay).IsDecided, t.decidedAs)
}

// decidedAs says of one of them who decided, at which sureness and why.
func (t *textPage) decidedAs(b *verify.Bay) { t.bay(b, t.w.DecidedAs(b), nil) }

// openBays lists a section's open bays, the most pressing verdict first, with what about says of
// each, a paragraph each. Bays of one verdict about which the same is said stand together.
func (t *textPage) openBays(s *verify.Section, about func(*verify.Bay) []string) {
	for _, v := range []verify.Verdict{verify.Add, verify.Probe, verify.Measure} {
		var groups [][]*verify.Bay
		var texts [][]string // of each group: what to do, then what speaks for it
		for _, b := range t.wanted(s, func(b *verify.Bay) bool { return b.Judged() && b.Verdict == v && !lookAgain(b) && !b.IsDecided() }) {
			text := about(b)
			at := slices.IndexFunc(texts, func(other []string) bool { return slices.Equal(other, text) })
			if at < 0 {
				at = len(texts)
				groups, texts = append(groups, nil), append(texts, text)
			}
			groups[at] = append(groups[at], b)
		}
		for i, bays := range groups {
			t.inSection(s)
			if text := texts[i]; len(bays) == 1 {
				t.bay(bays[0], text[0], text[1:])
			} else {
				names := t.w.List(ranges(bays))
				if bays[0].Held() != nil { // one order for all of them
					names += ":"
				} else {
					names = t.w.F("%s, each:", names)
				}
				if len(text) == 1 {
					names, text = names+" "+text[0], nil
				}
				t.said(t.label(v), t.labelWidth, names, text)
			}
		}
	}
	for _, b := range t.wanted(s, func(b *verify.Bay) bool { return b.State == verify.NotFilled }) {
		text := t.w.S("not filled yet")
		if owed := t.w.Owed(b.Bay.Owes); owed != "" {
			text = owed
		}
		if !math.IsNaN(b.Volume) {
			text = t.w.F("%s, holds %s", text, t.w.Volume(b.Volume))
		}
		t.inSection(s)
		t.Told(t.unfinished(notFilled)+t.name(b), t.labelWidth+t.nameWidth, text)
	}
}

// openText says what to do about a bay, why, and what would have served.
func (t *textPage) openText(b *verify.Bay) []string {
	var text []string
	if now := t.w.Now(b); now != "" {
		text = append(text, now)
	}
	if r := b.Held(); r != nil { // its own figure is not what keeps it open
		return append(text, t.w.BriefReason(*r))
	}
	text = append(text, t.why(b)...)
	if next := t.w.NextBay(b); next != "" {
		text = append(text, t.w.F("next bay: %s", next))
	}
	return text
}

// why says what the verdict rests on: the figures, then together every reason that the figures do
// not say already.
func (t *textPage) why(b *verify.Bay) []string {
	var text, reasons []string
	if evidence := t.w.BriefEvidence(b); evidence != "" {
		text = append(text, evidence)
	}
	for _, r := range unanswered(b.Reasons) {
		if !say.InEvidence(r.Code) {
			reasons = append(reasons, t.w.BriefReason(r))
		}
	}
	if len(reasons) > 0 {
		text = append(text, strings.Join(reasons, "; "))
	}
	return append(text, t.answered(b)...)
}

// unanswered are the reasons that still hold a verdict.
func unanswered(reasons []verify.Reason) []verify.Reason {
	return slices.DeleteFunc(slices.Clone(reasons), verify.Reason.IsAnswered)
}

// answered says what was suspicious and is no longer.
func (t *textPage) answered(b *verify.Bay) []string {
	var text []string
	for _, r := range b.Reasons {
		if r.IsAnswered() {
			text = append(text, t.w.F("%s: answered, %s", t.w.BriefReason(r), t.w.Answered(r)))
		}
	}
	return text
}

// sectionLines says what concerns the section as a whole.
func (t *textPage) sectionLines(s *verify.Section) {
	open := unanswered(s.Reasons)
	if s.Missing > 0 || len(open) > 0 {
		t.inSection(s)
	}
	if s.Missing > 0 {
		text := t.w.F("%d of %d bays not in the log: find them, then fill or log them", s.Missing, s.Expected)
		t.Told(t.unfinished(notInLog), t.labelWidth, text)
	}
	for _, r := range open {
		if r.Code != verify.NotInLog && r.Code != verify.NotFilledBays { // the lines above say them
			t.Told(screen.Pad("! "+t.w.S("section"), t.labelWidth), t.labelWidth, t.w.Reason(r))
		}
	}
}

// mayClose lists the bays that are shown to be good, one line each: those still open first.
func (t *textPage) mayClose() {
	for _, part := range []struct {
		state   verify.State
		heading string
	}{{verify.Filled, t.w.S("May be closed")}, {verify.Closed, t.w.S("Closed, and good")}} {
		good := func(b *verify.Bay) bool { return isGood(b, part.state) }
		t.bySection(part.heading, good, func(b *verify.Bay) {
			text := strings.ReplaceAll(screen.Pad(t.w.Figure(b), 12), " ", "\u00a0") + " " + t.w.SureAndWhose(b)
			if hides := t.w.CouldHide(b); hides != "" {
				text += "; " + hides
			}
			t.bay(b, text, t.answered(b))
		})
	}
}

// bags says what went in and what had to.
func (t *textPage) bags() {
	if t.f.Totals.Mass == 0 || math.IsNaN(t.f.Totals.Mass) {
		return
	}
	t.part(t.w.S("Bags"))
	for i := range t.f.Sections {
		if s := &t.f.Sections[i]; s.Bays > 0 {
			t.paragraph(0, t.w.Section(s))
		}
	}
	t.balance()
}

// balance says how the job's bags come out, and what the empties make of the counts.
func (t *textPage) balance() {
	t.unaccounted()
	if text := t.w.Counts(t.f); text != "" && t.f.Totals.Counts != verify.Contradicted { // that stands at the head
		t.paragraph(0, text)
	}
}

// unaccounted says how many bags are in no bay, or never left the truck.
func (t *textPage) unaccounted() {
	if text := t.w.Unaccounted(t.f); text != "" {
		t.paragraph(0, text)
	}
}

// notes are the warnings and cautions.
func (t *textPage) notes() {
	lines := say.Notes(t.w, t.f)
	if set := t.unusual(); set != "" && !t.first() {
		lines = slices.Insert(lines, 0, set)
	}
	if len(lines) == 0 {
		return
	}
	t.part(t.w.S("Worth knowing"))
	for _, line := range lines {
		t.Told("- ", 2, line)
	}
}

// legend explains the figures, where there are any.
func (t *textPage) legend() {
	if n := t.f.Totals; n.Close+n.Add+n.Measure+n.Probe > 0 {
		t.Blank()
		t.paragraph(0, t.w.BriefLegend(t.f))
	}
}
