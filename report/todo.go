package report

import (
	"fmt"
	"math"

	"bayproof/report/say"
	"bayproof/verify"
)

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
	if now := t.w.Now(b); now != "" {
		then += "; now: " + now
	}
	t.item(t.label(b.Verdict)+t.name(b), labelWidth+t.nameWidth, clean(then))
	t.why(b)
}

// lookAgain tells whether a bay was closed though it should not have been, as known then or as known now.
func lookAgain(b *verify.Bay) bool {
	if b.State != verify.Closed {
		return false
	}
	return b.Verdict != verify.Close || closedWord(b) != say.Verdict(verify.Close)
}

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
		wanted := func(b *verify.Bay) bool { return judged(b) && b.Verdict == v && !lookAgain(b) }
		named = t.each(s, named, wanted, t.openBay)
	}
	unfilled := func(b *verify.Bay) bool { return b.State == verify.NotFilled }
	return t.each(s, named, unfilled, t.unfilledBay)
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

func (t *textPage) openBay(b *verify.Bay) {
	now := t.w.Now(b)
	if now == "" {
		now = t.w.Evidence(b)
		t.item(t.label(b.Verdict)+t.name(b), labelWidth+t.nameWidth, clean(now))
		return
	}
	t.item(t.label(b.Verdict)+t.name(b), labelWidth+t.nameWidth, clean(now))
	t.why(b)
	if next := t.w.NextBay(b); next != "" {
		t.paragraph(labelWidth, clean("next bay: "+next))
	}
}

// why says what the verdict rests on: the figures, then every reason that the figures do not say already.
func (t *textPage) why(b *verify.Bay) {
	if evidence := t.w.Evidence(b); evidence != "" {
		t.paragraph(labelWidth, clean(evidence))
	}
	for _, r := range unanswered(b.Reasons) {
		if !say.InEvidence(r.Code) {
			t.paragraph(labelWidth, clean(t.w.Reason(r)))
		}
	}
	t.answered(b)
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
	t.item(pad("□ UNFILLED", labelWidth)+t.name(b), labelWidth+t.nameWidth, text)
}

// sectionLines says what concerns the section as a whole.
func (t *textPage) sectionLines(s *verify.Section, named bool) {
	open := unanswered(s.Reasons)
	if !named && (s.Missing > 0 || len(open) > 0) {
		t.sectionName(s)
	}
	if s.Missing > 0 {
		text := fmt.Sprintf("%d of %d bays not in the log: find them, then fill or log them", s.Missing, s.Expected)
		t.item(pad("□ UNLOGGED", labelWidth), labelWidth, text)
	}
	for _, r := range open {
		if r.Code != verify.NotInLog && r.Code != verify.NotFilledBays {
			t.item(pad("! section", labelWidth), labelWidth, clean(t.w.Reason(r)))
		}
	}
}
