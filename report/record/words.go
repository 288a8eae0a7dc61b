package record

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"bayproof/model"
	"bayproof/report/say"
	"bayproof/verify"
	"bayproof/verify/measure"
)

// Quantities are written here as table cells, whose heading carries the unit; sentences and
// quantities with their unit are package say's. What is not known is a dash in a cell.

// nan stands for a limit that nothing is compared with, and for a half-width that is not known.
func nan() float64 { return math.NaN() }

// unknown tells whether there is no figure to write.
func unknown(x float64) bool { return math.IsNaN(x) || math.IsInf(x, 0) }

// blank stands in a cell where there is no figure.
const blank = "–"

// orBlank is a text, a dash where it is empty.
func orBlank(s string) string {
	return cmp.Or(s, blank)
}

// known is the text of a figure, a dash where it is unknown.
func known(x float64, text string) string {
	if unknown(x) {
		return blank
	}
	return text
}

// unit names the unit in which quantities of a dimension are shown.
func (p *page) unit(d verify.Dim) string { return p.Of(d).Name }

// mass, length and area are cells with places fit for a bay, from kg, m and m².
func (p *page) mass(x float64) string { return number(x/p.Of(verify.Mass).SI, 1) }
func (p *page) length(x float64) string {
	return number(x/p.Of(verify.Length).SI, p.places(1, 2))
}
func (p *page) area(x float64) string { return number(x/p.Area().SI, p.places(0, 1)) }

// places are the digits behind the point in the job's units: a metre takes one more than a foot, a
// square metre too.
func (p *page) places(us, si int) int {
	if p.System == model.SI {
		return si
	}
	return us
}

// density is a cell, from kg/m³, with the half-width and the digits that this allows; figure leaves
// the half-width out.
func (p *page) density(x, half, limit float64) string { return known(x, p.Density(x, half, limit)) }
func (p *page) figure(x, half float64) string         { return known(x, p.DensityFigure(x, half)) }

// size is a width or a depth in the small unit, with it; bags a count; percent a probability, never
// rounded across its limit.
func (p *page) size(x float64) string { return known(x, p.Size(x)) }
func bags(x float64) string           { return known(x, say.Bags(x)) }
func percent(x, limit float64) string { return known(x, say.Percent(x, limit)) }

// number writes x with the given places behind the point, never as -0.
func number(x float64, places int) string {
	s := strconv.FormatFloat(x, 'f', places, 64)
	// What rounds to nothing has no sign.
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return known(x, s)
}

// level names an interval by its level, a share of 1: "95 % interval".
func level(p float64) string {
	if unknown(p) {
		return "level unknown"
	}
	return strconv.FormatFloat(math.Round(p*1000)/10, 'f', -1, 64) + " % interval"
}

// freedom writes effective degrees of freedom (JCGM 100, G.4), which are not rounded before use.
// Beyond a thousand no factor of any interval differs from the normal one's in a digit that is
// shown.
func freedom(dof float64) string {
	switch {
	case math.IsNaN(dof):
		return "ν unknown"
	case math.IsInf(dof, 1) || dof > 1000:
		return "ν unlimited"
	}
	return "ν = " + number(dof, 1)
}

// reason says one reason with its evidence, for the templates and the table of bays.
func (p *page) reason(r verify.Reason) string { return p.said(p.Reason(r), r.Code, r.Data) }

// said falls back on the code and its figures where there is no sentence for it: nothing that was
// found is kept back.
func (p *page) said(text string, code verify.Code, data []verify.Datum) string {
	if text != "" || code == "" {
		return text
	}
	parts := make([]string, len(data))
	for i, d := range data {
		parts[i] = d.Key + " " + p.Datum(d)
	}
	return joined(": ", string(code), strings.Join(parts, ", "))
}

// inputName says an input of the uncertainty, a column or a setting, in the words of the trade.
func inputName(input string) string {
	switch input {
	case "bags":
		return "counting"
	case "bag_weight":
		return "bag weight"
	case "weight":
		return "weighing"
	case "ditto":
		return "sizes taken over"
	}
	return strings.ReplaceAll(input, "_", " ")
}

// budgetLine names the inputs of a bay's variance by their shares, those under half a percent left
// out.
func budgetLine(shares []measure.Share) string {
	var parts []string
	for _, s := range shares {
		if s.Share >= 0.005 {
			parts = append(parts, inputName(s.Input)+" "+number(s.Share*100, 0)+" %")
		}
	}
	return strings.Join(parts, ", ")
}

// count tells of how many something holds.
func count[T any](list []T, holds func(T) bool) (n int) {
	for _, x := range list {
		if holds(x) {
			n++
		}
	}
	return n
}

// plural writes a count with its noun, or with its verb.
func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

// joined joins the parts that are not empty.
func joined(sep string, parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), sep)
}

// nameList writes a few names, and how many more there are: a title is to stay one line.
func nameList(names []string) string {
	const most = 4
	if len(names) <= most {
		return strings.Join(names, " ")
	}
	return strings.Join(names[:most], " ") + fmt.Sprintf(" and %d more", len(names)-most)
}

// isFigure tells whether a cell holds a figure, which needs nothing to isolate it from the text
// beside it.
func isFigure(cell string) bool { return strings.Trim(cell, "0123456789.,±–- %") == "" }

// firstUpper starts a title that follows nothing. All texts that it gets begin with a letter of
// ASCII.
func firstUpper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// brief cuts a name that would push everything else off a drawing or out of a title; the bay's card
// has it whole.
func brief(name string) string {
	const most = 24 // characters
	if r := []rune(name); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return name
}
