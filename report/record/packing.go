package record

import (
	"fmt"

	"bayproof/verify"
)

// packingRow is how a section was packed as a whole, in table cells.
type packingRow struct {
	Link, Name, Pooled, Mean, SD, Lower, Drift, Measured string
}

// packings are the rows of all sections that hold material.
func (b *builder) packings() []packingRow {
	var out []packingRow
	for i := range b.f.Sections {
		if s := &b.f.Sections[i]; s.Bays > 0 {
			row := b.packing(s)
			row.Link, row.Name = sectionID(i), brief(sectionName(s.Section))
			out = append(out, row)
		}
	}
	return out
}

func (b *builder) packing(s *verify.Section) packingRow {
	return packingRow{
		Pooled:   orBlank(b.words.Pooled(s)),
		Mean:     b.figure(s.Mean, s.SD),
		SD:       b.density(s.SD, nan(), nan()),
		Lower:    b.density(s.LowerTolerance, nan(), s.Section.Settings.Target),
		Drift:    b.words.Drift(s),
		Measured: fmt.Sprintf("%d of %d", s.Measured, len(baysOf(b.f, s.Section))),
	}
}
