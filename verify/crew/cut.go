package crew

import "math"

// cut gives the part of a lot's likelihood at one (μ, τ) that lies at densities of the target or more, component by
// component. The common error of the bag weight, wide, is the same as a target known only to that: against the
// densities as read it is N(aim, sd²).
type cut struct {
	mu, t2  float64
	aim, sd float64
}

// newCut finds the target as it stands against the densities as read: 1 − δ where the scale δ has the prior N(0, wide²)
// and μ(1 + δ) that of the crew's mean.
func newCut(mu, tau, wide float64) cut {
	c := cut{mu: mu, t2: tau * tau, aim: 1}
	if wide > 0 {
		w := sq(wide)
		by := sq(meanPriorSD) + w*mu*mu
		c.aim, c.sd = 1-w*mu*(meanPrior-mu)/by, wide*meanPriorSD/math.Sqrt(by)
	}
	return c
}

// good: a lot of a good bay has the density N(m, s²), m = (x·τ² + μ·v)/(τ² + v), s² = τ²·v/(τ² + v), so that the part
// is Φ((m − aim)/√(s² + sd²)) of its likelihood.
func (c *cut) good(x, v, half, likelihood float64) float64 {
	sum := c.t2 + v
	gain := c.t2 / sum
	inv := 1 / math.Sqrt(gain*v+c.sd*c.sd)
	if half == 0 {
		return likelihood * phi.cdf((c.mu+gain*(x-c.mu)-c.aim)*inv)
	}
	return c.interval(x, half, gain, inv, math.Sqrt(sum))
}

// gaussLegendre is the eight-point rule on [−1, 1] (Abramowitz & Stegun 25.4.30), the half with positive nodes.
func gaussLegendre() [4]struct{ at, weight float64 } {
	return [4]struct{ at, weight float64 }{
		{0.183434642495650, 0.362683783378362}, {0.525532409916329, 0.313706645877887},
		{0.796666477413627, 0.222381034453374}, {0.960289856497536, 0.101228536290376},
	}
}

// interval is the same for a fresh count: the mean of N(z; μ, τ² + v)·Φ over z in x ± half.
func (c *cut) interval(x, half, gain, inv, s float64) float64 {
	low, high := max(x-half, c.mu-5*s), min(x+half, c.mu+5*s)
	if high <= low {
		return 0
	}
	mid, reach := (low+high)/2, (high-low)/2
	at := func(z float64) float64 {
		return density((z-c.mu)/s) * phi.cdf((c.mu+gain*(z-c.mu)-c.aim)*inv)
	}
	sum := 0.0
	for _, n := range gaussLegendre() {
		sum += n.weight * (at(mid-n.at*reach) + at(mid+n.at*reach))
	}
	return sum * reach / s / (2 * half)
}

// bad and over give the same for the components that are flat in the density.
func (c *cut) bad(x, v, half, odds float64) float64 {
	return odds * c.flat(x, v, half, 0, badMost*c.mu) / (badMost * c.mu)
}

func (c *cut) over(x, v, half, likelihood float64) float64 {
	if overLeast*c.mu >= c.aim+4*c.sd {
		return likelihood
	}
	return c.flat(x, v, half, overLeast*c.mu, overMost*c.mu)/((overMost-overLeast)*c.mu) + likelihoodLeak
}

// flat is the part of a flat component from low to high that lies above the target, the target taken at the three
// points of the Gauss–Hermite rule.
func (c *cut) flat(x, v, half, low, high float64) float64 {
	if high <= c.aim-4*c.sd {
		return 0
	}
	f := newFlat(x, v, half)
	if c.sd == 0 {
		return f.between(max(low, c.aim), high)
	}
	reach := c.sd * math.Sqrt(3)
	return (f.between(max(low, c.aim-reach), high) +
		4*f.between(max(low, c.aim), high) +
		f.between(max(low, c.aim+reach), high)) / 6
}
