package model

import "math"

// DressedInches returns the size in inches, exactly, to which dry lumber of a nominal size is dressed (PS 20, American Softwood
// Lumber Standard; read in a reprint); false for sizes that are not in the table.
func DressedInches(nominal int) (float64, bool) {
	switch nominal {
	case 2, 3, 4, 5, 6:
		return float64(nominal) - 0.5, true
	case 8, 10, 12:
		return float64(nominal) - 0.75, true
	}
	return 0, false
}

// tapeMark is the finest mark of a tape: sizes closer than that are read alike.
const tapeMark = Inch / 16

// RafterDepth returns the full depth of a rafter, dressed or full-sawn, that a measured depth in m is within a sixteenth of
// an inch of; false where it is none. Nominal 4 to 12, the sizes that rafters are sawn to.
func RafterDepth(depth float64) (float64, bool) {
	for _, nominal := range [...]int{4, 6, 8, 10, 12} {
		dressed, _ := DressedInches(nominal)
		for _, full := range [...]float64{dressed, float64(nominal)} {
			if math.Abs(depth-full*Inch) <= tapeMark*(1+1e-9) {
				return full * Inch, true
			}
		}
	}
	return 0, false
}
