package crew

import (
	"math"
	"testing"

	"bayproof/verify/measure"
)

// exactly returns lots with the given densities and one standard uncertainty.
func exactly(u float64, densities ...float64) []measure.Lot {
	lots := make([]measure.Lot, len(densities))
	for i, d := range densities {
		lots[i] = measure.Lot{Volume: 1, Mass: d, Density: d, Own: u, OwnDOF: math.Inf(1), U: u, DOF: math.Inf(1)}
	}
	return lots
}

// JCGM 106, 9.5 (inputs read, results from memory): a process N(1500, 0.12²) Ω, measured with u 0.04 Ω, tolerance 1499.8 to
// 1500.2 Ω. Accepted within 1499.82 to 1500.18: consumer's risk 0.98783 %, producer's 6.9026 %; accepted within the
// tolerance 1.89422 and 3.72078 %. The good component does the conditional part, 1499.8 Ω being its target.
func TestProcessRisks(t *testing.T) {
	const mu, tau, u, half = 1.2, 0.12, 0.04, 0.2 // 1499.8 Ω stands at 1, 1500.2 Ω at 1.4
	c := newCut(mu, tau, common{})
	inside := func(x float64) float64 { // P(within the tolerance | x): the upper limit by reflection about μ
		return c.good(x, u*u, 0, 1) + c.good(2*mu-x, u*u, 0, 1) - 1
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

// Iglewicz & Hoaglin's ten values: the modified z finds the last two, which hide each other from an ordinary z (read).
// As densities around a target, the same two are over-full and no other is anything.
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

// NIST/SEMATECH e-Handbook 1.3.5.17.1: Grubbs' test finds 245.57 alone (G 2.4687, critical 2.032 one-sided; read). So does
// the rule, and the mean and spread that it gives are those of the other seven: 200.70 and 1.15 (derived).
func TestOneOutlier(t *testing.T) {
	values := []float64{199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57}
	r := Judge(exactly(0.1, values...), 190, Seen{})
	for i, p := range r.Lots {
		if over := p.Over > OverAbove; over != (i == 7) {
			t.Errorf("value %v: over-full %v", values[i], p.Over)
		}
	}
	if math.Abs(r.Process.Mean-200.84) > 1 || r.Process.SD > 3 {
		t.Errorf("mean %.2f, spread %.2f", r.Process.Mean, r.Process.SD)
	}
}

// toleranceFactor is the one-sided factor k for which mean − k·s is exceeded by the share of items, with the confidence:
// the quantile of the non-central t over √n, found by bisection on P(T ≤ k√n) with the integral over s taken plainly.
func toleranceFactor(n int, content, confidence float64) float64 {
	zp := quantile(content)
	nu := float64(n - 1)
	prob := func(k float64) float64 { // P(mean + k·s ≥ μ + z_p·σ)
		var sum, all float64
		for i := 1; i < 4000; i++ {
			s := 4 * float64(i) / 4000                                    // s/σ
			w := math.Exp((nu-1)*math.Log(s) - nu*s*s/2 - nu*math.Log(1)) // density of s/σ but for a factor
			all += w
			sum += w * cdf((k*s-zp)*math.Sqrt(float64(n)))
		}
		return sum / all
	}
	lo, hi := 0.0, 60.0
	for range 60 {
		if mid := (lo + hi) / 2; prob(mid) < confidence {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

func quantile(p float64) float64 { return -math.Sqrt2 * math.Erfcinv(2*p) }

// NIST/SEMATECH e-Handbook 7.2.6.3: n 43, content 0.90, confidence 0.99: 1.8740. Montgomery, table XII, confidence 0.95 (both
// read): content .90 .95 .99. They hold the factor above, which then holds the crew's lower tolerance: for sixty bays
// known nearly exactly, where the priors weigh little, it lies at mean − k·s within a tenth of the spread.
func TestLowerTolerance(t *testing.T) {
	for _, c := range []struct {
		n                         int
		content, confidence, want float64
	}{
		{43, 0.90, 0.99, 1.8740}, {6, 0.90, 0.99, 4.4111},
		{3, 0.90, 0.95, 6.155}, {5, 0.95, 0.95, 4.203}, {10, 0.99, 0.95, 3.981}, {20, 0.90, 0.95, 1.926}, {50, 0.95, 0.95, 2.065},
	} {
		if k := toleranceFactor(c.n, c.content, c.confidence); math.Abs(k-c.want) > 0.002 {
			t.Errorf("n %d, %v at %v: %.4f, want %v", c.n, c.content, c.confidence, k, c.want)
		}
	}
	const n = 60
	var densities []float64
	var sum, sum2 float64
	for i := range n {
		d := 3.85 + 0.12*quantile((float64(i*37%n)+0.5)/n)
		densities = append(densities, d)
		sum += d
	}
	for _, d := range densities {
		sum2 += sq(d - sum/n)
	}
	s := math.Sqrt(sum2 / (n - 1))
	r := Judge(exactly(0.01, densities...), 3.5, Seen{})
	want := sum/n - toleranceFactor(n, 0.95, 0.90)*s
	if math.Abs(r.Process.LowerTolerance-want) > 0.1*s {
		t.Errorf("lower tolerance %.4f, want %.4f ± %.4f", r.Process.LowerTolerance, want, 0.1*s)
	}
}
