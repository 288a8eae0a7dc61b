package audit

import (
	"math"
	"testing"

	"bayproof/verify/stat"
)

// TestNormalNumbers sets twenty million numbers against the normal distribution: in cells of a twentieth, and in the tail, where the
// ziggurat draws in another way, by itself.
func TestNormalNumbers(t *testing.T) {
	const n, cells = 20_000_000, 160
	s := source{state: 8}
	seen := make([]int, cells)
	tail := make([]int, 10)
	for range n {
		x := s.normal()
		seen[cellOf(x, -4, 0.05, cells)]++
		if math.Abs(x) > base {
			tail[cellOf(math.Abs(x), base, 0.1, len(tail))]++
		}
	}
	// Fixed seed: a probability below 1 in 1000 is a fault in the numbers, or the one seed in a thousand.
	if x2, p := stat.ChiSquare(seen, shares(-4, 0.05, cells)); !(p > 0.001) {
		t.Errorf("χ² %v, p %v", x2, p)
	}
	if x2, p := stat.ChiSquare(tail, shares(base, 0.1, len(tail))); !(p > 0.001) {
		t.Errorf("tail %v: χ² %v, p %v", tail, x2, p)
	}
	// 2·(1 − Φ(3.4426)) = 5.76e-4 of them are expected beyond the base: 11,520, four standard deviations 430.
	beyond := 0
	for _, k := range tail {
		beyond += k
	}
	if beyond < 11_090 || beyond > 11_950 {
		t.Errorf("%d of %d beyond %v", beyond, n, base)
	}
}

// cellOf is the cell of a number; the first and the last reach to the ends.
func cellOf(x, from, width float64, cells int) int {
	return min(max(int(math.Floor((x-from)/width)), 0), cells-1)
}

// shares are those of the normal distribution above from, in the same cells; the first reaches below where from is negative.
func shares(from, width float64, cells int) []float64 {
	above := func(x float64) float64 { return stat.NormalCDF(-x) }
	all := above(from)
	if from < 0 {
		all = 1
	}
	out := make([]float64, cells)
	left := all
	for i := range out {
		next := above(from + float64(i+1)*width)
		if i == cells-1 {
			next = 0
		}
		out[i], left = (left-next)/all, next
	}
	return out
}
