package cell

import (
	"fmt"
	"strings"

	"bayproof/model"
)

// Limits beyond which a size is a slip of unit or of the pen. A bare length over 40 ft is taken for inches. Below a
// sixty-fourth of an inch no tape reads, nobody splits a bag finer than into thousandths, and no scale for bags, nor one for
// cores, shows less than a tenth or a hundredth of a gram.
const (
	thinnest  = model.Inch / 64
	leastBag  = 0.001
	leastMass = 0.0001  // kg
	leastCore = 0.00001 // kg

	longest   = 100 * model.Foot
	longBare  = 40 * model.Foot
	widest    = 8 * model.Foot
	deepest   = 4 * model.Foot
	mostBags  = 10000 // in one cell; a counter of a job that large would be reset
	mostMass  = 5000  // kg in one cell
	leastRoom = 1e-6  // m³ of a core or a test box: a cubic centimeter
	mostRoom  = 10    // m³
)

// Column returns the form of a numeric column of bays.csv, sections.csv or cores.csv in a job's system of units: its
// bare unit and its limits. It answers false for a name that is no such column.
func Column(name string, units model.System) (Form, bool) {
	f := Form{Name: name}
	switch name {
	case "width", "width2", "diameter", "spacing":
		f.Unit, f.Min, f.Max = units.Unit(model.ShowSize), thinnest, widest
	case "depth", "depth2":
		f.Unit, f.Min, f.Max = units.Unit(model.ShowSize), thinnest, deepest
	case "bulge":
		f.Unit, f.Min, f.Max, f.Zero = units.Unit(model.ShowSize), thinnest, deepest, true
	case "length":
		f.Unit, f.Min, f.Max, f.BareMax = units.Unit(model.ShowLength), thinnest, longest, longBare
	case "length2", "reach", "hole", "at":
		f.Unit, f.Min, f.Max, f.BareMax, f.Zero = units.Unit(model.ShowLength), thinnest, longest, longBare, true
	case "weight":
		f.Unit, f.Min, f.Max, f.Zero = units.Unit(model.ShowMass), leastMass, mostMass, true
	case "bags", "counter", "bags_used":
		f.Unit, f.Min, f.Max, f.Zero = model.Unit{Dimension: model.DimCount, Factor: 1}, leastBag, mostBags, true
	case "covers":
		f.Unit = units.Unit(model.ShowArea)
	case "volume":
		f.Unit, f.Min, f.Max = units.Unit(model.ShowVolume), leastRoom, mostRoom
	case "label_r", "air_impermeable_r":
		f.Unit, f.Zero = units.Unit(model.ShowRValue), true
	default:
		return f, false
	}
	return f, true
}

// CoreWeight is the form of the weight of a core: grams unless the cell or the header says otherwise.
func CoreWeight() Form {
	g, _ := model.LookupUnit("g")
	return Form{Name: "weight", Unit: g, Min: leastCore, Max: mostMass}
}

// WithUnit returns the form with the unit that the header gives; it refuses a unit of another kind.
func (f Form) WithUnit(u model.Unit) (Form, *Refusal) {
	if u.Dimension != f.Unit.Dimension {
		why := fmt.Sprintf("%s is a unit of %s, not of %s", u.Symbol, u.Dimension, f.Unit.Dimension)
		p := parser{form: &f}
		return f, refuse("", f.Name+"_"+u.Symbol, 0, why, p.units())
	}
	f.Unit, f.Said = u, true
	return f, nil
}

// SplitHeader takes the unit off a header: "width_in" is width and in, "length_m" is length and m. It answers false where
// the name ends in no unit.
func SplitHeader(name string) (base string, u model.Unit, ok bool) {
	i := strings.LastIndexByte(name, '_')
	if i <= 0 {
		return name, u, false
	}
	u, ok = model.LookupUnit(name[i+1:])
	if !ok {
		return name, u, false
	}
	return name[:i], u, true
}
