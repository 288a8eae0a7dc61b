package record

import (
	"strconv"

	"bayproof/verify"
)

// sectionRow is one line of the table of sections.
type sectionRow struct {
	Name, Bays, Expected, Area, Covers, Required, Installed, Over, Bags, Density, Close string
	Light, Missing                                                                      bool // too few pounds, too few bays
	Link                                                                                string
}

func (b *builder) sectionRow(s *verify.Section, i int) sectionRow {
	row := sectionRow{
		Name: brief(sectionName(s.Section)), Link: sectionID(i), Bays: strconv.Itoa(s.Bays), Expected: blank, Area: b.area(s.Area), Covers: b.area(s.Covers),
		Required: b.mass(s.MassRequired), Installed: b.mass(s.Mass), Over: b.signedMass(s.Mass - s.MassRequired), Bags: bags(s.Bags),
		Density: orBlank(b.words.Pooled(s)), Light: s.Mass < s.MassRequired, Missing: s.Missing > 0,
	}
	if s.Expected >= 0 {
		row.Expected = strconv.Itoa(s.Expected)
	}
	closed := 0
	for _, bay := range baysOf(b.f, s.Section) {
		if bay.Bay.Judged() && bay.Verdict == verify.Close {
			closed++
		}
	}
	row.Close = strconv.Itoa(closed)
	return row
}

func (b *builder) totalRow() sectionRow {
	t := b.f.Totals
	expected, area, covers := 0, 0.0, 0.0
	for _, s := range b.f.Sections {
		expected += max(s.Expected, s.Bays)
		area += s.Area
		covers += s.Covers // NaN where a section does not say
	}
	return sectionRow{
		Name: "Job", Bays: strconv.Itoa(t.Bays - t.NotFilled), Expected: strconv.Itoa(expected), Area: b.area(area), Covers: b.area(covers),
		Required: b.mass(t.MassRequired), Installed: b.mass(t.Mass), Over: b.signedMass(t.Mass - t.MassRequired),
		Bags: bags(t.Bags), Density: "", Close: strconv.Itoa(t.Close), Light: t.Mass < t.MassRequired, Missing: t.NotInLog > 0,
	}
}

func (b *builder) signedMass(x float64) string {
	if x > 0 {
		return "+" + b.mass(x)
	}
	return b.mass(x)
}
