package record

import (
	"math"
)

// barFigure shows bags planned and used by section; it is drawn without a script.
type barFigure struct {
	Title string
	Rows  []barRow
}

// barRow is one section's bars, as shares of the longest, and its figures.
type barRow struct {
	Name                    string
	Required, Planned, Used float64 // 0 to 100
	RequiredText            string
	PlannedText, UsedText   string
	Empties                 string
}

// bagFigure compares what the target asks for, what the aim asks for, and what was used; nil where no bags were counted.
func (b *builder) bagFigure() *barFigure {
	longest := 0.0
	type counts struct{ required, planned, used float64 }
	all := make([]counts, len(b.f.Sections))
	for i := range b.f.Sections {
		s := &b.f.Sections[i]
		set := s.Section.Settings
		all[i] = counts{s.BagsRequired, s.BagsRequired * set.Aim / set.Target, s.Bags}
		for _, x := range []float64{all[i].required, all[i].planned, all[i].used} {
			if !unknown(x) {
				longest = math.Max(longest, x)
			}
		}
	}
	if longest == 0 {
		return nil
	}
	f := &barFigure{Title: b.bagTitle()}
	for i := range b.f.Sections {
		s, n := &b.f.Sections[i], all[i]
		row := barRow{
			Name: brief(sectionName(s.Section)), Required: bar(n.required, longest), Planned: bar(n.planned, longest), Used: bar(n.used, longest),
			RequiredText: number(n.required, 1), PlannedText: number(n.planned, 1), UsedText: bags(n.used), Empties: blank,
		}
		if !unknown(s.Section.BagsUsed) {
			row.Empties = bags(s.Section.BagsUsed)
		}
		f.Rows = append(f.Rows, row)
	}
	return f
}

func bar(x, longest float64) float64 {
	if unknown(x) {
		return 0
	}
	return round2(100 * x / longest)
}

func (b *builder) bagTitle() string {
	short := 0
	for _, s := range b.f.Sections {
		if s.Bags < s.BagsRequired {
			short++
		}
	}
	if short == 0 {
		return "Every section took at least the bags that the target asks for"
	}
	return plural(short, "section took", "sections took") + " fewer bags than the target asks for"
}
