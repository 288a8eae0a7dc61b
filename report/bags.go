package report

import (
	"math"

	"bayproof/report/say"
	"bayproof/report/screen"
)

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
