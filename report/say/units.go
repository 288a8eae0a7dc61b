package say

import (
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

// Of returns the unit in which a quantity of this dimension is shown. Counts, shares and names have none.
func (u Units) Of(dim verify.Dim) Unit {
	if u.System == model.SI {
		return siUnit(dim)
	}
	return usUnit(dim)
}

func usUnit(dim verify.Dim) Unit {
	switch dim {
	case verify.Length:
		return Unit{model.Foot, "ft", "ft"}
	case verify.Size:
		return Unit{model.Inch, "in", "in"}
	case verify.Volume:
		return Unit{model.CubicFoot, "ft3", "ft³"}
	case verify.Mass:
		return Unit{model.Pound, "lb", "lb"}
	case verify.Density:
		return Unit{model.PoundPerCubicFoot, "lb/ft3", "lb/ft³"}
	}
	return Unit{SI: 1}
}

func siUnit(dim verify.Dim) Unit {
	switch dim {
	case verify.Length:
		return Unit{1, "m", "m"}
	case verify.Size:
		return Unit{1e-3, "mm", "mm"}
	case verify.Volume:
		return Unit{1, "m3", "m³"}
	case verify.Mass:
		return Unit{1, "kg", "kg"}
	case verify.Density:
		return Unit{1, "kg/m3", "kg/m³"}
	}
	return Unit{SI: 1}
}

// Area returns the unit of faces and openings.
func (u Units) Area() Unit {
	if u.System == model.SI {
		return Unit{1, "m2", "m²"}
	}
	return Unit{model.SquareFoot, "ft2", "ft²"}
}

// In returns an SI value in the unit of its dimension, at full precision, for machines. A Size comes in the unit of
// lengths: small units are for reading only.
func (u Units) In(dim verify.Dim, si float64) float64 {
	if dim == verify.Size {
		dim = verify.Length
	}
	return si / u.Of(dim).SI
}
