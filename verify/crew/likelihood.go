package crew

import (
	"math"

	"bayproof/verify/stat"
)

// reading is what a lot reads, as a likelihood over the density y that it may have: normal in y with standard deviation sd
// around x; where half > 0 (a fresh count) the mean of that over x − half to x + half. Shares of the target.
type reading struct{ x, sd, half float64 }

func (e *evidence) reading() reading { return reading{e.x, math.Sqrt(e.v), e.half} }

// good is the likelihood of the reading if the lot is good: N(x; μ, τ² + sd²), over an interval the chance of falling into it,
// by its width.
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

// bad is the likelihood of the reading if the lot is bad: y between nothing and most = badMost·μ with the density
//
//	(1 − badRise)/most + 2·badRise·y/most².
func (r *reading) bad(mu float64) float64 {
	most := badMost * mu
	l := r.badUpTo(most, most)
	if r.x-r.half < stat.NormalReach*r.sd { // else nothing lies below 0
		l -= r.badUpTo(0, most)
	}
	return max(0, l)
}

// badAbove is the part of it that lies at densities of a or more.
func (r *reading) badAbove(mu, a float64) float64 {
	most := badMost * mu
	if most <= a {
		return 0
	}
	return max(0, r.badUpTo(most, most)-r.badUpTo(a, most))
}

func (r *reading) badUpTo(edge, most float64) float64 {
	mass, first := r.upTo(edge)
	return ((1-badRise)*mass + 2*badRise*first/most) / most
}

// over is the likelihood of the reading and of a density of at least from, if the lot is over-full: y between overLeast·μ and
// overMost·μ, all equally likely. What no component explains is counted in here.
func (r *reading) over(mu, from float64) float64 {
	low, most := max(overLeast*mu, from), overMost*mu
	if most <= low {
		return likelihoodLeak
	}
	return max(0, r.massUpTo(most)-r.massUpTo(low))/((overMost-overLeast)*mu) + likelihoodLeak
}

// massUpTo is the integral of the likelihood over y up to an edge: Φ(z), z = (edge − x)/sd; over an interval the mean of that,
// from ∫Φ = z·Φ + φ.
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

// upTo gives with it the integral of y times the likelihood: x·Φ(z) − sd·φ(z); over an interval the mean of that, from
// ∫z·Φ = ((z² − 1)·Φ + z·φ)/2.
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

// parts are a lot's likelihoods under the three components at one (μ, τ), or what of each lies above the target.
type parts struct{ good, bad, over float64 }

func (r *reading) parts(mu, tau, odds float64) parts {
	return parts{r.good(mu, tau), odds * r.bad(mu), r.over(mu, 0)}
}

// mixed is the lot's likelihood at a rate of bad bays, base + rate·perRate:
// (1 − o)·(1 − rate)·good + (1 − o)·rate·bad + o·over with o the rate of over-full ones.
func (p *parts) mixed() (base, perRate float64) {
	return (1-overRate)*p.good + overRate*p.over, (1 - overRate) * (p.bad - p.good)
}

// cut takes the part of a lot's likelihood at one (μ, τ) that lies at densities of the target or more. The target is
// N(aim, sd²) against the densities as read (see scale).
type cut struct{ mu, tau2, aim, sd float64 }

func (s *scale) cut(mu, tau float64) cut { return cut{mu, tau * tau, s.aim(mu), s.sd} }

// of returns the parts above the target; whole are the lot's likelihoods.
func (c *cut) of(r *reading, odds float64, whole parts) parts {
	bad, over := c.tails(r, odds, whole.over)
	return parts{c.good(r, whole.good), bad, over}
}

// good: the density of a good lot that reads x is N(m, s²), m = (x·τ² + μ·v)/(τ² + v), s² = τ²·v/(τ² + v), v = sd² of the
// reading; so the part is Φ((m − aim)/√(s² + sd²)) of its likelihood.
func (c *cut) good(r *reading, likelihood float64) float64 {
	gain, per := c.pull(r.sd * r.sd)
	if r.half == 0 {
		return likelihood * c.above(r.x, gain, per)
	}
	return c.interval(r, gain, per)
}

// pull returns how far a reading of variance v draws the density away from μ, and one over the standard deviation that it
// leaves, the target's counted in.
func (c *cut) pull(v float64) (gain, per float64) {
	gain = c.tau2 / (c.tau2 + v)
	return gain, 1 / math.Sqrt(gain*v+c.sd*c.sd)
}

// above is the chance that a good lot that reads x has the target.
func (c *cut) above(x, gain, per float64) float64 {
	return stat.TableCDF((c.mu + gain*(x-c.mu) - c.aim) * per)
}

// interval is good for a fresh count: the mean of N(z; μ, τ² + v)·Φ over z in x ± half, by Gauss and Legendre's rule with eight
// nodes (Abramowitz & Stegun 25.4.30).
func (c *cut) interval(r *reading, gain, per float64) float64 {
	s := math.Sqrt(c.tau2 + r.sd*r.sd)
	low, high := max(r.x-r.half, c.mu-5*s), min(r.x+r.half, c.mu+5*s)
	if high <= low {
		return 0
	}
	mid, reach := (low+high)/2, (high-low)/2
	at := func(z float64) float64 {
		_, bell := stat.TableNormal((z - c.mu) / s)
		return bell / s * c.above(z, gain, per)
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

// tails gives the parts of bad and of over-full lots, with the target at the two nodes of the Gauss–Hermite rule, aim ± sd.
// over is the likelihood of the whole of the latter, which mostly lies above the target.
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

// means are the densities of a lot with this reading if it is good, bad, over-full; the reading where that says nothing about
// it. The reading is no interval.
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

// between returns the integrals of the likelihood L, of y·L and of y²·L from low to high:
// ∫L = Φ(z), ∫y·L = x·Φ − sd·φ, ∫y²·L = (x² + sd²)·Φ − sd·(y + x)·φ up to y.
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

// cdf is the standard normal distribution function Φ(z).
func cdf(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }

// density is the standard normal density φ(z) = exp(−z²/2)/√(2π).
func density(z float64) float64 {
	return math.Exp(-0.5*z*z) * (1 / (math.Sqrt2 * 1.7724538509055160273))
}

// normalRow writes the normal density with variance v at so many places an even step apart, every stride of into. Neighbours
// differ by a factor that itself grows by a constant factor, so that a row needs few exponentials: it is built outward from
// the place nearest to 0.
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
