package crew

import (
	"math"
	"sort"
)

// chain is a section whose lots share readings of the running counter: lot j reads
//
//	xⱼ = yⱼ + c_in·ε_in + c_out·ε_out + own error,   ε ~ N(0, U²), one and the same ε in the lot after it.
//
// Given (μ, τ) a filter runs along the chain. It carries the distribution of the one reading that two lots share, kept
// normal by matching its mean and variance after each lot (a mixture of the three components). Forward it gives the
// likelihood of each lot given those before; forward and backward together what each lot's own reading is given all
// the others.
type chain struct {
	g       *grid
	lots    []evidence
	by      common
	rate    float64  // of bad bays, in the weights by which the filter keeps its belief; the answers integrate it
	order   []int    // lots by their readings; those without a counter stand anywhere
	linked  []bool   // by position in order: the lot's first reading is the last one of the lot before
	forward []belief // by position: of the lot's first reading, given the lots before it
	behind  []belief // of its last reading, given the lots after it
}

// belief is the normal distribution of a reading's error, in bags.
type belief struct{ m, v float64 }

func newChain(s *scratch, g *grid, lots []evidence, by common, rate float64) *chain {
	n := len(lots)
	c := &chain{g: g, lots: lots, by: by, rate: rate, order: make([]int, n), linked: make([]bool, n),
		forward: make([]belief, n+1), behind: make([]belief, n+1)}
	for j := range c.order {
		c.order[j] = j
	}
	sort.SliceStable(c.order, func(a, b int) bool { return lots[c.order[a]].out.reading < lots[c.order[b]].out.reading })
	for p := 1; p < n; p++ {
		before, e := &lots[c.order[p-1]], &lots[c.order[p]]
		c.linked[p] = e.in.coef != 0 && before.out.coef != 0 && e.in.reading == before.out.reading
	}
	return c
}

// likelihood runs the filter forward; it leaves the beliefs for view.
func (c *chain) likelihood(i, k int, into *view) { c.filter(c.parts(i, k), into) }

func (c *chain) filter(parts *parts, into *view) {
	var carried belief
	for p, j := range c.order {
		e := &c.lots[j]
		in, out := belief{0, e.in.v}, belief{0, e.out.v}
		if c.linked[p] {
			in = carried
		}
		c.forward[p] = in
		x := e.x - e.in.coef*in.m
		v := e.v + sq(e.in.coef)*in.v + sq(e.out.coef)*out.v
		l := parts.of(e, x, v)
		into.good[j], into.bad[j], into.over[j] = l.good, l.bad, l.over
		carried = parts.learn(&l, v, e.out.coef, out)
	}
}

// view runs the filter backward and puts both together.
func (c *chain) view(i, k int, into *view) {
	parts := c.parts(i, k)
	c.filter(parts, into)
	cut := newCut(c.g.mu[k], c.g.tau[i], c.by)
	var carried belief
	for p := len(c.order) - 1; p >= 0; p-- {
		e := &c.lots[c.order[p]]
		in, out := belief{0, e.in.v}, belief{0, e.out.v}
		if p+1 < len(c.order) && c.linked[p+1] {
			out = carried
		}
		x := e.x - e.out.coef*out.m
		v := e.v + sq(e.in.coef)*in.v + sq(e.out.coef)*out.v
		l := parts.of(e, x, v)
		carried = parts.learn(&l, v, e.in.coef, in)
		c.join(p, c.forward[p], out, parts, &cut, into)
	}
}

func (c *chain) join(p int, in, out belief, parts *parts, cut *cut, into *view) {
	j := c.order[p]
	e := &c.lots[j]
	into.x[j] = e.x - e.in.coef*in.m - e.out.coef*out.m
	into.v[j] = e.v + sq(e.in.coef)*in.v + sq(e.out.coef)*out.v
	l := parts.of(e, into.x[j], into.v[j])
	into.good[j], into.bad[j], into.over[j] = l.good, l.bad, l.over
	into.goodCut[j] = cut.good(into.x[j], into.v[j], e.half, l.good)
	into.badCut[j] = cut.bad(into.x[j], into.v[j], e.half, e.odds)
	into.overCut[j] = cut.over(into.x[j], into.v[j], e.half, l.over)
}

func (c *chain) parts(i, k int) *parts {
	mu, tau := c.g.mu[k], c.g.tau[i]
	return &parts{mu: mu, t2: tau * tau, rate: c.rate}
}

// parts are the three components at one node.
type parts struct {
	mu, t2 float64
	rate   float64
}

// likelihoods of a lot, with the first two moments of its error e = x − y under each component, e ~ N(0, v) before.
type likelihoods struct {
	good, bad, over    float64
	goodE, badE, overE belief
}

// of returns the likelihoods of a reading x with error variance v. Under a flat component from low to high the error
// is a normal variable cut to (x − high, x − low).
func (p *parts) of(e *evidence, x, v float64) likelihoods {
	if e.half > 0 {
		return p.interval(e, x, v)
	}
	var l likelihoods
	s2 := v + p.t2
	d := x - p.mu
	per := 1 / math.Sqrt(s2)
	l.good = bell.density(d*per) * per
	l.goodE = belief{d * v / s2, v * p.t2 / s2}
	sd := math.Sqrt(v)
	l.bad, l.badE = p.flat(x, sd, 0, badMost*p.mu)
	l.bad *= e.odds
	l.over, l.overE = p.flat(x, sd, overLeast*p.mu, overMost*p.mu)
	l.over += likelihoodLeak
	return l
}

// interval is the same for a fresh count, which shares no reading with another lot.
func (p *parts) interval(e *evidence, x, v float64) likelihoods {
	half := e.half
	s, f := math.Sqrt(v+p.t2), newFlat(x, v, half)
	return likelihoods{
		good: (phi.cdf((x+half-p.mu)/s) - phi.cdf((x-half-p.mu)/s)) / (2 * half),
		bad:  e.odds * f.between(0, badMost*p.mu) / (badMost * p.mu),
		over: f.between(overLeast*p.mu, overMost*p.mu)/((overMost-overLeast)*p.mu) + likelihoodLeak,
	}
}

func (p *parts) flat(x, sd, low, high float64) (float64, belief) {
	a, b := (x-high)/sd, (x-low)/sd
	ca, fa := phi.cdf(a), bell.density(a)
	cb, fb := phi.cdf(b), bell.density(b)
	mass := cb - ca
	if mass < 1e-7 { // far outside: what is known of the error stays as it was
		return 0, belief{0, sd * sd}
	}
	m := (fa - fb) / mass
	return mass / (high - low), belief{sd * m, positive(sd * sd * (1 + (a*fa-b*fb)/mass - m*m))}
}

// learn returns the belief about a reading with coefficient coef and belief before, after a lot with error variance v:
// the reading moves with the lot's error by K = coef·before.v/v.
func (p *parts) learn(l *likelihoods, v, coef float64, before belief) belief {
	if coef == 0 || before.v == 0 {
		return before
	}
	wg := (1 - overRate) * (1 - p.rate) * l.good
	wb := (1 - overRate) * p.rate * l.bad
	wo := overRate * l.over
	sum := wg + wb + wo
	wg, wb, wo = wg/sum, wb/sum, wo/sum
	m := wg*l.goodE.m + wb*l.badE.m + wo*l.overE.m
	within := wg*l.goodE.v + wb*l.badE.v + wo*l.overE.v
	between := wg*sq(l.goodE.m-m) + wb*sq(l.badE.m-m) + wo*sq(l.overE.m-m)
	gain := coef * before.v / v
	return belief{before.m + gain*m, before.v - gain*coef*before.v + gain*gain*(within+between)}
}

func positive(x float64) float64 {
	if x > 0 {
		return x
	}
	return 0
}
