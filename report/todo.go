package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
)

// toDo lists every bay that may not be closed yet, what can be done about it now first.
func (t *textPage) toDo() {
	n := t.f.Totals
	if n.Add+n.Probe+n.Measure+n.NotFilled+n.NotInLog == 0 && !t.sectionReasons() {
		return
	}
	t.heading("To do first")
	for i := range t.f.Sections {
		s := &t.f.Sections[i]
		named := t.sectionToDo(s)
		t.sectionLines(s, named)
	}
}

func (t *textPage) sectionReasons() bool {
	for i := range t.f.Sections {
		if len(unanswered(t.f.Sections[i].Reasons)) > 0 {
			return true
		}
	}
	return false
}

// sectionToDo lists a section's open bays, the most pressing verdict first, and tells whether there was any.
func (t *textPage) sectionToDo(s *verify.Section) bool {
	named := false
	for _, v := range []verify.Verdict{verify.Add, verify.Probe, verify.Measure} {
		var groups []group
		t.each(s, true, func(b *verify.Bay) bool { return b.Judged() && b.Verdict == v && !lookAgain(b) }, func(b *verify.Bay) {
			groups = together(groups, b, t.openText(b))
		})
		if len(groups) > 0 && !named {
			t.sectionName(s)
			named = true
		}
		for _, g := range groups {
			t.group(g)
		}
	}
	unfilled := func(b *verify.Bay) bool { return b.State == verify.NotFilled }
	return t.each(s, named, unfilled, t.unfilledBay)
}

// group is bays about which the same is said.
type group struct {
	bays []*verify.Bay
	text []string // what to do, then a paragraph for each thing that speaks for it
}

// together adds a bay to the group that says the same, or makes a new one.
func together(groups []group, b *verify.Bay, text []string) []group {
	for i := range groups {
		if slices.Equal(groups[i].text, text) {
			groups[i].bays = append(groups[i].bays, b)
			return groups
		}
	}
	return append(groups, group{[]*verify.Bay{b}, text})
}

// group prints one bay with what to do on its line, several with their names there.
func (t *textPage) group(g group) {
	label := t.label(g.bays[0].Verdict)
	rest := g.text
	if len(g.bays) == 1 {
		t.item(label+t.name(g.bays[0]), labelWidth+t.nameWidth, g.text[0])
		rest = g.text[1:]
	} else {
		var names []string
		for _, b := range g.bays {
			names = append(names, screen.Clean(b.Bay.Name))
		}
		t.item(label, labelWidth, say.List(names)+", each:")
	}
	for _, text := range rest {
		t.paragraph(labelWidth, text)
	}
}

// each prints a section's wanted bays in the log's order, under the section's name unless it stands there already.
func (t *textPage) each(s *verify.Section, named bool, wanted func(*verify.Bay) bool, print func(*verify.Bay)) bool {
	for i := range t.f.Bays {
		b := &t.f.Bays[i]
		if b.Bay.Section != s.Section || !wanted(b) {
			continue
		}
		if !named {
			t.sectionName(s)
			named = true
		}
		print(b)
	}
	return named
}

// openText says what to do about a bay, why, and what would have served.
func (t *textPage) openText(b *verify.Bay) []string {
	var text []string
	if now := t.w.BriefNow(b); now != "" {
		text = append(text, screen.Clean(now))
	}
	text = append(text, t.why(b)...)
	if next := t.w.NextBay(b); next != "" {
		text = append(text, screen.Clean("next bay: "+next))
	}
	return text
}

// why says what the verdict rests on: the figures, then together every reason that the figures do not say already.
func (t *textPage) why(b *verify.Bay) []string {
	var text, reasons []string
	if evidence := t.w.BriefEvidence(b); evidence != "" {
		text = append(text, screen.Clean(evidence))
	}
	for _, r := range unanswered(b.Reasons) {
		if !say.InEvidence(r.Code) {
			reasons = append(reasons, screen.Clean(t.w.BriefReason(r)))
		}
	}
	if len(reasons) > 0 {
		text = append(text, strings.Join(reasons, "; "))
	}
	return append(text, t.answered(b)...)
}

func unanswered(reasons []verify.Reason) []verify.Reason {
	var open []verify.Reason
	for _, r := range reasons {
		if !r.IsAnswered() {
			open = append(open, r)
		}
	}
	return open
}

func (t *textPage) unfilledBay(b *verify.Bay) {
	text := "not filled yet"
	if !math.IsNaN(b.Volume) {
		text += ", holds " + t.w.Volume(b.Volume)
	}
	t.item(screen.Pad("□ UNFILLED", labelWidth)+t.name(b), labelWidth+t.nameWidth, text)
}

// sectionLines says what concerns the section as a whole.
func (t *textPage) sectionLines(s *verify.Section, named bool) {
	open := unanswered(s.Reasons)
	if !named && (s.Missing > 0 || len(open) > 0) {
		t.sectionName(s)
	}
	if s.Missing > 0 {
		text := fmt.Sprintf("%d of %d bays not in the log: find them, then fill or log them", s.Missing, s.Expected)
		t.item(screen.Pad("□ UNLOGGED", labelWidth), labelWidth, text)
	}
	for _, r := range open {
		if r.Code != verify.NotInLog && r.Code != verify.NotFilledBays {
			t.item(screen.Pad("! section", labelWidth), labelWidth, screen.Clean(t.w.Reason(r)))
		}
	}
}

// again lists first of all the bays that someone closed on less than a CLOSE, and those closed on a CLOSE that later
// evidence speaks against.
func (t *textPage) again() {
	if !t.any(lookAgain) {
		return
	}
	t.heading("Closed, look again")
	for i := range t.f.Sections {
		t.each(&t.f.Sections[i], false, lookAgain, t.againBay)
	}
}

func (t *textPage) againBay(b *verify.Bay) {
	then := t.w.ClosedAs(b)
	if now := t.w.BriefNow(b); now != "" {
		then += "; now " + now
	}
	t.item(t.label(b.Verdict)+t.name(b), labelWidth+t.nameWidth, screen.Clean(then))
	for _, text := range t.why(b) {
		t.paragraph(labelWidth, text)
	}
}

// closedEarly lists the same bays with their figures only.
func (t *textPage) closedEarly() {
	if !t.any(lookAgain) {
		return
	}
	t.heading("Closed, look again")
	for i := range t.f.Sections {
		t.each(&t.f.Sections[i], false, lookAgain, func(b *verify.Bay) {
			t.item(t.label(b.Verdict)+t.name(b), labelWidth+t.nameWidth, screen.Clean(t.w.ClosedAs(b)+"; "+t.w.Reads(b)+": "+t.w.Sure(b)))
		})
	}
}

// lookAgain tells whether a bay was closed though it should not have been, as known then or as known now.
func lookAgain(b *verify.Bay) bool {
	if b.State != verify.Closed {
		return false
	}
	return b.Verdict != verify.Close || closedWord(b) != say.Verdict(verify.Close)
}

// bags says what went in and what had to.
func (t *textPage) bags() {
	if t.f.Totals.Mass == 0 || math.IsNaN(t.f.Totals.Mass) {
		return
	}
	t.heading("Bags")
	for i := range t.f.Sections {
		s := &t.f.Sections[i]
		if s.Bays > 0 {
			t.paragraph(0, screen.Clean(t.w.Section(s)))
		}
	}
	if text := t.w.Unaccounted(t.f); text != "" {
		t.paragraph(0, text)
	}
}

// notes are the warnings and cautions.
func (t *textPage) notes() {
	lines := t.w.Notes(t.f)
	if set := t.unusual(); set != "" && !say.Flagged(&t.f.Job.Settings) {
		lines = append([]string{set}, lines...)
	}
	if len(lines) == 0 {
		return
	}
	t.heading("Worth knowing")
	for _, line := range lines {
		t.item("- ", 2, screen.Clean(line))
	}
}

// legend explains the figures, where there are any.
func (t *textPage) legend() {
	if n := t.f.Totals; n.Close+n.Add+n.Measure+n.Probe > 0 {
		t.blank()
		t.paragraph(0, t.w.BriefLegend(t.f))
	}
}
