package model

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
