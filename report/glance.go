package report

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"bayproof/report/screen"
	"bayproof/verify"
)

// AppendText appends a job as a crew reads it at a glance: first how it stands, then what was
// closed too early, then section by section a line for every bay that wants something (mark, word,
// name, what to do and where) and one line for all that want nothing. What a verdict rests on is
// left to AppendWhy.
func AppendText(dst []byte, f *verify.Findings, colour bool) []byte {
	t := newTextPage(f, colour)
	t.head()
	t.closedEarly(func(b *verify.Bay) (first string, rest []string) {
		first = t.w.ClosedOn(b)
		if now := t.w.BriefNow(b); now != "" {
			first += ": " + now
		}
		return first, nil
	})
	t.Blank()
	for i := range f.Sections {
		t.glance(&f.Sections[i])
	}
	t.lastLines()
	return append(dst, t.Dst...)
}

// glance is a section: its name with what went in, what wants something, then its good bays in a
// line.
func (t *textPage) glance(s *verify.Section) {
	if head := screen.Clean(t.w.Section(s)); s.Bays > 0 {
		for _, line := range screen.Wrap(head, t.Width) {
			t.Line(t.Paint(screen.Bold, line))
		}
	} else if s.Section.Name != "" {
		t.Line(t.Paint(screen.Bold, screen.Clean(s.Section.Name)))
	}
	t.under = s // its name stands above
	t.openBays(s, func(b *verify.Bay) []string {
		if r := b.Held(); r != nil && b.Now.Action == "" { // the section's line says what to do
			return []string{t.w.BriefReason(*r)}
		}
		return []string{t.w.BriefNow(b)}
	})
	t.sectionLines(s)
	for _, b := range t.wanted(s, (*verify.Bay).IsDecided) {
		t.decidedAs(b)
	}
	for _, part := range []struct {
		state verify.State
		word  string
	}{{verify.Filled, t.w.Verdict(verify.Close)}, {verify.Closed, t.w.S("closed")}} {
		good := t.wanted(s, func(b *verify.Bay) bool { return isGood(b, part.state) })
		if len(good) == 0 {
			continue
		}
		text := t.w.List(ranges(good))
		// Signs are turned round, since what is no number would be the least of all.
		least := slices.MaxFunc(good, func(a, b *verify.Bay) int { return cmp.Compare(-a.ProbAtTarget, -b.ProbAtTarget) })
		switch {
		case math.IsNaN(least.ProbAtTarget):
		case least.ProbAtTarget > 0.99:
			text += " " + t.w.S("(over 99 % sure)")
		default:
			text += " " + t.w.F("(least sure %s, %s)", least.Bay.Name, t.w.Percent(least.ProbAtTarget, least.Bay.Section.Settings.Confidence))
		}
		t.Told(t.labelled(verify.Close, part.word), t.labelWidth, text)
	}
}

// lastLines say how the job's bags come out, what the reader can mend now, and where the rest
// stands.
func (t *textPage) lastLines() {
	n := t.f.Totals
	t.Blank()
	if n.Mass > 0 {
		t.balance()
	} else {
		t.unaccounted()
	}
	for _, line := range t.w.NotesNow(t.f) {
		t.Told("- ", 2, line)
	}
	switch {
	case n.Add+n.Measure+n.Probe > 0: // with places to go to
		t.paragraph(0, t.w.S("Up counts from the eave or the bottom plate. More: check --why."))
		t.howToLog()
	case n.Close > 0:
		t.paragraph(0, t.w.S("More: check --why."))
	}
}

// howToLog says how an order is logged once it is done, by the first bay that has one.
func (t *textPage) howToLog() {
	for i := range t.f.Bays {
		b := &t.f.Bays[i]
		if !b.Judged() || b.Verdict == verify.Close || b.IsDecided() || t.w.Line(b) == "" {
			continue
		}
		if section := b.Bay.Section.Name; len(t.f.Sections) > 1 && section != "" {
			t.paragraph(0, t.w.F("Log it with bayproof log JOB: section %s, then do %s", screen.Clean(section), screen.Clean(b.Bay.Name)))
		} else {
			t.paragraph(0, t.w.F("Log it with bayproof log JOB: do %s", screen.Clean(b.Bay.Name)))
		}
		return
	}
}

// isGood tells whether a bay is shown to be good and nothing asks for another look.
func isGood(b *verify.Bay, state verify.State) bool {
	return b.State == state && b.Verdict == verify.Close && !lookAgain(b)
}

// ranges are the names of bays, three and more that count on as one: b1–b3, b5, b7–b12.
func ranges(bays []*verify.Bay) (out []string) {
	for i := 0; i < len(bays); i++ {
		first, last := bays[i].Bay.Name, i
		for last+1 < len(bays) && follows(bays[last].Bay.Name, bays[last+1].Bay.Name) {
			last++
		}
		if last-i >= 2 {
			first, i = first+"–"+bays[last].Bay.Name, last
		}
		out = append(out, first)
	}
	return out
}

// follows tells whether one name is the next after another: b10 after b9, with the same letters
// before.
func follows(name, next string) bool {
	letters := strings.TrimRight(name, "0123456789")
	n, err := strconv.Atoi(name[len(letters):])
	return err == nil && next == letters+strconv.Itoa(n+1)
}
