package crew

import "math"

// cut gives the part of a lot's likelihood that lies at densities of the target or more, component by component. The
// common error of the bag weight, wide, is the same as a target known only to that.
type cut struct {
	phi        *normalTable
	x, v, half float64
	wide       float64
	mu, tau    float64
}

// target returns mean and standard deviation of the target against the densities as read: 1 − δ where the scale δ has
// the prior N(0, wide²) and μ(1 + δ) that of the crew's mean.
func (c *cut) target() (mean, sd float64) {
	if c.wide == 0 {
		return 1, 0
	}
	w := sq(c.wide)
	by := sq(meanPriorSD) + w*c.mu*c.mu
	return 1 - w*c.mu*(meanPrior-c.mu)/by, c.wide * meanPriorSD / math.Sqrt(by)
}

// good: a lot of a good bay has the density N(m, s²), m = (x·τ² + μ·v)/(τ² + v), s² = τ²·v/(τ² + v), so that the part
// is Φ((m − target)/√(s² + wide²)) of its likelihood.
func (c *cut) good(likelihood float64) float64 {
	target, sd := c.target()
	t2 := c.tau * c.tau
	sum := t2 + c.v
	inv := 1 / math.Sqrt(t2*c.v/sum+sd*sd)
	if c.half == 0 {
		return likelihood * c.phi.cdf(((c.x*t2+c.mu*c.v)/sum-target)*inv)
	}
	return c.interval(target, t2/sum, inv, math.Sqrt(sum))
}

// gaussLegendre is the eight-point rule on [−1, 1] (Abramowitz & Stegun 25.4.30), the half with positive nodes.
func gaussLegendre() [4]struct{ at, weight float64 } {
	return [4]struct{ at, weight float64 }{
		{0.183434642495650, 0.362683783378362}, {0.525532409916329, 0.313706645877887},
		{0.796666477413627, 0.222381034453374}, {0.960289856497536, 0.101228536290376},
	}
}

// interval is the same for a fresh count: the mean of N(z; μ, τ² + v)·Φ over z in x ± half.
func (c *cut) interval(target, gain, inv, s float64) float64 {
	low, high := math.Max(c.x-c.half, c.mu-5*s), math.Min(c.x+c.half, c.mu+5*s)
	if high <= low {
		return 0
	}
	mid, reach := (low+high)/2, (high-low)/2
	at := func(z float64) float64 {
		return density((z-c.mu)/s) * c.phi.cdf((c.mu+gain*(z-c.mu)-target)*inv)
	}
	sum := 0.0
	for _, n := range gaussLegendre() {
		sum += n.weight * (at(mid-n.at*reach) + at(mid+n.at*reach))
	}
	return sum * reach / s / (2 * c.half)
}

func (c *cut) bad() float64 {
	return c.flat(0, badMost*c.mu) / (badMost * c.mu)
}

func (c *cut) over(likelihood float64) float64 {
	target, sd := c.target()
	if overLeast*c.mu >= target+4*sd {
		return likelihood
	}
	return c.flat(overLeast*c.mu, overMost*c.mu)/((overMost-overLeast)*c.mu) + likelihoodLeak
}

// flat is the part of a flat component from low to high that lies above the target, the target taken at the three
// points of the Gauss–Hermite rule.
func (c *cut) flat(low, high float64) float64 {
	target, sd := c.target()
	if high <= target-4*sd {
		return 0
	}
	t := table{phi: c.phi}
	u := math.Sqrt(c.v)
	if sd == 0 {
		return t.between(c.x, u, c.half, math.Max(low, target), high)
	}
	reach := sd * math.Sqrt(3)
	return (t.between(c.x, u, c.half, math.Max(low, target-reach), high) +
		4*t.between(c.x, u, c.half, math.Max(low, target), high) +
		t.between(c.x, u, c.half, math.Max(low, target+reach), high)) / 6
}
