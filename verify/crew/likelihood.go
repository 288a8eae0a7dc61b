// Likelihoods of a single reading.
//
// A reading x of a lot with the true density y has a normal error of standard deviation sd: its
// likelihood is φ((x − y)/sd)/sd. A fresh count is known only to lie in an interval: its likelihood
// is the mean of that over x − half to x + half. The rule needs three integrals of it over y, one
// for each component of the prior, and of each the part at y ≥ 1, the target. All are closed forms
// in Φ and φ (normal distribution function and density) but for the part of a good fresh count, for
// which a Gauss–Legendre rule is used. A section asks for Φ and φ some ten thousand times, so that
// both are read from a table of cubics that is good to 1e-7 (TestNormalTable).
//
// Everything is a share of the target; likelihoods are per share of the target.

package crew

import (
	"math"

	"bayproof/verify/stat"
)

// reading is what a lot reads, as a likelihood over the density y that it may have: normal in y
// around x with standard deviation sd > 0; where half > 0 (a fresh count) the mean of that over x −
// half to x + half. All three are shares of the target.
type reading struct{ x, sd, half float64 }

// reading returns the lot's own reading: sd is the square root of its own variance v, which leaves
// out the errors that lots share.
func (e *evidence) reading() reading { return reading{e.x, math.Sqrt(e.v), e.half} }

// good returns the likelihood of the reading if the lot is good, G(μ, τ). y ~ N(μ, τ²) and a normal
// error make the reading normal about μ:
//
//	G = φ(d)/s,  d = (x − μ)/s,  s² = sd² + τ²
//
// and for an interval its mean over x ± half, (Φ(d + half/s) − Φ(d − half/s))/(2·half).
func (r *reading) good(mu, tau float64) float64 {
	per := 1 / math.Sqrt(r.sd*r.sd+tau*tau)
	d := (r.x - mu) * per
	if r.half == 0 {
		_, bell := stat.TableNormal(d)
		return bell * per
	}
	w := r.half * per
	return (stat.TableCDF(d+w) - stat.TableCDF(d-w)) / (2 * r.half)
}

// bad returns the likelihood of the reading if the lot is bad, B(μ): its error integrated over y
// from 0 to most = badMost·μ with the prior density
//
//	p(y) = (1 − badRise)/most + 2·badRise·y/most²
//
// which rises evenly and integrates to 1. Where the reading lies more than normalReach·sd above 0,
// the lower end of the integral adds nothing and is left out. It is never below 0, as rounding of
// the table could make it.
func (r *reading) bad(mu float64) float64 {
	most := badMost * mu
	l := r.badUpTo(most, most)
	if r.x-r.half < stat.NormalReach*r.sd { // else nothing lies below 0
		l -= r.badUpTo(0, most)
	}
	return max(0, l)
}

// badAbove returns the part of B(μ) that lies at densities y ≥ a; 0 where no bad lot is that dense.
func (r *reading) badAbove(mu, a float64) float64 {
	most := badMost * mu
	if most <= a {
		return 0
	}
	return max(0, r.badUpTo(most, most)-r.badUpTo(a, most))
}

// badUpTo returns the integral of p(y) times the likelihood over y from −∞ to edge, for bad bays up
// to most: ((1 − badRise)·M + 2·badRise·F/most)/most with M and F of upTo.
func (r *reading) badUpTo(edge, most float64) float64 {
	mass, first := r.upTo(edge)
	return ((1-badRise)*mass + 2*badRise*first/most) / most
}

// over returns the likelihood of the reading together with a density y ≥ from, if the lot is
// over-full: y uniform from overLeast·μ to overMost·μ. With from = 0 it is O(μ). likelihoodLeak,
// what no component explains, is counted in here.
func (r *reading) over(mu, from float64) float64 {
	low, most := max(overLeast*mu, from), overMost*mu
	if most <= low {
		return likelihoodLeak
	}
	return max(0, r.massUpTo(most)-r.massUpTo(low))/((overMost-overLeast)*mu) + likelihoodLeak
}

// massUpTo returns the integral of the likelihood over y from −∞ to edge: Φ(z) with z = (edge −
// x)/sd; for an interval the mean of that over x ± half, from the antiderivative ∫Φ dz = z·Φ + φ.
func (r *reading) massUpTo(edge float64) float64 {
	z := (edge - r.x) / r.sd
	if r.half == 0 {
		return stat.TableCDF(z)
	}
	w := r.half / r.sd
	integral := func(z float64) float64 {
		p, d := stat.TableNormal(z)
		return z*p + d
	}
	return (integral(z+w) - integral(z-w)) / (2 * w)
}

// upTo returns the integrals up to edge of the likelihood, M = Φ(z), and of y times the likelihood,
// F = x·Φ(z) − sd·φ(z), z = (edge − x)/sd; for an interval the means of those over x ± half, from
// ∫Φ dz = z·Φ + φ and ∫z·Φ dz = ((z² − 1)·Φ + z·φ)/2.
func (r *reading) upTo(edge float64) (mass, first float64) {
	z := (edge - r.x) / r.sd
	if r.half == 0 {
		p, d := stat.TableNormal(z)
		return p, r.x*p - r.sd*d
	}
	w := r.half / r.sd
	integrals := func(z float64) (mass, first float64) {
		p, d := stat.TableNormal(z)
		mass = z*p + d
		return mass, edge*mass - r.sd*((z*z+1)*p+z*d)/2
	}
	m, f := integrals(z + w)
	n, g := integrals(z - w)
	return (m - n) / (2 * w), (f - g) / (2 * w)
}

// parts are a lot's likelihoods G, B and O under the three components at one (μ, τ), or what of
// each lies at densities y ≥ 1. What else the log says about a bad bay (odds) is counted into bad.
type parts struct{ good, bad, over float64 }

// parts returns the three likelihoods at one (μ, τ). odds multiplies the bad one: a factor from
// what the log says besides masses, 1 for nothing.
func (r *reading) parts(mu, tau, odds float64) parts {
	return parts{r.good(mu, tau), odds * r.bad(mu), r.over(mu, 0)}
}

// mixed returns the lot's likelihood as a linear function of the rate r of bad bays, L = base +
// r·perRate, o being the rate of over-full ones:
//
//	base = (1 − o)·G + o·O,  perRate = (1 − o)·(B − G)
func (p *parts) mixed() (base, perRate float64) {
	return (1-overRate)*p.good + overRate*p.over, (1 - overRate) * (p.bad - p.good)
}

// cut takes of a lot's likelihoods at one (μ, τ) the part that lies at densities of the target or
// more. Against the densities as read the target is N(aim, sd²): what all lots have in common is
// not known, and a common scale error is the same as a target that is not quite known (see scale).
// All are shares of the target but tau2 = τ².
type cut struct{ mu, tau2, aim, sd float64 }

// cut returns the cut at one (μ, τ).
func (s *scale) cut(mu, tau float64) cut { return cut{mu, tau * tau, s.aim(mu), s.sd} }

// of returns the parts of the three likelihoods above the target; whole are the lot's likelihoods,
// odds the factor that is counted into its bad one.
func (c *cut) of(r *reading, odds float64, whole parts) parts {
	bad, over := c.tails(r, odds, whole.over)
	return parts{c.good(r, whole.good), bad, over}
}

// good returns the part of a good lot's likelihood above the target. Given a reading x of variance
// v = sd² the density of a good lot is N(m, s²) with
//
//	m = (x·τ² + μ·v)/(τ² + v),  s² = τ²·v/(τ² + v)
//
// (the product of two normal densities), so that the part is likelihood·Φ((m − aim)/√(s² + sd²)),
// sd being that of the target. For an interval see interval.
func (c *cut) good(r *reading, likelihood float64) float64 {
	return c.pulled(r, likelihood, c.pull(r))
}

// pull is how far a reading of variance v draws the density of a good lot away from μ, gain =
// τ²/(τ² + v), and one over the standard deviation of density less target, per = 1/√(gain·v + sd²).
// The first term is s² of good. Neither depends on μ or on what is read.
type pull struct{ gain, per float64 }

func (c *cut) pull(r *reading) pull {
	v := r.sd * r.sd
	gain := c.tau2 / (c.tau2 + v)
	return pull{gain, 1 / math.Sqrt(gain*v+c.sd*c.sd)}
}

// pulled is good with the reading's pull at hand.
func (c *cut) pulled(r *reading, likelihood float64, p pull) float64 {
	if r.half == 0 {
		return likelihood * c.above(r.x, p)
	}
	return c.interval(r, p)
}

// above returns P(density ≥ target) of a good lot that reads x, Φ((μ + gain·(x − μ) − aim)·per).
func (c *cut) above(x float64, p pull) float64 {
	return stat.TableCDF((c.mu + p.gain*(x-c.mu) - c.aim) * p.per)
}

// interval is good for a fresh count: the mean over z in x ± half of φ((z − μ)/s)/s·above(z), s² =
// τ² + sd² of the reading. There is no closed form; it is integrated by Gauss and Legendre's rule
// with eight nodes (Abramowitz & Stegun 25.4.30), over the part of the interval that lies within
// five s of μ. It returns 0 where none does.
func (c *cut) interval(r *reading, p pull) float64 {
	s := math.Sqrt(c.tau2 + r.sd*r.sd)
	low, high := max(r.x-r.half, c.mu-5*s), min(r.x+r.half, c.mu+5*s)
	if high <= low {
		return 0
	}
	mid, reach := (low+high)/2, (high-low)/2
	at := func(z float64) float64 {
		_, bell := stat.TableNormal((z - c.mu) / s)
		return bell / s * c.above(z, p)
	}
	sum := 0.0
	for _, n := range [4]struct{ at, weight float64 }{
		{0.183434642495650, 0.362683783378362}, {0.525532409916329, 0.313706645877887},
		{0.796666477413627, 0.222381034453374}, {0.960289856497536, 0.101228536290376},
	} {
		sum += n.weight * (at(mid-n.at*reach) + at(mid+n.at*reach))
	}
	return sum * reach / (2 * r.half)
}

// tails returns the parts of the bad and of the over-full likelihood above the target. The target
// is taken at the two nodes of the Gauss–Hermite rule, aim ± sd, each with weight 1/2 (Abramowitz &
// Stegun 25.4.46). over is the likelihood of the whole over-full component: mostly all of it lies
// above the target, and it is returned as it is.
func (c *cut) tails(r *reading, odds, over float64) (badAbove, overAbove float64) {
	low, high := c.aim-c.sd, c.aim+c.sd
	if badMost*c.mu > low {
		badAbove = r.badAbove(c.mu, low)
		if c.sd > 0 {
			badAbove = (badAbove + r.badAbove(c.mu, high)) / 2
		}
	}
	if overLeast*c.mu < high {
		over = (r.over(c.mu, low) + r.over(c.mu, high)) / 2
	}
	return odds * badAbove, over
}

// means returns the posterior mean density of a lot with this reading under each component:
//
//	good: (x·τ² + μ·v)/(τ² + v), v = sd²
//	bad:  ∫ y·p(y)·likelihood / ∫ p(y)·likelihood over 0 to badMost·μ, p(y) as in bad
//	over: the same with p(y) constant over overLeast·μ to overMost·μ
//
// Where the reading is so far from a component that its integral is below 1e-9, it is x: such a
// component has no weight. The reading must not be an interval (half is not looked at).
func (r *reading) means(mu, tau float64) parts {
	v := r.sd * r.sd
	m := parts{(r.x*tau*tau + mu*v) / (v + tau*tau), r.x, r.x}
	const says = 1e-9 // of the likelihood
	most := badMost * mu
	mass, first, second := r.between(0, most)
	if l := (1-badRise)*mass + 2*badRise*first/most; l > says {
		m.bad = ((1-badRise)*first + 2*badRise*second/most) / l
	}
	if mass, first, _ = r.between(overLeast*mu, overMost*mu); mass > says {
		m.over = first / mass
	}
	return m
}

// between returns the integrals of the likelihood, of y times it and of y² times it from low to
// high, as differences of the antiderivatives at y, z = (y − x)/sd:
//
//	∫L = Φ(z),  ∫y·L = x·Φ − sd·φ,  ∫y²·L = (x² + sd²)·Φ − sd·(y + x)·φ
//
// It takes Φ and φ themselves, not the table's, as it divides small differences.
func (r *reading) between(low, high float64) (mass, first, second float64) {
	for _, edge := range [2]struct{ y, sign float64 }{{low, -1}, {high, 1}} {
		z := (edge.y - r.x) / r.sd
		p, d := edge.sign*cdf(z), edge.sign*density(z)
		mass += p
		first += r.x*p - r.sd*d
		second += (r.x*r.x+r.sd*r.sd)*p - r.sd*(edge.y+r.x)*d
	}
	return mass, first, second
}

// cdf is the standard normal distribution function Φ(z) = erfc(−z/√2)/2, to the last digits.
func cdf(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }

// density is the standard normal density φ(z) = exp(−z²/2)/√(2π).
func density(z float64) float64 {
	return math.Exp(-0.5*z*z) * (1 / (math.Sqrt2 * 1.7724538509055160273))
}

// normalRow writes the normal density of variance v, exp(−d²/2v)/√(2πv), at the places d = first,
// first + step, … into every stride-th element of into. step may be negative.
//
// Neighboring values differ by the factor exp(−(2·d·step + step²)/2v), which from place to place
// itself changes by the constant factor exp(−step²/v). So a row needs four exponentials however
// long it is. It is built outward from the place nearest to d = 0, where the density is largest, so
// that rounding errors stay relative to values that fall.
func normalRow(into []float64, stride int, first, step, v float64, places int) {
	last := places - 1
	nearest := min(max(int(-first/step+0.5), 0), last)
	d := first + float64(nearest)*step
	half := 0.5 / v
	y := math.Exp(-d*d*half) * math.Sqrt(half/math.Pi)
	up, down, shrink := math.Exp(-(2*d+step)*step*half), math.Exp((2*d-step)*step*half), math.Exp(-2*step*step*half)
	at := nearest * stride
	into[at] = y
	for k, y := at+stride, y; k <= last*stride; k += stride {
		y *= up
		up *= shrink
		into[k] = y
	}
	for k := at - stride; k >= 0; k -= stride {
		y *= down
		down *= shrink
		into[k] = y
	}
}
