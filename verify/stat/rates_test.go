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

// The law of the score interval: it holds p exactly where the share lies within the limits of a
// p-chart about p, p ± z·√(p(1 − p)/n) (NIST/SEMATECH e-Handbook 6.3.3.2).
func TestWilsonInvertsTheChart(t *testing.T) {
	const p, z = 0.80642448, 1.959963984540054
	for n := 1; n < 60; n++ {
		for k := 0; k <= n; k++ {
			lo, hi := Wilson(k, n, 0.95)
			if within := math.Abs(float64(k)/float64(n)-p) <= z*math.Sqrt(p*(1-p)/float64(n)); within != (lo <= p && p <= hi) {
				t.Fatalf("%d of %d: chart and Wilson disagree", k, n)
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
	for lot := 1; lot < 80; lot++ { // so many are enough, and one less is not
		for bad := 1; bad <= lot; bad++ {
			n := DetectionSize(lot, float64(bad)/float64(lot), 0.95)
			if NoneFoundChance(lot, bad, n) > 0.05+1e-12 || NoneFoundChance(lot, bad, n-1) < 0.05 {
				t.Fatalf("lot %d, %d bad: %d opened miss them with %v, one less with %v", lot, bad, n, NoneFoundChance(lot, bad, n), NoneFoundChance(lot, bad, n-1))
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

// posterior is the mean of the rate after k in n (Gelman et al., Bayesian Data Analysis, 5.1).
func posterior(b BetaPrior, k, n float64) float64 { return (b.Alpha + k) / (b.Alpha + b.Beta + n) }

// Gelman et al., Bayesian Data Analysis 5.1, rat tumours. The mean and spread are printed to three
// digits, which leaves 2 % in the parameters; the rate after 4 of 14 is printed as about .22.
func TestFitBeta(t *testing.T) {
	b := FitBeta(.136, .103)
	near(t, "alpha", b.Alpha, 1.356, .03)
	near(t, "beta", b.Beta, 8.615, .15)
	near(t, "4 of 14", posterior(b, 4, 14), .22, .005)
}

func TestFitRates(t *testing.T) {
	same := FitRates([]int{10, 20, 30, 10}, []int{20, 40, 60, 20})
	near(t, "crews alike: a crew of none in 4 stays near the rest", posterior(same, 0, 4), .5, .02)
	apart := FitRates([]int{2, 98, 5, 95, 50}, []int{100, 100, 100, 100, 100})
	if r := posterior(apart, 2, 100); r > .05 {
		t.Errorf("crews far apart: 2 of 100 comes to %.3f, want it left below 0.05", r)
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
