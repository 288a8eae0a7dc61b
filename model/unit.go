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
