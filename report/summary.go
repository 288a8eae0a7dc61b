package report

import (
	"fmt"
	"math"
	"strings"

	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
)

// AppendSummary appends the supervisor's view of a job: what was closed that should not have been, pounds in and
// required by section, how the density runs, and the names of the bays that are open.
func AppendSummary(dst []byte, f *verify.Findings, colour bool) []byte {
	t := newTextPage(f, colour)
	t.head()
	t.closedEarly()
	t.pounds()
	t.runs()
	t.open()
	t.notes()
	t.legend()
	return append(dst, t.dst...)
}

// sectionColumn is how much of a section's name a table shows.
const sectionColumn = 20

func sectionLabel(s *verify.Section) string {
	if s.Section.Name == "" {
		return "all bays"
	}
	return screen.Short(screen.Clean(s.Section.Name), sectionColumn)
}

// pounds is the table of what went in against what the target takes.
func (t *textPage) pounds() {
	unit := t.w.Of(verify.Mass).Name
	cols := []column{{head: "section"}, {head: "bays"}, {head: "in, " + unit}, {head: "needs, " + unit}, {head: "share"}, {head: "density ± " + say.Percent(verify.Level, math.NaN())}}
	add := func(name, bays string, in, needs, half float64, density string) {
		row := []string{name, bays, t.w.MassFigure(in, half), t.w.MassFigure(needs, half), say.Share(in, needs), density}
		for i := range cols {
			cols[i].cells = append(cols[i].cells, row[i])
		}
	}
	for i := range t.f.Sections {
		s := &t.f.Sections[i]
		bays := fmt.Sprint(s.Bays)
		if s.Expected >= 0 {
			bays = fmt.Sprintf("%d of %d", s.Bays, s.Expected)
		}
		add(sectionLabel(s), bays, s.Mass, s.MassRequired, s.U*s.Volume, t.w.Pooled(s))
	}
	if n := t.f.Totals; len(t.f.Sections) > 1 {
		filled := n.Close + n.Add + n.Measure + n.Probe
		add("together", fmt.Sprint(filled), n.Mass, n.MassRequired, math.NaN(), "")
	}
	t.blank()
	t.table(cols)
	if text := t.w.Unaccounted(t.f); text != "" {
		t.paragraph(0, text)
	}
}

// runs is the table of how each section was packed, freed of measurement noise.
func (t *textPage) runs() {
	cols := []column{{head: "packed"}, {head: "mean"}, {head: "spread"}, {head: "19 in 20 above"}, {head: "drift"}}
	for i := range t.f.Sections {
		s := &t.f.Sections[i]
		if math.IsNaN(s.Mean) {
			continue
		}
		row := []string{sectionLabel(s), t.w.Density(s.Mean, s.SD, math.NaN()), "", t.w.DensityFigure(s.LowerTolerance, s.SD), t.w.Drift(s)}
		row[1], row[2], _ = strings.Cut(row[1], " ± ")
		for j := range cols {
			cols[j].cells = append(cols[j].cells, row[j])
		}
	}
	if len(cols[0].cells) > 0 {
		t.blank()
		t.table(cols)
	}
}

// open names the bays that are not done, by section.
func (t *textPage) open() {
	var lines []string
	for i := range t.f.Sections {
		if text := t.openIn(&t.f.Sections[i]); text != "" {
			lines = append(lines, sectionLabel(&t.f.Sections[i])+": "+text)
		}
	}
	if len(lines) == 0 {
		return
	}
	t.heading("Open")
	for _, line := range lines {
		t.item("", 0, line)
	}
}

func (t *textPage) openIn(s *verify.Section) string {
	var parts []string
	name := func(word string, wanted func(*verify.Bay) bool) {
		var names []string
		for i := range t.f.Bays {
			if b := &t.f.Bays[i]; b.Bay.Section == s.Section && wanted(b) {
				names = append(names, screen.Clean(b.Bay.Name))
			}
		}
		if len(names) > 0 {
			parts = append(parts, word+" "+strings.Join(names, ", "))
		}
	}
	for _, v := range []verify.Verdict{verify.Add, verify.Probe, verify.Measure} {
		name(say.Mark(v)+" "+say.Verdict(v), func(b *verify.Bay) bool { return b.Judged() && b.Verdict == v })
	}
	name("□ UNFILLED", func(b *verify.Bay) bool { return b.State == verify.NotFilled })
	if s.Missing > 0 {
		parts = append(parts, fmt.Sprintf("□ UNLOGGED %d", s.Missing))
	}
	return strings.Join(parts, "; ")
}
