package model

import (
	"math"
	"testing"
)

// PS 20, American Softwood Lumber Standard, dressed dry (read in a reprint). Exact.
func TestDressedSizes(t *testing.T) {
	for nominal, want := range map[int]float64{2: 1.5, 3: 2.5, 4: 3.5, 5: 4.5, 6: 5.5, 8: 7.25, 10: 9.25, 12: 11.25} {
		if got, ok := DressedInches(nominal); !ok || got != want {
			t.Errorf("nominal %d: %v in, want %v", nominal, got, want)
		}
	}
	for _, nominal := range []int{0, 1, 7, 9, 14} {
		if _, ok := DressedInches(nominal); ok {
			t.Errorf("nominal %d is in the table", nominal)
		}
	}
}

// A sixteenth off is the same mark of the tape, an eighth is not.
func TestRafterDepth(t *testing.T) {
	for _, full := range []float64{3.5, 5.5, 7.25, 9.25, 11.25, 4, 6, 8, 10, 12} {
		for off, want := range map[float64]bool{0: true, 1. / 16: true, -1. / 16: true, 1. / 8: false, -1. / 8: false} {
			got, ok := RafterDepth((full + off) * Inch)
			if ok != want || ok && math.Abs(got/Inch-full) > 1e-12 {
				t.Errorf("%v in: %v %v, want %v", full+off, got/Inch, ok, want)
			}
		}
	}
	if _, ok := RafterDepth(math.NaN()); ok {
		t.Error("no depth is a rafter's")
	}
}
