package cell

import (
	"fmt"
	"math"
	"math/big"
	"regexp"
	"strings"
	"testing"

	"bayproof/model"
)

// The reading of a length written a second time, as an expression and exact arithmetic, from the
// table of formats alone: a whole number, a decimal or a fraction, then a unit; or feet and inches
// below 12. It knows fewer ways of writing than the grammar does; what it knows both must read as
// the same.
var (
	plainLength = regexp.MustCompile(`^(?:(\d+)[ -])?(\d+)/(\d+) ?(in|ft|mm|cm|m|"|')?$|^(\d*\.?\d+|\d+\.) ?(in|ft|mm|cm|m|"|')?$`)
	feetInches  = regexp.MustCompile(`^(\d+) ?(?:'|ft)[ -]?(?:(\d+)(?:[ -](\d+)/(\d+))?|(\d+)/(\d+)) ?(?:"|in)?$`)
)

// inMetres are the units of a length, exact.
func inMetres(unit, bare string) *big.Rat {
	switch unit {
	case "":
		return inMetres(bare, "in")
	case "ft", "'":
		return big.NewRat(3048, 10000)
	case "mm":
		return big.NewRat(1, 1000)
	case "cm":
		return big.NewRat(1, 100)
	case "m":
		return big.NewRat(1, 1)
	}
	return big.NewRat(254, 10000)
}

// exactLength reads a length; false for a text that it does not know.
func exactLength(text, bare string) (*big.Rat, bool) {
	rat := func(parts ...string) *big.Rat { // whole, numerator, denominator
		sum := new(big.Rat)
		if parts[0] != "" {
			sum.SetString(parts[0])
		}
		if len(parts) > 2 && parts[2] != "" {
			numerator, _ := new(big.Int).SetString(parts[1], 10) // 09 is nine: a fraction's text would be read as octal
			denominator, _ := new(big.Int).SetString(parts[2], 10)
			if numerator != nil && denominator != nil {
				sum.Add(sum, new(big.Rat).SetFrac(numerator, denominator))
			}
		}
		return sum
	}
	if m := feetInches.FindStringSubmatch(text); m != nil {
		if isZero(m[4]) || isZero(m[6]) {
			return nil, false
		}
		inches := rat(m[2], m[3], m[4])
		inches.Add(inches, rat("", m[5], m[6]))
		if inches.Cmp(big.NewRat(12, 1)) >= 0 {
			return nil, false
		}
		feet := rat(m[1])
		return feet.Add(feet.Mul(feet, inMetres("ft", "")), inches.Mul(inches, inMetres("in", ""))), true
	}
	m := plainLength.FindStringSubmatch(text)
	switch {
	case m == nil, m[3] != "" && isZero(m[3]):
		return nil, false
	case m[3] != "":
		v := rat(m[1], m[2], m[3])
		return v.Mul(v, inMetres(m[4], bare)), true
	}
	v, ok := new(big.Rat).SetString(strings.TrimSuffix(m[5], "."))
	if !ok {
		return nil, false
	}
	return v.Mul(v, inMetres(m[6], bare)), true
}

func isZero(digits string) bool { return digits != "" && strings.Trim(digits, "0") == "" }

// lengthSeeds are texts of both kinds.
var lengthSeeds = []string{"12ft.5", "12 ft 5 in", "12' 6", "12'-6 1/2\"", "14 1/2", "14-1/2", "1/2", ".5", "5.", "12ft5", "12 ft.6 in", "0 1/2", "3/8in", "12' 11 15/16", "12' 12", "1 1/2 ft", "0.25 m", "22.5 mm", "14 17/16"}

// checkLength holds the grammar to the exact reading, in a column of inches and in one of feet: a
// number that both know is one number, and what the grammar takes and the exact reading does not
// know holds something that is in none of its forms.
func checkLength(t *testing.T, text string) {
	for _, column := range []struct{ name, bare string }{{"width", "in"}, {"length", "ft"}} {
		form, _ := Column(column.name, model.US)
		got, bad := form.Number(text)
		want, known := exactLength(text, column.bare)
		if bad != nil || math.IsNaN(got) {
			continue // refused: out of range, a denominator that no tape has
		}
		if known {
			if w, _ := want.Float64(); math.Abs(got-w) > 1e-12*math.Abs(w) {
				t.Errorf("%s %q is read as %v m, exactly it is %v", column.name, text, got, w)
			}
		}
		if strings.Contains(text, "ft.") && regexp.MustCompile(`ft\.\d`).MatchString(text) {
			t.Errorf("%s %q is read as %v m: nobody knows what it means", column.name, text, got)
		}
	}
}

func TestAgainstExactLengths(t *testing.T) {
	known := 0
	for _, text := range lengthSeeds {
		checkLength(t, text)
	}
	for whole := range 25 {
		for _, den := range []int{2, 4, 8, 16, 32, 64} {
			for _, form := range []string{"%d %d/%d", "%d-%d/%d in", "%d' %d/%d\"", "%d ft %d/%d"} {
				text := fmt.Sprintf(form, whole, den-1, den)
				if _, ok := exactLength(text, "in"); ok {
					known++
				}
				checkLength(t, text)
			}
		}
	}
	if known < 500 {
		t.Errorf("the exact reading knows %d texts: it shows nothing", known)
	}
}

func FuzzAgainstExactLengths(f *testing.F) {
	for _, text := range lengthSeeds {
		f.Add(text)
	}
	f.Fuzz(checkLength)
}
