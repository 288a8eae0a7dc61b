package sheets

import (
	"math"
	"strconv"
	"strings"

	"bayproof/model"
	"bayproof/report/say"
	"bayproof/verify"
	"bayproof/verify/plan"
)

// newRoofRow prints what is known about a bay; sizes of a typical bay are printed small, to be measured.
func newRoofRow(u say.Units, b *plan.Bay) roofRow {
	row := roofRow{Bay: b.Name, Planned: b.Typical}
	piece := b.Section.Typical
	if !b.Typical {
		piece = b.Bay.Pieces[0]
	}
	row.Width, row.Depth, row.Long = size(u, piece.Width), size(u, piece.Depth), u.Length(piece.Dims().Length)
	marks := b.Marks
	write := func(x float64) string {
		if math.IsNaN(x) {
			return ""
		}
		return glyphs(say.Bags(x))
	}
	row.Aim = roundBags(b.Bags, b.Section.Settings.BagStep)
	if math.IsNaN(b.Bags) {
		marks = b.MarksMass
		write = func(x float64) string { return massOr(u, x) }
		row.Aim = massOr(u, b.Mass)
	}
	row.Short, row.Fine, row.Look = write(marks.ShortBelow), write(marks.FineFrom), write(marks.LookAt)
	if row.Fine == "" {
		row.Fine, row.Weigh = "weigh", true
	}
	return row
}

// size prints a width or depth as it was read.
func size(u say.Units, r model.Reading) string {
	if r.State == model.Absent {
		return ""
	}
	return u.Size(r.Mean())
}

func massOr(u say.Units, x float64) string {
	if math.IsNaN(x) {
		return ""
	}
	return u.Mass(x, model.Pound)
}

// roundBags prints a count to the nearest step that the crew tells apart.
func roundBags(x, step float64) string {
	if math.IsNaN(x) {
		return ""
	}
	if !(step > 0) {
		return say.Bags(x)
	}
	return glyphs(say.Bags(math.Round(x/step) * step))
}

// glyphs sets the fractions of a count as one character, which is read at arm's length: 1 1/2 becomes 1½.
func glyphs(s string) string {
	return strings.NewReplacer(" 1/8", "⅛", " 1/4", "¼", " 3/8", "⅜", " 1/2", "½", " 5/8", "⅝", " 3/4", "¾", " 7/8", "⅞",
		"1/8", "⅛", "1/4", "¼", "3/8", "⅜", "1/2", "½", "5/8", "⅝", "3/4", "¾", "7/8", "⅞").Replace(s)
}

// plainMass writes a mass that was given, not measured: 25 lb, 23.5 lb.
func plainMass(u say.Units, x float64) string {
	unit := u.Of(verify.Mass)
	return strconv.FormatFloat(x/unit.SI, 'g', 4, 64) + " " + unit.Name
}

// parts returns the fractions of a bag to ring at a stop: those of the step, down to a quarter.
func parts(step float64) []string {
	if step > 0.4 {
		return []string{"½", "1"}
	}
	return []string{"¼", "½", "¾", "1"}
}

// boxes numbers the empties: what is to be loaded and a row more, in whole rows.
func boxes(l plan.Load) []int {
	n := 60
	if l.Bags > 0 {
		n = (int(l.Bags) + boxesInRow + boxesInRow - 1) / boxesInRow * boxesInRow
	}
	all := make([]int, n)
	for i := range all {
		all[i] = i + 1
	}
	return all
}
