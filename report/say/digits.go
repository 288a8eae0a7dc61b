package say

import (
	"math"
	"strconv"
)

// maxDecimals is more than any tape or scale on a roof resolves.
const maxDecimals = 4

// decimals returns how many places behind the point a value with this uncertainty is written with so that the
// uncertainty shows the given number of significant digits (JCGM 100, 7.2.6: at most two); 0 where it is not known.
func decimals(uncertainty float64, significant int) int {
	if !(uncertainty > 0) || math.IsInf(uncertainty, 0) {
		return 0
	}
	// Rounded first: 0.0996 to two digits is 0.10, which needs two places and not three.
	rounded, _ := strconv.ParseFloat(strconv.FormatFloat(uncertainty, 'e', significant-1, 64), 64)
	places := significant - 1 - int(math.Floor(math.Log10(rounded)))
	return min(max(places, 0), maxDecimals)
}

// fixed writes x with the given places behind the point, never as -0.
func fixed(x float64, places int) string {
	s := strconv.FormatFloat(x, 'f', places, 64)
	if x < 0 && allZero(s[1:]) {
		return s[1:]
	}
	return s
}

func allZero(s string) bool {
	for _, c := range s {
		if c != '0' && c != '.' {
			return false
		}
	}
	return true
}

// against writes x with the given places, and with one more while rounding would put a value below the limit on it or
// above it: a bay that is short must not look as if it made the target.
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

// plusMinus writes a value with its half-width: both with the places that give the half-width two digits.
func plusMinus(x, half, limit float64) string {
	if math.IsNaN(half) || math.IsInf(half, 0) || half <= 0 {
		return against(x, limit, 2)
	}
	places := decimals(half, 2)
	return against(x, limit, places) + " ± " + fixed(half, places)
}
