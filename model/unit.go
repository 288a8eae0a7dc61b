// Units: their factors to SI, how they are written in cells and headers, and which of them each
// kind of figure is shown in.

package model

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Factors to SI (NIST Handbook 44, Appendix C; NIST SP 811, Appendix B). Exact but for RValue and
// InchOfWater, which are rounded to six and eight figures.
const (
	Inch              = 0.0254             // m
	Foot              = 0.3048             // m
	Pound             = 0.45359237         // kg
	Ounce             = Pound / 16         // kg
	SquareFoot        = Foot * Foot        // m²
	CubicFoot         = Foot * Foot * Foot // m³
	PoundPerCubicFoot = Pound / CubicFoot  // kg/m³
	RValue            = 0.176110           // m²·K/W in one °F·h·ft²/Btu

	InchOfWater        = 249.08891      // Pa, conventional (SP 811 App. B: 2.490889 E+02); from memory
	CubicFootPerMinute = CubicFoot / 60 // m³/s
)

// Dimension says what a unit measures; beside each stands the SI unit that values of it are kept
// in.
type Dimension uint8

const (
	DimCount    Dimension = iota // bags, and other plain numbers
	DimShare                     // 0 to 1
	DimLength                    // m
	DimArea                      // m²
	DimVolume                    // m³
	DimMass                      // kg
	DimDensity                   // kg/m³
	DimPressure                  // Pa
	DimFlow                      // m³/s
	DimRValue                    // m²·K/W
)

// String names the dimension as an installer would.
func (d Dimension) String() string {
	return [...]string{"count", "share", "length", "area", "volume", "weight", "density", "pressure", "air flow", "R-value"}[d]
}

// Unit is a unit of measurement: value in SI = value·Factor. There are no units with an offset,
// such as temperatures would need.
type Unit struct {
	Symbol    string // as it is written out
	Dimension Dimension
	Factor    float64 // value in SI of one of it
}

// SI converts a value in this unit to SI.
func (u Unit) SI(v float64) float64 { return v * u.Factor }

// In converts an SI value to this unit.
func (u Unit) In(si float64) float64 { return si / u.Factor }

// Display is a kind of figure that is shown in a unit of its own. Sizes and lengths are both of
// DimLength, and are kept apart because a depth is told in inches and a bay's length in feet.
type Display uint8

const (
	ShowSize   Display = iota // widths, depths, bulges, tolerances
	ShowLength                // lengths of bays and places in them
	ShowArea
	ShowVolume
	ShowMass
	ShowDensity
	ShowPressure
	ShowFlow
	ShowRValue
)

// shown is the unit of each kind of figure in each system of units: shown[ShowMass][US] is the
// pound. A cubic meter an hour is the metric unit of air flow, since a blower door is read in it.
var shown = [...][2]Unit{
	ShowSize:     {US: {"in", DimLength, Inch}, SI: {"mm", DimLength, 0.001}},
	ShowLength:   {US: {"ft", DimLength, Foot}, SI: {"m", DimLength, 1}},
	ShowArea:     {US: {"ft2", DimArea, SquareFoot}, SI: {"m2", DimArea, 1}},
	ShowVolume:   {US: {"ft3", DimVolume, CubicFoot}, SI: {"m3", DimVolume, 1}},
	ShowMass:     {US: {"lb", DimMass, Pound}, SI: {"kg", DimMass, 1}},
	ShowDensity:  {US: {"lb/ft3", DimDensity, PoundPerCubicFoot}, SI: {"kg/m3", DimDensity, 1}},
	ShowPressure: {US: {"in of water", DimPressure, InchOfWater}, SI: {"Pa", DimPressure, 1}},
	ShowFlow:     {US: {"cfm", DimFlow, CubicFootPerMinute}, SI: {"m3/h", DimFlow, 1.0 / 3600}},
	ShowRValue:   {US: {"°F·h·ft²/Btu", DimRValue, RValue}, SI: {"m²·K/W", DimRValue, 1}},
}

// Unit returns the unit that a system of units shows a figure in. It is also the unit of a bare
// number in a cell.
func (s System) Unit(d Display) Unit { return shown[d][s] }

// Tape writes a length in m as a tape shows it, in feet and inches to the eighth: 8' 2 1/2".
func Tape(x float64) string {
	eighths := int(math.Round(x / Inch * 8))
	feet, inches, part := eighths/96, eighths/8%12, eighths%8
	text := ""
	if feet != 0 {
		text = fmt.Sprintf("%d'", feet)
	}
	if feet != 0 && inches == 0 && part == 0 {
		return text
	}
	if inches != 0 || part == 0 {
		text += fmt.Sprintf(" %d", inches)
	}
	if part != 0 {
		below := 8
		for ; part%2 == 0; below /= 2 {
			part /= 2
		}
		text += fmt.Sprintf(" %d/%d", part, below)
	}
	return strings.TrimSpace(text) + `"`
}

// Figure returns an SI value as messages about the log tell it: a length along a bay in feet as a
// tape shows it, all else in the unit that the system shows it in, to four significant digits,
// whole from 1000 up.
func (s System) Figure(d Display, si float64) string {
	if d == ShowLength && s == US && si >= 0 {
		return Tape(si)
	}
	u := s.Unit(d)
	if v := u.In(si); math.Abs(v) >= 1000 {
		return fmt.Sprintf("%.0f %s", v, u.Symbol)
	}
	return fmt.Sprintf("%.4g %s", u.In(si), u.Symbol)
}

// spellings are the units that may stand in a cell or a header, each with the ways it is written. A
// unit that a system shows is that system's own, so that what is printed reads back as the same
// unit. R-values have none: they stand alone, as on the bag.
var spellings = []struct {
	unit    Unit
	written []string
}{
	{shown[ShowSize][US], []string{"in", "in.", "inch", "inches", "IN", "In", `"`, "″", "”", "''"}},
	{shown[ShowLength][US], []string{"ft", "ft.", "foot", "feet", "FT", "Ft", "'", "′", "’"}},
	{shown[ShowSize][SI], []string{"mm", "MM"}},
	{Unit{"cm", DimLength, 0.01}, []string{"cm", "CM"}},
	{shown[ShowLength][SI], []string{"m", "M"}},
	{Unit{"%", DimShare, 0.01}, []string{"%"}},

	{shown[ShowMass][US], []string{"lb", "lb.", "lbs", "lbs.", "LB", "LBS", "Lb", "Lbs", "pound", "pounds"}},
	{Unit{"oz", DimMass, Ounce}, []string{"oz", "oz.", "OZ", "ounce", "ounces"}},
	{shown[ShowMass][SI], []string{"kg", "KG", "Kg", "kgs"}},
	{Unit{"g", DimMass, 0.001}, []string{"g", "gr", "gram", "grams"}},
	{shown[ShowDensity][US], []string{"lb/ft3", "lb/ft³", "lbs/ft3", "lbs/ft³", "pcf", "PCF"}},
	{shown[ShowDensity][SI], []string{"kg/m3", "kg/m³"}},

	{shown[ShowArea][US], []string{"ft2", "ft²", "sqft", "sf"}},
	{shown[ShowArea][SI], []string{"m2", "m²"}},
	{shown[ShowVolume][US], []string{"ft3", "ft³", "cuft", "cf"}},
	{shown[ShowVolume][SI], []string{"m3", "m³"}},
	{Unit{"in3", DimVolume, Inch * Inch * Inch}, []string{"in3", "in³"}},
	{Unit{"L", DimVolume, 0.001}, []string{"l", "L"}},
	{Unit{"cm3", DimVolume, 1e-6}, []string{"cm3", "cm³", "ml", "mL"}},

	{shown[ShowPressure][US], []string{"in of water", "inches of water", "in wc", "in wg", "in w.c.", "in w.g.", "inwc", "iwc", "inH2O", "in H2O", "inwg"}},
	{shown[ShowPressure][SI], []string{"Pa", "pa", "PA"}},
	{Unit{"kPa", DimPressure, 1000}, []string{"kPa", "kpa"}},
	{Unit{"mbar", DimPressure, 100}, []string{"mbar", "hPa"}},
	{shown[ShowFlow][US], []string{"cfm", "CFM", "cfm50", "CFM50", "ft3/min", "ft³/min"}},
	{shown[ShowFlow][SI], []string{"m3/h", "m³/h"}},
	{Unit{"m3/s", DimFlow, 1}, []string{"m3/s", "m³/s"}},
	{Unit{"L/s", DimFlow, 0.001}, []string{"l/s", "L/s"}},
}

// LookupUnit finds the unit that a word or mark in a cell or a header stands for; false for what it
// does not know. Only the spellings of the table are taken: if case were ignored, mm and MM, or g
// and G, could not be told from a slip.
func LookupUnit(s string) (Unit, bool) {
	for _, u := range spellings {
		if slices.Contains(u.written, s) {
			return u.unit, true
		}
	}
	return Unit{}, false
}
