package model

import (
	"fmt"
	"math"
)

// Dimension says what a unit measures.
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
	switch d {
	case DimShare:
		return "share"
	case DimLength:
		return "length"
	case DimArea:
		return "area"
	case DimVolume:
		return "volume"
	case DimMass:
		return "weight"
	case DimDensity:
		return "density"
	case DimPressure:
		return "pressure"
	case DimFlow:
		return "air flow"
	case DimRValue:
		return "R-value"
	}
	return "count"
}

// Unit is a unit of measurement. A value in it times Factor is the value in SI.
type Unit struct {
	Symbol    string // as the tool writes it
	Dimension Dimension
	Factor    float64
}

// SI converts a value in this unit to SI.
func (u Unit) SI(v float64) float64 { return v * u.Factor }

// In converts an SI value to this unit.
func (u Unit) In(si float64) float64 { return si / u.Factor }

// Display is a kind of figure that is shown in a unit of its own.
type Display uint8

const (
	ShowSize     Display = iota // widths, depths, bulges, tolerances: in or mm
	ShowLength                  // lengths of bays and places in them: ft or m
	ShowArea                    // ft2 or m2
	ShowVolume                  // ft3 or m3
	ShowMass                    // lb or kg
	ShowDensity                 // lb/ft3 or kg/m3
	ShowPressure                // in of water or Pa
	ShowFlow                    // cfm or m3/h
	ShowRValue                  // °F·h·ft²/Btu or m²·K/W
)

// Unit returns the unit that a system of units shows a figure in. It is also the unit of a bare number in a cell.
func (s System) Unit(d Display) Unit {
	if s == SI {
		return s.metric(d)
	}
	switch d {
	case ShowSize:
		return Unit{"in", DimLength, Inch}
	case ShowLength:
		return Unit{"ft", DimLength, Foot}
	case ShowArea:
		return Unit{"ft2", DimArea, SquareFoot}
	case ShowVolume:
		return Unit{"ft3", DimVolume, CubicFoot}
	case ShowMass:
		return Unit{"lb", DimMass, Pound}
	case ShowDensity:
		return Unit{"lb/ft3", DimDensity, PoundPerCubicFoot}
	case ShowPressure:
		return Unit{"in of water", DimPressure, InchOfWater}
	case ShowFlow:
		return Unit{"cfm", DimFlow, CubicFootPerMinute}
	}
	return Unit{"°F·h·ft²/Btu", DimRValue, RValue}
}

// metric returns the metric unit of a kind of figure.
func (s System) metric(d Display) Unit {
	switch d {
	case ShowSize:
		return Unit{"mm", DimLength, 0.001}
	case ShowLength:
		return Unit{"m", DimLength, 1}
	case ShowArea:
		return Unit{"m2", DimArea, 1}
	case ShowVolume:
		return Unit{"m3", DimVolume, 1}
	case ShowMass:
		return Unit{"kg", DimMass, 1}
	case ShowDensity:
		return Unit{"kg/m3", DimDensity, 1}
	case ShowPressure:
		return Unit{"Pa", DimPressure, 1}
	case ShowFlow:
		return Unit{"m3/h", DimFlow, 1.0 / 3600}
	}
	return Unit{"m²·K/W", DimRValue, 1}
}

// Figure is an SI value as messages about the log tell it: to four digits, whole where there are more before the point.
func (s System) Figure(d Display, si float64) string {
	u := s.Unit(d)
	if v := u.In(si); math.Abs(v) >= 1000 {
		return fmt.Sprintf("%.0f %s", v, u.Symbol)
	}
	return fmt.Sprintf("%.4g %s", u.In(si), u.Symbol)
}

// LookupUnit finds the unit that a word or mark in a cell or a header stands for. Case counts where it tells units
// apart and nowhere else is it needed. It answers false for what it does not know.
func LookupUnit(s string) (Unit, bool) {
	switch s {
	case "in", "in.", "inch", "inches", "IN", "In", `"`, "″", "”", "''":
		return US.Unit(ShowSize), true
	case "ft", "ft.", "foot", "feet", "FT", "Ft", "'", "′", "’":
		return US.Unit(ShowLength), true
	case "mm", "MM":
		return SI.Unit(ShowSize), true
	case "cm", "CM":
		return Unit{"cm", DimLength, 0.01}, true
	case "m", "M":
		return SI.Unit(ShowLength), true
	case "%":
		return Unit{"%", DimShare, 0.01}, true
	}
	if u, ok := lookupMass(s); ok {
		return u, true
	}
	if u, ok := lookupSpace(s); ok {
		return u, true
	}
	return lookupAir(s)
}

// lookupMass knows the units of weight and density.
func lookupMass(s string) (Unit, bool) {
	switch s {
	case "lb", "lb.", "lbs", "lbs.", "LB", "LBS", "Lb", "Lbs", "pound", "pounds":
		return US.Unit(ShowMass), true
	case "oz", "oz.", "OZ", "ounce", "ounces":
		return Unit{"oz", DimMass, Ounce}, true
	case "kg", "KG", "Kg", "kgs":
		return SI.Unit(ShowMass), true
	case "g", "gr", "gram", "grams":
		return Unit{"g", DimMass, 0.001}, true
	case "lb/ft3", "lb/ft³", "lbs/ft3", "lbs/ft³", "pcf", "PCF":
		return US.Unit(ShowDensity), true
	case "kg/m3", "kg/m³":
		return SI.Unit(ShowDensity), true
	}
	return Unit{}, false
}

// lookupSpace knows the units of area and volume.
func lookupSpace(s string) (Unit, bool) {
	switch s {
	case "ft2", "ft²", "sqft", "sf":
		return US.Unit(ShowArea), true
	case "m2", "m²":
		return SI.Unit(ShowArea), true
	case "ft3", "ft³", "cuft", "cf":
		return US.Unit(ShowVolume), true
	case "m3", "m³":
		return SI.Unit(ShowVolume), true
	case "in3", "in³":
		return Unit{"in3", DimVolume, Inch * Inch * Inch}, true
	case "l", "L":
		return Unit{"L", DimVolume, 0.001}, true
	case "cm3", "cm³", "ml", "mL":
		return Unit{"cm3", DimVolume, 1e-6}, true
	}
	return Unit{}, false
}

// lookupAir knows the units of pressure and air flow.
func lookupAir(s string) (Unit, bool) {
	switch s {
	case "in of water", "inches of water", "in wc", "in wg", "in w.c.", "in w.g.", "inwc", "iwc", "inH2O", "in H2O", "inwg":
		return US.Unit(ShowPressure), true
	case "Pa", "pa", "PA":
		return SI.Unit(ShowPressure), true
	case "kPa", "kpa":
		return Unit{"kPa", DimPressure, 1000}, true
	case "mbar", "hPa":
		return Unit{"mbar", DimPressure, 100}, true
	case "cfm", "CFM", "cfm50", "CFM50", "ft3/min", "ft³/min":
		return US.Unit(ShowFlow), true
	case "m3/h", "m³/h":
		return SI.Unit(ShowFlow), true
	case "m3/s", "m³/s":
		return Unit{"m3/s", DimFlow, 1}, true
	case "l/s", "L/s":
		return Unit{"L/s", DimFlow, 0.001}, true
	}
	return Unit{}, false
}

// Exact factors to SI (NIST Handbook 44, Appendix C; NIST SP 811, Appendix B).
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
