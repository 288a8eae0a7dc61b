package stat

import (
	"math"
	"testing"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.9g, want %.9g ± %g", what, got, want, tol)
	}
}

// NIST/SEMATECH e-Handbook of Statistical Methods 7.2.4.1 (doi 10.18434/M32189; read). Tolerance:
// the printed digits. Its exact interval, 4 of 20 at 90 %: 0.07135 to 0.40103, is left out:
// bayproof gives score intervals only, and an exact one that nothing else calls would test itself.
func TestProportionIntervals(t *testing.T) {
	lo, _ := Wilson(26, 200, 0.90) // one-sided 95 %
	near(t, "Wilson lower 26 of 200", lo, 0.09577, 5e-6)
	if lo, hi := Wilson(0, 0, 0.95); lo != 0 || hi != 1 {
		t.Errorf("nothing seen: %v to %v, want 0 to 1", lo, hi)
	}
	if lo, _ := Wilson(3, 2, 0.95); !math.IsNaN(lo) {
		t.Errorf("3 of 2 gives %v, want NaN", lo)
	}
	for n := 1; n < 100; n++ { // exact: none and all of n are the ends themselves
		lo, _ := Wilson(0, n, 0.95)
		_, hi := Wilson(n, n, 0.95)
		if lo != 0 || hi != 1 {
			t.Errorf("none of %d: from %g; all of them: to %.17g", n, lo, hi)
		}
	}
}

// p-chart with unequal samples: (n, d) = (20,4) (40,6) (10,1), read in the e-Handbook's manner.
// Tolerance: printed digits.
func TestControlLimits(t *testing.T) {
	for _, c := range []struct {
		n  int
		hi float64
	}{{20, .401278}, {40, .329773}, {10, .502402}} {
		lo, hi := controlLimits(11.0/70, c.n, 3)
		near(t, "upper limit", hi, c.hi, 1e-6)
		near(t, "lower limit", lo, 0, 0)
	}
}

// Funnel limits of a public-health indicator method, baseline 80.642448 %. Tolerance: the printed
// digits.
func TestFunnelLimits(t *testing.T) {
	const p = 0.80642448
	for _, c := range []struct {
		n         int
		level, lo float64
	}{{1, .95, .03204264}, {2, .95, .25885383}, {3, .95, .35933491}, {3, .998, .10150815}} {
		lo, hi := FunnelLimits(p, c.n, c.level)
		near(t, "funnel lower", lo, c.lo, 2e-8)
		near(t, "funnel upper", hi, 1, 0)
	}
	// The law: a share is inside exactly where its Wilson interval holds the baseline.
	for n := 1; n < 60; n++ {
		lo, hi := FunnelLimits(p, n, 0.95)
		for k := 0; k <= n; k++ {
			wl, wh := Wilson(k, n, 0.95)
			x := float64(k) / float64(n)
			if (x >= lo && x <= hi) != (wl <= p && p <= wh) {
				t.Fatalf("%d of %d: funnel and Wilson disagree", k, n)
			}
		}
	}
}

// FAO/IPPC ISPM 31, 95 % rows; from memory.
func TestDetectionSize(t *testing.T) {
	for _, c := range []struct {
		lot  int
		rate float64
		want int
	}{{100, .05, 45}, {100, .02, 78}, {100, .01, 95}, {1000, .05, 57}, {1000, .02, 138}, {1000, .01, 258}, {1000, .005, 450}, {1000, .001, 950}} {
		if got := DetectionSize(c.lot, c.rate, 0.95); got != c.want {
			t.Errorf("lot %d, %g %%: open %d, want %d", c.lot, 100*c.rate, got, c.want)
		}
	}
	for lot := 1; lot < 80; lot++ { // finding none in that many leaves fewer possible than the rate asked for
		for bad := 1; bad <= lot; bad++ {
			n := DetectionSize(lot, float64(bad)/float64(lot), 0.95)
			if left := ProvenRate(lot, n, 0.95); left >= bad {
				t.Fatalf("lot %d, %d bad: %d opened leave %d possible", lot, bad, n, left)
			}
		}
	}
}

// Success-run theorem, ⌈ln(1−C)/ln R⌉: the usual table of confidence and reliability is what the
// sample from a lot comes to where the lot is so large that drawing takes nothing from it.
func TestDetectionSizeOfLargeLot(t *testing.T) {
	for _, c := range []struct {
		conf, rel float64
		want      int
	}{{.90, .90, 22}, {.95, .90, 29}, {.95, .95, 59}, {.95, .99, 299}} {
		if got := DetectionSize(10_000_000, 1-c.rel, c.conf); got != c.want {
			t.Errorf("C %g R %g: %d, want %d", c.conf, c.rel, got, c.want)
		}
	}
}

// Gelman et al., Bayesian Data Analysis 5.1, rat tumours. The mean and spread are printed to three
// digits, which leaves 2 % in the parameters; the shrunken rate is printed as about .22.
func TestShrink(t *testing.T) {
	b := FitBeta(.136, .103)
	near(t, "alpha", b.Alpha, 1.356, .03)
	near(t, "beta", b.Beta, 8.615, .15)
	near(t, "4 of 14", b.Shrink(4, 14), .22, .005)
}

func TestFitRates(t *testing.T) {
	same := FitRates([]int{10, 20, 30, 10}, []int{20, 40, 60, 20})
	near(t, "crews alike: a crew of none in 4 stays near the rest", same.Shrink(0, 4), .5, .02)
	apart := FitRates([]int{2, 98, 5, 95, 50}, []int{100, 100, 100, 100, 100})
	if r := apart.Shrink(2, 100); r > .05 {
		t.Errorf("crews far apart: 2 of 100 shrinks to %.3f, want it left below 0.05", r)
	}
}

// The first 10,000 decimals of π by digit. Tolerance: the printed digits.
func TestChiSquare(t *testing.T) {
	share := []float64{.1, .1, .1, .1, .1, .1, .1, .1, .1, .1}
	x2, p := ChiSquare([]int{968, 1026, 1021, 974, 1012, 1046, 1021, 970, 948, 1014}, share)
	near(t, "χ²", x2, 9.318, 5e-4)
	near(t, "p", p, .408, 5e-4)
	if x2, p := ChiSquare([]int{5, 1}, []float64{1, 0}); !math.IsNaN(x2) || !math.IsNaN(p) {
		t.Errorf("one cell only: %v, %v, want NaN", x2, p)
	}
	if _, p := ChiSquare([]int{5, 1, 3}, []float64{.5, 0, .5}); p != 0 {
		t.Errorf("an impossible digit has p %v, want 0", p)
	}
}

func TestFalseDiscoveries(t *testing.T) {
	q := FalseDiscoveries([]float64{.5, .001, math.NaN(), .04})
	c := 1 + 1.0/2 + 1.0/3 // three were looked at
	near(t, "smallest", q[1], .001*3*c, 1e-12)
	near(t, "second", q[3], .04*3/2*c, 1e-12)
	near(t, "largest", q[0], .5*c, 1e-12)
	if !math.IsNaN(q[2]) {
		t.Errorf("what was not looked at has q %v", q[2])
	}
}
