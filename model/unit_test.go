package model

import (
	"math"
	"testing"
)

// NIST Handbook 44 App. C and SP 811 App. B. Products and quotients of exact factors: a few units
// in the last place.
func TestUnitConstants(t *testing.T) {
	for _, c := range []struct {
		name      string
		got, want float64
		tolerance float64
	}{
		{"1 in = 25.4 mm", Inch, 0.0254, 0},
		{"1 ft", Foot, 0.3048, 0},
		{"12 in = 1 ft", 12 * Inch, Foot, 1e-16},
		{"1 lb", Pound, 0.45359237, 0},
		{"16 oz = 1 lb", 16 * Ounce, Pound, 0},
		{"1 ft3", CubicFoot, 0.028316846592, 1e-17},
		{"1 ft2", SquareFoot, 0.09290304, 1e-17},
		{"1 lb/ft3, quotient", PoundPerCubicFoot, 16.018463373960138, 1e-14},
		{"1 °F·h·ft2/Btu", RValue, 0.176110, 0},
		{"R 1 an inch, in m·K/W", RValue / Inch, 6.933472, 1.2e-4}, // 0.176110 has six digits: 0.5e-6/0.0254, and the quotient is rounded
		{"3.5 lb/ft3", 3.5 * PoundPerCubicFoot, 56.0646, 5e-5},     // published to four decimals
		{"1 in of water, SP 811 from memory", InchOfWater, 249.0889, 5e-5},
		{"1 cfm = 1.699 m3/h", CubicFootPerMinute * 3600, 1.699011, 5e-7},
	} {
		if math.Abs(c.got-c.want) > c.tolerance {
			t.Errorf("%s: %.17g, want %.17g", c.name, c.got, c.want)
		}
	}
}

func TestLookupUnit(t *testing.T) {
	for s, want := range map[string]string{
		"in": "in", "in.": "in", "inches": "in", `"`: "in", "″": "in", "”": "in", "''": "in", "ft": "ft", "feet": "ft", "'": "ft", "′": "ft", "’": "ft",
		"mm": "mm", "cm": "cm", "m": "m", "lb": "lb", "lbs": "lb", "oz": "oz", "kg": "kg", "g": "g", "ft2": "ft2", "ft²": "ft2", "m2": "m2", "m²": "m2",
		"lb/ft3": "lb/ft3", "lb/ft³": "lb/ft3", "kg/m3": "kg/m3", "kg/m³": "kg/m3", "%": "%", "ft3": "ft3", "ft³": "ft3", "m3": "m3",
		"in of water": "in of water", "Pa": "Pa", "cfm": "cfm", "m3/h": "m3/h",
	} {
		if u, ok := LookupUnit(s); !ok || u.Symbol != want {
			t.Errorf("%s: %q %v", s, u.Symbol, ok)
		}
	}
	for _, s := range []string{"", "yd", "stone", "bag", "lb/ft2", "R", "kgm"} {
		if u, ok := LookupUnit(s); ok {
			t.Errorf("%q is taken for %s", s, u.Symbol)
		}
	}
}

// Every unit that a system shows, but that of R, is one that a cell may have, and it is the same.
func TestDisplayUnits(t *testing.T) {
	want := map[System][]string{
		US: {"in", "ft", "ft2", "ft3", "lb", "lb/ft3", "in of water", "cfm"},
		SI: {"mm", "m", "m2", "m3", "kg", "kg/m3", "Pa", "m3/h"},
	}
	for sys, symbols := range want {
		for i, symbol := range symbols {
			shown := sys.Unit(Display(i))
			read, ok := LookupUnit(shown.Symbol)
			if shown.Symbol != symbol || !ok || read != shown {
				t.Errorf("%s: %v is read as %v", sys, shown, read)
			}
			if back := shown.In(shown.SI(3.7)); math.Abs(back-3.7) > 1e-15 {
				t.Errorf("%s: 3.7 there and back is %v", symbol, back)
			}
		}
	}
}

// A length stands as a tape shows it: feet, inches, eighths.
func TestTape(t *testing.T) {
	for inches, want := range map[float64]string{
		0: `0"`, 0.5: `1/2"`, 9: `9"`, 12: `1'`, 12.5: `1' 1/2"`, 66: `5' 6"`, 98.625: `8' 2 5/8"`, 119.96: `10'`, 118: `9' 10"`, 144.0625: `12' 1/8"`,
	} {
		if got := Tape(inches * Inch); got != want {
			t.Errorf("%g in is %s, want %s", inches, got, want)
		}
	}
}
