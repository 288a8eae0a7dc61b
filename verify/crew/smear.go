package crew

import "math"

// smear is a lot's reading as a likelihood over the density that it may have, to be integrated: a normal error, averaged
// over x ± half where the count is fresh.
type smear struct{ x, half, sd, inv float64 }

func newSmear(x, v, half float64) smear {
	sd := math.Sqrt(v)
	return smear{x, half, sd, 1 / sd}
}

// likelihoods are those of a lot under the three components at one (μ, τ).
type likelihoods struct{ good, bad, over float64 }

func (s *smear) likelihoods(mu, tau, odds float64) likelihoods {
	bad, over := s.tails(mu, odds)
	return likelihoods{s.good(mu, tau), bad, over}
}

// tails are the likelihoods that do not hang on τ.
func (s *smear) tails(mu, odds float64) (bad, over float64) {
	return odds * s.bad(mu), s.over(mu, 0) + likelihoodLeak
}

// good: the reading is N(μ, τ² + u²) if the lot is good; over an interval the chance of falling into it, by its width.
func (s *smear) good(mu, tau float64) float64 {
	per := 1 / math.Sqrt(s.sd*s.sd+tau*tau)
	d := (s.x - mu) * per
	if s.half == 0 {
		return bell.density(d) * per
	}
	w := s.half * per
	return (phi.cdf(d+w) - phi.cdf(d-w)) / (2 * s.half)
}

// bad is the likelihood of the reading if the lot is bad.
func (s *smear) bad(mu float64) float64 {
	most := badMost * mu
	part := s.badUpTo(most, 1/most)
	if s.x-s.half < phiReach*s.sd { // else nothing lies below 0
		part -= s.badUpTo(0, 1/most)
	}
	return max(0, part)
}

// badAbove is the part of it above a target that is either of two, equally likely; a ≤ b.
func (s *smear) badAbove(mu, a, b float64) float64 {
	most := badMost * mu
	if most <= a {
		return 0
	}
	per := 1 / most
	return max(0, s.badUpTo(most, per)-(s.badUpTo(a, per)+s.badUpTo(min(b, most), per))/2)
}

// badUpTo: a bad lot's density lies between nothing and badMost·μ = 1/per and is the likelier the more it is; its distribution
// rises evenly around per, by badRise of that to either side.
func (s *smear) badUpTo(edge, per float64) float64 {
	mass, first := s.upTo(edge)
	return tilted(mass, first, per) * per
}

// tilted weighs an integral by how likely a bad lot's densities are beside each other; above is the same with one density more
// under it.
func tilted(integral, above, per float64) float64 {
	return (1-badRise)*integral + 2*badRise*per*above
}

// over is the likelihood of the reading and of a density of at least from, if the lot is over-full: from overLeast·μ to
// overMost·μ, all equally likely.
func (s *smear) over(mu, from float64) float64 {
	low, most := max(overLeast*mu, from), overMost*mu
	if most <= low {
		return 0
	}
	return max(0, s.massUpTo(most)-s.massUpTo(low)) / ((overMost - overLeast) * mu)
}

// massUpTo is the integral of the likelihood over densities up to an edge: Φ(z), z = (edge − x)/u; over an interval the mean
// of that, from ∫Φ = z·Φ + φ.
func (s *smear) massUpTo(edge float64) float64 {
	z := (edge - s.x) * s.inv
	if s.half == 0 {
		return phi.cdf(z)
	}
	w := s.half * s.inv
	return (normalIntegral(z+w) - normalIntegral(z-w)) / (2 * w)
}

// upTo gives with it the integral of density times likelihood: x·Φ(z) − u·φ(z); over an interval the mean of that, from
// ∫z·Φ = ((z² − 1)·Φ + z·φ)/2.
func (s *smear) upTo(edge float64) (mass, first float64) {
	z := (edge - s.x) * s.inv
	if s.half == 0 {
		p, d := normal.at(z)
		return p, s.x*p - s.sd*d
	}
	w := s.half * s.inv
	m, f := s.integrals(z+w, edge)
	n, g := s.integrals(z-w, edge)
	return (m - n) / (2 * w), (f - g) / (2 * w)
}

func (s *smear) integrals(z, edge float64) (mass, first float64) {
	p, d := normal.at(z)
	mass = z*p + d
	return mass, edge*mass - s.sd*((z*z+1)*p+z*d)/2
}
