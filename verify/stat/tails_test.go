package stat

import (
	"math"
	"testing"
)

// TestTails holds tails against sums of their terms.
func TestTails(t *testing.T) {
	for _, x := range []struct {
		n, k int
		p    float64
	}{{10, 3, 0.2}, {24, 20, 0.75}, {1, 1, 0.3}, {60, 5, 0.01}} {
		sum, term := 0.0, math.Pow(1-x.p, float64(x.n))
		for k := range x.n + 1 {
			if k >= x.k {
				sum += term
			}
			term *= float64(x.n-k) / float64(k+1) * x.p / (1 - x.p)
		}
		if got := BinomialTail(x.n, x.k, x.p); math.Abs(got-sum) > 1e-12+1e-9*sum {
			t.Errorf("%+v: %v, want %v", x, got, sum)
		}
		mean := float64(x.n) * x.p
		below, term := 0.0, math.Exp(-mean)
		for k := range x.k {
			below += term
			term *= mean / float64(k+1)
		}
		if got := PoissonTail(x.k, mean); math.Abs(got-(1-below)) > 1e-12 {
			t.Errorf("%+v: %v, want %v", x, got, 1-below)
		}
	}
	if BinomialTail(5, 0, 0.1) != 1 || BinomialTail(5, 6, 0.1) != 0 || !math.IsNaN(BinomialTail(5, 2, 1.1)) || PoissonTail(0, 2) != 1 || !math.IsNaN(PoissonTail(1, 0)) {
		t.Error("an edge is wrong")
	}
	// Clopper and Pearson's upper end of none in 20 at 95 %, one-sided 97.5 %: 1 − 0.025^(1/20).
	if got, want := BetaQuantile(0.975, 1, 20), 1-math.Pow(0.025, 0.05); math.Abs(got-want) > 1e-9 {
		t.Errorf("%v, want %v", got, want)
	}
	if !math.IsNaN(BetaQuantile(0.5, 0, 1)) {
		t.Error("a beta distribution without a parameter")
	}
}
