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

// AppendSummary appends the supervisor's view of a job: what was closed that should not have been,
// pounds in and required by section, how the density runs, and the names of the bays that are open.
func AppendSummary(dst []byte, f *verify.Findings, colour bool) []byte {
	t := newTextPage(f, colour)
	t.head()
	t.closedEarly(func(b *verify.Bay) (first string, rest []string) {
		text := t.w.ClosedAs(b) + "; " + t.w.Reads(b) + ": " + t.w.Sure(b)
		if b.Reopened != "" {
			return text, []string{t.w.Since(b)}
		}
		return text, nil
	})
	t.pounds()
	t.runs()
	t.open()
	t.decided()
	t.today()
	t.notes()
	t.legend()
	return append(dst, t.Dst...)
}

// The tables below have a row a section. A section is what one crew packed alike: its bays may be
// summed, and a job's sections, whose targets may differ, only as pounds.

// sectionColumn is how much of a section's name a table shows.
const sectionColumn = 20

// sectionLabel names a section in a table; a job that names none has one section of all its bays.
func (t *textPage) sectionLabel(s *verify.Section) string {
	if s.Section.Name == "" {
		return t.w.S("all bays")
	}
	return screen.Short(screen.Clean(s.Section.Name), sectionColumn)
}

// pounds is the table of what went in against what the target takes.
func (t *textPage) pounds() {
	unit := t.w.Of(verify.Mass).Name
	rows := [][]string{{t.w.S("section"), t.w.S("bays"), t.w.F("in, %s", unit), t.w.F("needs, %s", unit), t.w.S("share"), t.w.F("density ± %s", t.w.Percent(verify.Level, math.NaN()))}}
	add := func(name, bays string, in, needs, half float64, density string) {
		rows = append(rows, []string{name, bays, t.w.MassFigure(in, half), t.w.MassFigure(needs, half), say.Share(in, needs), density})
	}
	for i := range t.f.Sections {
		s := &t.f.Sections[i]
		bays := fmt.Sprint(s.Bays)
		if s.Expected >= 0 {
			bays = t.w.F("%d of %d", s.Bays, s.Expected)
		}
		add(t.sectionLabel(s), bays, s.Mass, s.MassRequired, s.U*s.Volume, t.w.Pooled(s))
	}
	if n := t.f.Totals; len(t.f.Sections) > 1 {
		// No density: sections may have targets of their own.
		add(t.w.S("together"), fmt.Sprint(n.Close+n.Add+n.Measure+n.Probe), n.Mass, n.MassRequired, math.NaN(), "")
	}
	t.table(rows)
	t.unaccounted()
}

// table appends rows after an empty line, their cells side by side with two spaces between. The
// first row is the heads; the first column is left-aligned, the others right.
func (t *textPage) table(rows [][]string) {
	widths := make([]int, len(rows[0]))
	for _, row := range rows {
		for i, cell := range row {
			widths[i] = max(widths[i], utf8.RuneCountInString(cell))
		}
	}
	t.Blank()
	for n, row := range rows {
		line := screen.Pad(row[0], widths[0])
		for i, cell := range row[1:] {
			line += "  " + screen.PadLeft(cell, widths[i+1])
		}
		if n == 0 {
			line = t.Paint(screen.Bold, strings.TrimRight(line, " "))
		}
		t.Line(line)
	}
}

// runs is the table of how each section was packed, freed of measurement noise: mean and spread of
// the density between bays, the density that 19 bays in 20 are above, and whether it moved along
// the order of filling. Rule process alone has them.
func (t *textPage) runs() {
	rows, alike := [][]string{{t.w.S("packed"), t.w.S("mean"), t.w.S("spread"), t.w.S("drift")}}, []string{}
	for i := range t.f.Sections {
		s := &t.f.Sections[i]
		if math.IsNaN(s.Mean) {
			continue
		}
		mean, spread, _ := strings.Cut(t.w.Density(s.Mean, s.SD, math.NaN()), " ± ")
		rows = append(rows, []string{t.sectionLabel(s), mean, spread, t.w.Drift(s)})
		alike = append(alike, t.sectionLabel(s)+": "+t.w.Alike(s))
	}
	if len(rows) > 1 {
		t.table(rows)
	}
	for _, text := range alike {
		t.paragraph(0, text)
	}
}

// open names the bays that are not done, by section.
func (t *textPage) open() {
	var lines []string
	for i := range t.f.Sections {
		s := &t.f.Sections[i]
		var parts []string
		name := func(label string, holds func(*verify.Bay) bool) {
			var names []string
			for _, b := range t.wanted(s, holds) {
				names = append(names, b.Bay.Name)
			}
			if names != nil {
				parts = append(parts, label+" "+strings.Join(names, ", "))
			}
		}
		for _, v := range []verify.Verdict{verify.Add, verify.Probe, verify.Measure} {
			name(say.Mark(v)+" "+t.w.Verdict(v), func(b *verify.Bay) bool { return b.Judged() && b.Verdict == v && !b.IsDecided() })
		}
		name("□ "+t.w.S(notFilled), func(b *verify.Bay) bool { return b.State == verify.NotFilled })
		if s.Missing > 0 {
			parts = append(parts, fmt.Sprintf("□ %s %d", t.w.S(notInLog), s.Missing))
		}
		if len(parts) > 0 {
			lines = append(lines, t.sectionLabel(s)+": "+strings.Join(parts, "; "))
		}
	}
	if len(lines) == 0 {
		return
	}
	t.Heading(t.w.S("Open"))
	for _, line := range lines {
		t.paragraph(0, line)
	}
}

// today lists the bays that were closed on CLOSE and would read otherwise today: they stay closed,
// and nothing is asked of them.
func (t *textPage) today() {
	t.bySection(t.w.S("Closed, and today"), func(b *verify.Bay) bool { return t.w.Today(b) != "" }, func(b *verify.Bay) {
		t.bay(b, t.w.Today(b), nil)
	})
}
