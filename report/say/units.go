package say

import (
	"strings"

	"bayproof/model"
	"bayproof/verify"
)

// Units shows SI quantities in the units of a job.
type Units struct{ System model.System }

// UnitsOf returns the units of a job.
func UnitsOf(job *model.Job) Units { return Units{job.Settings.Units} }

// Unit is one unit of measure: its factor to SI, and its name for machines and for people.
type Unit struct {
	SI     float64
	Symbol string // plain: ft3
	Name   string // as printed: ft³
}

// Of returns the unit in which a quantity of this dimension is shown. Counts, shares and names have none: theirs is 1.
func (u Units) Of(dim verify.Dim) Unit {
	switch dim {
	case verify.Length:
		return u.show(model.ShowLength)
	case verify.Size:
		return u.show(model.ShowSize)
	case verify.Volume:
		return u.show(model.ShowVolume)
	case verify.Mass:
		return u.show(model.ShowMass)
	case verify.Density:
		return u.show(model.ShowDensity)
	case verify.Pressure:
		return u.show(model.ShowPressure)
	}
	return Unit{SI: 1}
}

// Area returns the unit of faces and openings.
func (u Units) Area() Unit { return u.show(model.ShowArea) }

func (u Units) show(d model.Display) Unit {
	unit := u.System.Unit(d)
	return Unit{unit.Factor, unit.Symbol, printed(unit.Symbol)}
}

// printed writes a unit's symbol as people read it: ft³ for ft3.
func printed(symbol string) string {
	switch {
	case strings.HasSuffix(symbol, "ft2") || strings.HasSuffix(symbol, "m2"):
		return strings.TrimSuffix(symbol, "2") + "²"
	case strings.HasSuffix(symbol, "ft3") || strings.HasSuffix(symbol, "m3"):
		return strings.TrimSuffix(symbol, "3") + "³"
	}
	return symbol
}

// In returns an SI value in the unit of its dimension, at full precision, for machines. A Size comes in the unit of
// lengths: small units are for reading only.
func (u Units) In(dim verify.Dim, si float64) float64 {
	if dim == verify.Size {
		dim = verify.Length
	}
	return si / u.Of(dim).SI
}
