package record

import (
	"math"
	"strconv"

	"bayproof/model"
	"bayproof/report/say"
	"bayproof/verify"
)

// show writes quantities in the job's units: sentences as package say does, and plain numbers for table cells, whose
// heading carries the unit.
type show struct{ say.Units }

func showFor(job *model.Job) show { return show{say.UnitsOf(job)} }

// blank stands in a cell where there is no figure.
const blank = "–"

func unknown(x float64) bool { return math.IsNaN(x) || math.IsInf(x, 0) }

// number writes x with the given places behind the point.
func number(x float64, places int) string {
	if unknown(x) {
		return blank
	}
	s := strconv.FormatFloat(x, 'f', places, 64)
	if x < 0 && !hasDigit(s[1:]) {
		return s[1:]
	}
	return s
}

func hasDigit(s string) bool {
	for _, c := range s {
		if c >= '1' && c <= '9' {
			return true
		}
	}
	return false
}

func (s show) unit(d verify.Dim) string { return s.Of(d).Name }

// mass, length and area are cells: no unit, places fit for a bay.
func (s show) mass(x float64) string   { return number(x/s.Of(verify.Mass).SI, 1) }
func (s show) length(x float64) string { return number(x/s.Of(verify.Length).SI, s.fine(1)) }
func (s show) area(x float64) string   { return number(x/s.Area().SI, s.coarse(1)) }

// density is a cell with the digits that its half-width allows.
func (s show) density(x, half, limit float64) string {
	if unknown(x) {
		return blank
	}
	return s.Density(x, half, limit)
}

// figure is a density with the digits that its half-width allows, without that.
func (s show) figure(x, half float64) string {
	if unknown(x) {
		return blank
	}
	return s.DensityFigure(x, half)
}

func (s show) size(x float64) string {
	if unknown(x) {
		return blank
	}
	return s.Size(x)
}

func (s show) fine(us int) int {
	if s.System == model.SI {
		return us + 1
	}
	return us
}

func (s show) coarse(si int) int {
	if s.System == model.SI {
		return si
	}
	return 0
}

func bags(x float64) string {
	if unknown(x) {
		return blank
	}
	return say.Bags(x)
}

func percent(p, limit float64) string {
	if unknown(p) {
		return blank
	}
	return say.Percent(p, limit)
}

// plural writes a count with its noun.
func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}
