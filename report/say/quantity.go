package say

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"bayproof/model"
	"bayproof/report/say/lang"
	"bayproof/verify"
)

// Units shows SI quantities in the units of a job, in the language of its crew.
type Units struct {
	System model.System
	lang.Language
}

// UnitsOf returns the units of a job, and the language that its crew reads.
func UnitsOf(job *model.Job) Units { return Units{job.Settings.Units, lang.Of(job.Settings.Lang)} }

// InEnglish is the same units for what is read at the desk and by machines.
func (u Units) InEnglish() Units { return Units{System: u.System} }

// Unit is one unit of measure: its factor to SI, and its name for machines and for people.
type Unit struct {
	SI     float64
	Symbol string // plain: ft3
	Name   string // as printed: ft³
}

// shown says as what a dimension is shown; counts, shares and names have no unit.
var shown = map[verify.Dim]model.Display{
	verify.Length: model.ShowLength, verify.Size: model.ShowSize, verify.Volume: model.ShowVolume,
	verify.Mass: model.ShowMass, verify.Density: model.ShowDensity, verify.Pressure: model.ShowPressure,
}

// Of returns the unit in which a quantity of this dimension is shown; what has none has the factor
// 1.
func (u Units) Of(dim verify.Dim) Unit {
	if d, ok := shown[dim]; ok {
		return u.show(d)
	}
	return Unit{SI: 1}
}

// Area returns the unit of faces and openings.
func (u Units) Area() Unit { return u.show(model.ShowArea) }

// show is the unit in which the job shows a quantity; SI units of it make one.
func (u Units) show(d model.Display) Unit {
	unit := u.System.Unit(d)
	return Unit{unit.Factor, unit.Symbol, printed(unit.Symbol)}
}

// printed writes a unit's symbol as people read it: ft³ for ft3.
func printed(symbol string) string {
	for _, x := range [][2]string{{"ft2", "ft²"}, {"m2", "m²"}, {"ft3", "ft³"}, {"m3", "m³"}} {
		if before, ok := strings.CutSuffix(symbol, x[0]); ok {
			return before + x[1]
		}
	}
	return symbol
}

// In returns an SI value in the unit of its dimension, at full precision, for machines. A Size
// comes in the unit of lengths: small units are for reading only.
func (u Units) In(dim verify.Dim, si float64) float64 {
	if dim == verify.Size {
		dim = verify.Length
	}
	return si / u.Of(dim).SI
}

// How a quantity is written depends on what it is. What was measured ends where its uncertainty
// begins (Density, Mass); what was set or given is written as it was (Target, plain); what a tape
// or a hopper shows is written in their fractions (Size, Bags); probabilities are rounded down
// (Percent). Arguments are SI, and a half-width is that of the expanded interval.

// unknown stands where there is no figure.
const unknown = "?"

// nan stands for a limit that nothing is compared with, and for a half-width that is not known.
func nan() float64 { return math.NaN() }

// Density writes a density with its half-width, "3.62 ± 0.27", without the unit: the half-width has
// two digits and the density ends where it does (JCGM 100, 7.2.6). The limit is the density that
// the reader compares it with: see against. A half-width of NaN leaves it out.
func (u Units) Density(x, half, limit float64) string {
	if math.IsNaN(x) {
		return unknown
	}
	si := u.Of(verify.Density).SI
	x, half, limit = x/si, half/si, limit/si
	if !(half > 0) || math.IsInf(half, 0) {
		return against(x, limit, 2)
	}
	places := decimals(half, 2)
	return against(x, limit, places) + " ± " + fixed(half, places)
}

// Target writes a density that was set and not measured: with as many places as it needs, two at
// most, and one at least for pounds.
func (u Units) Target(x float64) string {
	unit := u.Of(verify.Density)
	s := plain(x/unit.SI, 2)
	if unit.SI != 1 && s != unknown && !strings.Contains(s, ".") {
		s += ".0"
	}
	return s
}

// Mass writes a mass with its unit. half is its half-width, whose first digit decides where the
// value ends; where that is not known the mass has two digits.
func (u Units) Mass(x, half float64) string {
	unit := u.Of(verify.Mass)
	x, half = x/unit.SI, half/unit.SI
	if !(half > 0) || math.IsInf(half, 0) {
		return figures(x, 2) + " " + unit.Name
	}
	places := decimals(half, 1)
	for x != 0 && places < maxDecimals && math.Abs(x) < 0.5*math.Pow10(-places) {
		places++ // what is to be done must not read as nothing
	}
	return fixed(x, places) + " " + unit.Name
}

// Volume writes a volume with its unit: cubic feet to a tenth, cubic metres to a thousandth, so
// that columns align.
func (u Units) Volume(x float64) string {
	unit := u.Of(verify.Volume)
	places := 1
	if unit.SI == 1 {
		places = 3
	}
	return fixed(x/unit.SI, places) + " " + unit.Name
}

// Length writes a distance along a bay as the tape shows it, to the inch: 6', 5' 6", 9"; metres to
// a hundredth.
func (u Units) Length(x float64) string {
	if math.IsNaN(x) {
		return unknown
	}
	if u.System == model.SI {
		return fixed(x, 2) + " m"
	}
	inches := int(math.Round(x / model.Inch))
	switch {
	case inches == 0:
		return "0"
	case inches < 12:
		return fmt.Sprintf(`%d"`, inches)
	case inches%12 == 0:
		return fmt.Sprintf("%d'", inches/12)
	}
	return fmt.Sprintf(`%d' %d"`, inches/12, inches%12)
}

// LengthRange writes what lies between two places of a bay: 5' to 6' 10", 1.20 to 3.00 m.
func (u Units) LengthRange(lo, hi float64) string {
	return u.F("%s to %s", strings.TrimSuffix(u.Length(lo), " m"), u.Length(hi))
}

// Size writes a width or depth: inches to an eighth as a fraction, whole millimetres.
func (u Units) Size(x float64) string {
	unit := u.Of(verify.Size)
	if unit.Symbol == "mm" {
		return fixed(x/unit.SI, 0) + " mm"
	}
	return Fraction(x/unit.SI, 8) + " in"
}

// Glyph sets the eighths at the end of a figure as one sign: 13½, 8' 2½".
func Glyph(text string) string {
	text, inches := strings.CutSuffix(text, `"`)
	for _, f := range [...][2]string{{"1/8", "⅛"}, {"1/4", "¼"}, {"3/8", "⅜"}, {"1/2", "½"}, {"5/8", "⅝"}, {"3/4", "¾"}, {"7/8", "⅞"}} {
		if whole, ok := strings.CutSuffix(text, f[0]); ok {
			if !strings.HasSuffix(whole, "' ") {
				whole = strings.TrimSuffix(whole, " ")
			}
			text = whole + f[1]
			break
		}
	}
	if inches {
		text += `"`
	}
	return text
}

// Measured writes a length that was read off a tape, to the eighth: 8' 2½"; metres to a hundredth.
func (u Units) Measured(x float64) string {
	if u.Of(verify.Length).SI == 1 || math.IsNaN(x) {
		return u.Length(x)
	}
	return Glyph(model.Tape(x))
}

// Bay writes a bay as it is understood: its shape where it is no box, its sizes as the tape shows
// them, its bulge, and which bay the sizes come from that were not measured in it: wedge 13½ × 22½
// in × 8' 2", bulge 1 in, as k1.
func (u Units) Bay(b *model.Bay) string {
	p := b.Pieces[0]
	d := p.Dims()
	unit := u.Of(verify.Size)
	small := func(x float64) string {
		if unit.Symbol == "mm" {
			return fixed(x/unit.SI, 0)
		}
		return Glyph(Fraction(x/unit.SI, 8))
	}
	ends := func(one, other float64, write func(float64) string) string {
		if text := write(other); text != write(one) {
			return u.F("%s to %s", write(one), text)
		}
		return write(one)
	}
	text := ""
	if d.Shape > model.ShapeBox {
		text = u.S(d.Shape.String()) + " "
	}
	text += ends(d.Width, d.Width2, small)
	if d.Shape != model.ShapeRound {
		text += " × " + ends(d.Depth, d.Depth2, small)
	}
	text += " " + unit.Name + " × " + ends(d.Length, d.Length2, u.Measured)
	if p.Bulge.State != model.Absent {
		text += ", " + u.F("bulge %s %s", small(d.Bulge), unit.Name)
	}
	return text + u.taken(b)
}

// taken says which sizes of a bay are those of another: all, or by name.
func (u Units) taken(b *model.Bay) string {
	if b.From == nil {
		return ""
	}
	var names []string
	measured := false
	for i, r := range b.Pieces[0].Readings() {
		switch r.State {
		case model.Ditto:
			names = append(names, u.S(model.SizeNames()[i]))
		case model.Measured:
			measured = true
		}
	}
	if !measured {
		return ", " + u.F("as %s", b.From.Name)
	}
	return ", " + u.F("%s as %s", u.List(names), b.From.Name)
}

// Bags writes a count: quarters and eighths as fractions, else two places.
func Bags(x float64) string {
	if math.IsNaN(x) {
		return unknown
	}
	if eighths := x * 8; math.Abs(eighths-math.Round(eighths)) < 1e-6 {
		return Fraction(x, 8)
	}
	return fixed(x, 2)
}

// bagsOf is Bags with its noun: "1/2 bag", "1 bag", "2 1/4 bags".
func (u Units) bagsOf(x float64) string {
	if x > 1 {
		return u.F("%s bags", Bags(x))
	}
	return u.F("%s bag", Bags(x))
}

// Fraction writes x to the nearest 1/den as a tape is read, "14 1/2"; den is a power of two.
func Fraction(x float64, den int) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return unknown
	}
	n := int(math.Round(math.Abs(x) * float64(den))) // in parts of 1/den
	sign := ""
	if x < 0 && n > 0 {
		sign = "-"
	}
	whole, part := n/den, n%den
	for part > 0 && part%2 == 0 {
		part, den = part/2, den/2
	}
	switch {
	case part == 0:
		return sign + strconv.Itoa(whole)
	case whole == 0:
		return sign + strconv.Itoa(part) + "/" + strconv.Itoa(den)
	}
	return sign + strconv.Itoa(whole) + " " + strconv.Itoa(part) + "/" + strconv.Itoa(den)
}

// Percent is that of the package in the crew's language.
func (u Units) Percent(p, limit float64) string { return u.S(Percent(p, limit)) }

// Percent writes how sure something is, always rounded down so that nothing sounds surer than it
// is: "97 %". Where that would not show on which side of the limit it lies, one more digit is
// printed. A limit of NaN compares with nothing.
func Percent(p, limit float64) string {
	switch {
	case math.IsNaN(p):
		return unknown
	case p > 0.99 && !(p < limit):
		return "over 99 %"
	case p < 0.01:
		return "under 1 %"
	}
	for places := range maxDecimals {
		scale := math.Pow10(places)
		// The small shift keeps 0.95 from becoming 94 because 0.95 has no exact double.
		shown := math.Floor(p*100*scale+1e-9) / scale
		if math.IsNaN(limit) || (p >= limit) == (shown >= math.Floor(limit*100*scale+1e-9)/scale) {
			return fixed(shown, places) + " %"
		}
	}
	return fixed(p*100, maxDecimals) + " %"
}

// figures writes x with at least n significant digits, never losing whole ones: for numbers whose
// uncertainty nobody knows. The first digit stands floor(log10 x) places before the point, so n-1
// places less that are written.
func figures(x float64, n int) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return unknown
	}
	if x == 0 {
		return "0"
	}
	return fixed(x, min(max(n-1-int(math.Floor(math.Log10(math.Abs(x)))), 0), maxDecimals))
}

// plain writes x with at most the given places, without zeros at the end.
func plain(x float64, places int) string {
	s := fixed(x, places)
	if !strings.Contains(s, ".") {
		return s
	}
	return strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
}

// For table cells: the unit stands in the head of the column.

// MassFigure writes a mass for a table cell, without its unit.
func (u Units) MassFigure(x, half float64) string {
	return strings.TrimSuffix(u.Mass(x, half), " "+u.Of(verify.Mass).Name)
}

// DensityFigure writes a density for a table cell with the digits that its half-width allows,
// without that.
func (u Units) DensityFigure(x, half float64) string {
	text, _, _ := strings.Cut(u.Density(x, half, nan()), " ± ")
	return text
}

// Pooled writes the density of a section as a whole with its interval, for a table cell.
func (w *Words) Pooled(s *verify.Section) string {
	if s.Bays == 0 || math.IsNaN(s.Density) {
		return ""
	}
	return w.Density(s.Density, (s.Hi-s.Lo)/2, s.Section.Settings.Target)
}

// Spread writes a mean density and how the bays scatter about it (standard deviation), in words: ±
// is for intervals. Without the unit: "3.85 with a spread of 0.10 from bay to bay".
func (u Units) Spread(mean, sd float64) string {
	text, spread, ok := strings.Cut(u.Density(mean, sd, nan()), " ± ")
	if !ok {
		return text
	}
	return u.F("%s with a spread of %s from bay to bay", text, spread)
}

// Share writes how much of what is needed went in, as a whole percentage; under 100 stays under
// 100.
func Share(in, needs float64) string {
	share := 100 * in / needs
	switch {
	case math.IsNaN(share) || math.IsInf(share, 0):
		return unknown
	case share < 100:
		return fixed(math.Floor(share), 0) + " %"
	}
	return fixed(share, 0) + " %"
}

// Drift says in a word how the density moves along the fill order. It is found where its slope is
// more than its uncertainty explains, and not judged where too few bays are in a known order.
func (w *Words) Drift(s *verify.Section) string {
	d := s.Drift
	switch {
	case d.Method == "":
		return w.S("not judged")
	case !d.Found:
		return w.S("none")
	case d.Slope < 0:
		return w.S("falling")
	case d.Slope > 0:
		return w.S("rising")
	}
	return w.S("found")
}

// maxDecimals is more than any tape or scale on a roof resolves.
const maxDecimals = 4

// decimals returns how many places behind the point a value with this uncertainty, above 0, is
// written with so that the uncertainty shows the given number of significant digits (JCGM 100,
// 7.2.6: at most two).
func decimals(uncertainty float64, significant int) int {
	// The half-width h rounded to n significant digits has its last one n-1-floor(log10 h) places
	// behind the point. Rounded first: 0.0996 to two digits is 0.10, which needs two places and not
	// three.
	places := significant - 1 - int(math.Floor(math.Log10(roundTo(uncertainty, significant))))
	return min(max(places, 0), maxDecimals)
}

// fixed writes x with the given places behind the point, never as -0.
func fixed(x float64, places int) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return unknown
	}
	s := strconv.FormatFloat(x, 'f', places, 64)
	if x < 0 && strings.Trim(s, "-0.") == "" {
		return s[1:]
	}
	return s
}

// against writes x with the given places, and with one more while rounding would put a value below
// the limit on it or above it: a bay that is short must not look as if it made the target.
func against(x, limit float64, places int) string {
	for ; x < limit && places < maxDecimals; places++ {
		shown, _ := strconv.ParseFloat(fixed(x, places), 64)
		line, _ := strconv.ParseFloat(fixed(limit, places), 64)
		if shown < line {
			break
		}
	}
	return fixed(x, places)
}
