package crew

import (
	"math"
	"testing"

	"bayproof/verify/measure"
	"bayproof/verify/stat"
)

// exactly returns lots with the given densities and one standard uncertainty.
func exactly(u float64, densities ...float64) []measure.Lot {
	lots := make([]measure.Lot, len(densities))
	for i, d := range densities {
		lots[i] = measure.Lot{Volume: 1, Mass: d, Density: d, Own: u, OwnDOF: math.Inf(1), U: u, DOF: math.Inf(1)}
	}
	return lots
}

// JCGM 106, 9.5 (inputs read, results from memory): a process N(1500, 0.12²) Ω, measured with u
// 0.04 Ω, tolerance 1499.8 to
// 1500.2 Ω. Accepted within 1499.82 to 1500.18: consumer's risk 0.98783 %, producer's 6.9026 %; accepted within the
// tolerance 1.89422 and 3.72078 %. The good component does the conditional part, 1499.8 Ω being its
// target.
func TestProcessRisks(t *testing.T) {
	const mu, tau, u, half = 1.2, 0.12, 0.04, 0.2 // 1499.8 Ω stands at 1, 1500.2 Ω at 1.4
	c := (&scale{}).cut(mu, tau)
	inside := func(x float64) float64 { // P(within the tolerance | x): the upper limit by reflection about μ
		r, mirror := reading{x: x, sd: u}, reading{x: 2*mu - x, sd: u}
		return c.good(&r, 1) + c.good(&mirror, 1) - 1
	}
	s := math.Hypot(tau, u)
	risks := func(guard float64) (consumer, producer float64) {
		const step = 1e-4
		for x := mu - 8*s; x < mu+8*s; x += step {
			w := density((x-mu)/s) / s * step
			if math.Abs(x-mu) <= half-guard {
				consumer += w * (1 - inside(x))
			} else {
				producer += w * inside(x)
			}
		}
		return 100 * consumer, 100 * producer
	}
	for _, want := range []struct{ guard, consumer, producer float64 }{{0.02, 0.98783, 6.9026}, {0, 1.89422, 3.72078}} {
		consumer, producer := risks(want.guard)
		// The steps of the sum are worth 0.005 % of the lots.
		if math.Abs(consumer-want.consumer) > 0.01 || math.Abs(producer-want.producer) > 0.01 {
			t.Errorf("guard %v: risks %.4f and %.4f %%, want %.4f and %.4f %%", want.guard, consumer, producer, want.consumer, want.producer)
		}
	}
}

// Iglewicz & Hoaglin's ten values: the modified z finds the last two, which hide each other from an
// ordinary z (read; the ordinary z is held in verify/stat). Median, MAD and modified z, 2.45, 0.15,
// 25.86 and 26.31, are not checked: bayproof computes none of them, it asks the rule. As densities
// around a target, the same two are over-full and no other is anything.
func TestTwoOutliersHideNothing(t *testing.T) {
	values := []float64{2.1, 2.6, 2.4, 2.5, 2.3, 2.1, 2.3, 2.6, 8.2, 8.3}
	r := Judge(exactly(0.02, values...), 2.3, Seen{})
	for i, p := range r.Lots {
		if over := p.Over > OverAbove; over != (i >= 8) {
			t.Errorf("value %v: over-full %v", values[i], p.Over)
		}
		if p.ShortOfCrew() {
			t.Errorf("value %v: short of the others, %v", values[i], p.Bad)
		}
	}
}

// NIST/SEMATECH e-Handbook 1.3.5.17.1: Grubbs' test finds 245.57 alone (read; statistic and
// critical values are held in verify/stat). So does the rule, and the mean and spread that it gives
// are those of the other seven: 200.84 and 1.20 (derived). Their mean is met to 0.05, a sixteenth
// of its standard uncertainty; the prior of the spread, whose median is 6.65 here, pulls within
// what seven values leave open: s·√(6/χ²) at 95 %, χ² 14.449 and 1.237, is 0.77 to 2.65. All eight
// have 206.4 and 15.9.
func TestOneOutlier(t *testing.T) {
	values := []float64{199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57}
	r := Judge(exactly(0.1, values...), 190, Seen{})
	for i, p := range r.Lots {
		if over := p.Over > OverAbove; over != (i == 7) {
			t.Errorf("value %v: over-full %v", values[i], p.Over)
		}
	}
	if math.Abs(r.Process.Mean-200.84) > 0.05 || !(r.Process.SD > 0.77 && r.Process.SD < 2.65) {
		t.Errorf("mean %.2f, spread %.2f", r.Process.Mean, r.Process.SD)
	}
}

// toleranceRows is what n values of mean 1 and standard deviation s say of μ and τ where nothing is
// known beforehand (prior 1/τ): μ about 1 with τ²/n, τ as τ⁻ⁿ·exp(−(n − 1)s²/2τ²), on a grid of its
// logarithm. The tolerance limit that it has is the classical one to the letter: mean − k·s, k√n a
// quantile of the non-central t.
func toleranceRows(n int, s float64) *sums {
	out := &sums{}
	const steps = 6000
	for i := range steps {
		tau := s * math.Exp(-2+float64(i)*11/steps) // 0.14 s to 8000 s: of three values a part in ten million lies beyond
		nu := float64(n - 1)
		w := math.Exp(-nu*math.Log(tau/s) - nu*s*s/(2*tau*tau)) // dτ = τ·dlnτ
		out.rows = append(out.rows, tauRow{tau: tau, weight: w, mu: w, mu2: w * (1 + tau*tau/float64(n))})
		out.weight, out.mu = out.weight+w, out.mu+w
	}
	return out
}

// NIST/SEMATECH e-Handbook 7.2.6.3: n 43, content 0.90, confidence 0.99: 1.8740, n 6: 4.4111.
// Montgomery, table XII, confidence
// 0.95: content .90 .95 .99 (both read). The function that gives every section its lower tolerance has to give them where it
// is asked for that content and confidence. Tolerance: half of the last digit printed, and 3e-4 for
// the grid's steps and the width that the function leaves to a mean known exactly.
func TestLowerTolerance(t *testing.T) {
	const s = 0.05
	factor := func(n int, content, confidence float64) float64 {
		return (1 - toleranceRows(n, s).lower(stat.NormalQuantile(content), 1-confidence)) / s
	}
	for _, c := range []struct {
		n                int
		confidence, last float64
		content          map[float64]float64
	}{
		{43, 0.99, 5e-5, map[float64]float64{0.90: 1.8740}}, {6, 0.99, 5e-5, map[float64]float64{0.90: 4.4111}},
		{3, 0.95, 5e-4, map[float64]float64{0.90: 6.155, 0.95: 7.656, 0.99: 10.553}},
		{5, 0.95, 5e-4, map[float64]float64{0.90: 3.407, 0.95: 4.203, 0.99: 5.741}},
		{10, 0.95, 5e-4, map[float64]float64{0.90: 2.355, 0.95: 2.911, 0.99: 3.981}},
		{20, 0.95, 5e-4, map[float64]float64{0.90: 1.926, 0.95: 2.396, 0.99: 3.295}},
		{30, 0.95, 5e-4, map[float64]float64{0.90: 1.777, 0.95: 2.220, 0.99: 3.064}},
		{50, 0.95, 5e-4, map[float64]float64{0.90: 1.646, 0.95: 2.065, 0.99: 2.862}},
	} {
		for content, want := range c.content {
			if k := factor(c.n, content, c.confidence); math.Abs(k-want) > c.last+3e-4 {
				t.Errorf("n %d, %v at %v: %.4f, want %v", c.n, content, c.confidence, k, want)
			}
		}
	}
	if k := factor(20, 0.90, 0.90); math.Abs(k-1.926) < 0.1 { // a confidence that is not asked for must show
		t.Errorf("at 0.90: %.4f, which is the factor at 0.95", k)
	}
}

// Sixty bays known nearly exactly, where the priors weigh little: the lower tolerance lies at mean
// − k·s within a tenth of the spread, with k 1.926 from the e-Handbook's closed formula (7.2.6.3: a
// = 1 − z²/2(n − 1), b = z_p² − z²/n, k = (z_p + √(z_p² − ab))/a with z 1.2816 and z_p 1.6449;
// derived).
func TestLowerToleranceOfACrew(t *testing.T) {
	const n, k = 60, 1.926
	var densities []float64
	for i := range n {
		densities = append(densities, 3.85+0.12*stat.NormalQuantile((float64(i*37%n)+0.5)/n))
	}
	mean, s := stat.MeanSD(densities)
	r := Judge(exactly(0.01, densities...), 3.5, Seen{})
	if want := mean - k*s; math.Abs(r.Process.LowerTolerance-want) > 0.1*s {
		t.Errorf("lower tolerance %.4f, want %.4f ± %.4f", r.Process.LowerTolerance, want, 0.1*s)
	}
}
