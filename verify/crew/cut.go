package crew

import "math"

// cut gives the part of a lot's likelihood at one (μ, τ) that lies at densities of the target or more, component by
// component. The common error of the bag weight is the same as a target known only to that: against the densities as
// read it is N(aim, sd²).
type cut struct {
	mu, t2  float64
	aim, sd float64
}

// common is the common error of the bag weight where it is the same share of every lot: a scale δ with the prior N(0, wide²),
// while the priors of mean and spread are those of the true ones, μ/(1 − δ) and τ/(1 − δ). sd is what is left of δ given both,
// rise the slope of the prior of τ; they hardly hang on μ and τ, so that they are taken once for a section, at the means.
type common struct{ wide, sd, rise float64 }

func newCommon(wide, mu, logTau float64) common {
	return common{wide, wide * meanPriorSD / math.Sqrt(sq(meanPriorSD)+sq(wide*mu)), (math.Log(SpreadMedian) - logTau) / sq(SpreadLogSD)}
}

// newCut finds the target as it stands against the densities as read: 1 − δ. Given μ and τ, δ has to first order the mean
// sd²·slope, with the slope of the logarithm of the priors.
func newCut(mu, tau float64, by common) cut {
	c := cut{mu: mu, t2: tau * tau, aim: 1, sd: by.sd}
	if by.wide > 0 {
		c.aim = 1 - sq(by.sd)*(1+mu*(meanPrior-mu)/sq(meanPriorSD)+by.rise)
	}
	return c
}

// good: a lot of a good bay has the density N(m, s²), m = (x·τ² + μ·v)/(τ² + v), s² = τ²·v/(τ² + v), so that the part
// is Φ((m − aim)/√(s² + sd²)) of its likelihood.
func (c *cut) good(x, v, half, likelihood float64) float64 {
	gain, inv := c.pull(v)
	if half == 0 {
		return likelihood * c.above(x, gain, inv)
	}
	return c.interval(x, half, gain, inv, math.Sqrt(c.t2+v))
}

// pull returns how far a reading with variance v draws the density away from μ, and one over the standard deviation
// that it leaves, the target's counted in.
func (c *cut) pull(v float64) (gain, inv float64) {
	gain = c.t2 / (c.t2 + v)
	return gain, 1 / math.Sqrt(gain*v+c.sd*c.sd)
}

// above is the chance that a good bay that reads x has the target.
func (c *cut) above(x, gain, inv float64) float64 {
	return phi.cdf((c.mu + gain*(x-c.mu) - c.aim) * inv)
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
	per := 1 / s
	mid, reach := (low+high)/2, (high-low)/2
	at := func(z float64) float64 {
		return bell.density((z-c.mu)*per) * c.above(z, gain, inv)
	}
	sum := 0.0
	for _, n := range gaussLegendre() {
		sum += n.weight * (at(mid-n.at*reach) + at(mid+n.at*reach))
	}
	return sum * reach * per / (2 * half)
}

// bad gives the same for the component of bad lots. The target is taken where it stands against the densities as read: at the
// two points of the Gauss–Hermite rule.
func (c *cut) bad(s *smear, odds float64) float64 {
	return odds * s.badAbove(c.mu, c.aim-c.sd, c.aim+c.sd)
}

// over gives the same for the component of over-full ones, whose likelihood mostly lies above the target as a whole.
func (c *cut) over(s *smear, likelihood float64) float64 {
	if overLeast*c.mu >= c.aim+c.sd {
		return likelihood
	}
	return (s.over(c.mu, c.aim-c.sd)+s.over(c.mu, c.aim+c.sd))/2 + likelihoodLeak
}
