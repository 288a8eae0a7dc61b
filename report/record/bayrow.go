package record

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"bayproof/model"
	"bayproof/report/say"
	"bayproof/verify"
)

// bayRow is one line of the table of bays.
type bayRow struct {
	mark
	Link, Section, Bay string
	NewSection         bool
	Density, Sure      string
	Interval           interval
	Do, Why, Blind     string
}

// interval is the small drawing of a density with its expanded interval against the target, in px.
type interval struct {
	Shown                bool
	Lo, Hi, Mid          float64
	Target, Aim, Ceiling float64
	Label, Class         string
}

// intervalWidth and intervalPad are the drawing's width and the room for its marker, in px.
const (
	intervalWidth = 210.0
	intervalPad   = 7.0
)

// span is the stretch of densities, kg/m³, that all drawings of the page share.
type span struct{ lo, hi float64 }

// densitySpan covers every interval and the three lines, with a little room.
func (b *builder) densitySpan() span {
	s := span{math.Inf(1), math.Inf(-1)}
	for i := range b.f.Bays {
		bay := &b.f.Bays[i]
		set := bay.Bay.Section.Settings
		s = s.with(set.Target).with(set.Aim).with(set.Ceiling)
		if bay.Judged() {
			s = s.with(bay.Lo).with(bay.Hi).with(bay.Density)
		}
	}
	if !(s.lo < s.hi) {
		return span{0, 1}
	}
	step := b.Of(verify.Density).SI / 2 // half a pound, or ten kilograms
	if b.System == model.SI {
		step = 10
	}
	return span{math.Max(0, math.Floor(s.lo/step)*step), math.Ceil(s.hi/step) * step}
}

func (s span) with(x float64) span {
	if unknown(x) {
		return s
	}
	return span{math.Min(s.lo, x), math.Max(s.hi, x)}
}

// at places a density on a drawing of the given width.
func (s span) at(x float64) float64 {
	return round2(intervalPad + (x-s.lo)/(s.hi-s.lo)*(intervalWidth-2*intervalPad))
}

func (b *builder) bayRows() []bayRow {
	sp := b.densitySpan()
	var out []bayRow
	for _, s := range b.f.Sections {
		for i, bay := range filledOrder(b.f, s.Section) {
			row := b.bayRow(bay, sp)
			row.NewSection = i == 0
			out = append(out, row)
		}
	}
	return out
}

func (b *builder) bayRow(bay placed, sp span) bayRow {
	set := bay.Bay.Bay.Section.Settings
	row := bayRow{mark: markOf(bay.Bay), Link: bayID(bay.At), Section: brief(sectionName(bay.Bay.Bay.Section)), Bay: brief(bay.Bay.Bay.Name), Do: b.doNow(bay.Bay)}
	if !bay.Bay.Judged() {
		row.Density, row.Sure, row.Blind = blank, blank, blank
		return row
	}
	row.Density = b.density(bay.Density, half(bay.Bay), set.Target)
	row.Sure = percent(bay.ProbAtTarget, set.Confidence)
	row.Blind = b.length(bay.BlindLength)
	row.Do, row.Why = b.doAndWhy(bay.Bay)
	row.Interval = interval{
		Shown: true, Class: row.Class, Lo: sp.at(bay.Lo), Hi: sp.at(bay.Hi), Mid: sp.at(bay.Density),
		Target: sp.at(set.Target), Aim: sp.at(set.Aim), Ceiling: sp.at(set.Ceiling),
		Label: row.Density + " " + b.unit(verify.Density) + ", target " + b.Target(set.Target),
	}
	if unknown(bay.Lo) || unknown(bay.Hi) {
		row.Interval.Lo, row.Interval.Hi = row.Interval.Mid, row.Interval.Mid
	}
	return row
}

// doAndWhy says what to do about a bay and the reasons that hold it; what a CLOSE rests on.
func (b *builder) doAndWhy(bay *verify.Bay) (do, why string) {
	if bay.Verdict == verify.Close {
		if bay.Basis == verify.Crew {
			return joined("; ", joined(": ", "with the crew's help", b.words.Crew(bay)), agreeing(bay)), ""
		}
		return joined("; ", "by its own count", agreeing(bay)), ""
	}
	return b.doNow(bay), b.openReasons(bay)
}

// agreeing counts the cores that agree with a bay's count; empty where there are none.
func agreeing(bay *verify.Bay) string {
	n := 0
	for _, c := range bay.Cores {
		if c.Agrees == model.Yes {
			n++
		}
	}
	switch n {
	case 0:
		return ""
	case 1:
		return "a core agrees"
	}
	return fmt.Sprintf("%d cores agree", n)
}

// openReasons are the reasons that nothing has answered, but for those that the row's figures say already.
func (b *builder) openReasons(bay *verify.Bay) string {
	var out []string
	for _, r := range bay.Reasons {
		if !r.IsAnswered() && !say.InEvidence(r.Code) {
			out = append(out, b.reasonText(r))
		}
	}
	return strings.Join(out, "; ")
}

// half is the half-width of a bay's expanded interval.
func half(b *verify.Bay) float64 { return (b.Hi - b.Lo) / 2 }

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
