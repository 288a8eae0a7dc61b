package crew

import "math"

// sums are the posterior means that the answers are made of. weight is the evidence that they rest on, in units of
// exp(logScale).
type sums struct {
	rule                     *rateRule // of the rates of the nodes
	weight, logScale         float64
	lots                     []lotSums // by evidence
	count                    int       // lots that the evidence stands for
	mu, mu2, tau, tau2, rate float64
	by                       common // error that the nodes do not hold
	packs                    []pack // for the quantile of μ − 1.645 τ
	seats                    []Seat
}

type lotSums struct {
	pass, bad, over float64 // P(≥ target), P(bad), P(over)
	seen, seen2     float64 // what a bad lot's own reading is, readings shared with neighbours put right
	v               float64 // and its variance
}

// add brings in the sums at another node of an outer integral; each is normalised to its own weight.
func (s *sums) add(o *sums, nodeWeight float64) {
	if len(s.lots) == 0 {
		*s = sums{logScale: o.logScale, by: o.by, count: o.count, lots: make([]lotSums, len(o.lots)), seats: make([]Seat, len(o.seats))}
	}
	w := o.weight * nodeWeight * math.Exp(o.logScale-s.logScale)
	s.weight += w
	share := w / s.weight
	mix := func(a *float64, b float64) { *a += (b - *a) * share }
	mix(&s.mu, o.mu)
	mix(&s.mu2, o.mu2)
	mix(&s.tau, o.tau)
	mix(&s.tau2, o.tau2)
	mix(&s.rate, o.rate)
	for j := range s.lots {
		a, b := &s.lots[j], &o.lots[j]
		mix(&a.pass, b.pass)
		mix(&a.bad, b.bad)
		mix(&a.over, b.over)
		mix(&a.seen, b.seen)
		mix(&a.seen2, b.seen2)
		mix(&a.v, b.v)
	}
	for k := range s.seats {
		s.seats[k].weigh(1-share, 1)
		o.seats[k].weigh(share, 1)
		s.seats[k].nodes = append(s.seats[k].nodes, o.seats[k].nodes...)
	}
	for i := range s.packs {
		s.packs[i].weight *= 1 - share
	}
	for _, p := range o.packs {
		p.weight *= share
		s.packs = append(s.packs, p)
	}
}

// posterior returns a lot's figures in kg/m³ and shares of its length.
func (s *sums) posterior(j int, e *evidence, target float64) Posterior {
	l := &s.lots[j]
	u2 := l.v + max(0, l.seen2-l.seen*l.seen) + e.half*e.half/3
	uMu2 := max(0, s.mu2-s.mu*s.mu)
	p := Posterior{ProbAtTarget: unit(l.pass), Bad: unit(l.bad), Over: unit(l.over)}
	p.Blind = math.Min(1, blindFactor*math.Sqrt(u2+s.tau2+uMu2)/s.mu)
	p.read = asRead{l.seen, u2, s.mu, uMu2}
	return p
}

// blindFactor is 2 × 1.645: 5 % false alarms, 5 % misses.
const blindFactor = 3.29

// asRead is a lot's reading and the crew's mean with their variances, all relative to the target.
type asRead struct{ x, u2, mu, uMu2 float64 }

// Empty returns the share of the lot's length that would be empty if the rest were packed at the crew's mean, if the lot is
// bad, with its 90 % interval: 1 − y/μ, normal around 1 − x/μ with variance (u² + (x/μ)²·u_μ²)/μ², cut to what a bad bay can be,
// from 1 − badMost to 1, and tilted as its distribution is: to first order by the variance times the slope of its logarithm.
func (p *Posterior) Empty() (mean, lo, hi float64) {
	r := p.read.x / p.read.mu
	sd := math.Sqrt(p.read.u2+r*r*p.read.uMu2) / p.read.mu
	f := 1 - r
	f -= sd * sd * 2 * badRise / ((1-badRise)*badMost + 2*badRise*min(max(r, 0), badMost))
	a, b := (1-badMost-f)/sd, (1-f)/sd
	below, mass := cdf(a), cdf(b)-cdf(a)
	if !(mass > 1e-12) {
		edge := math.Min(math.Max(f, 1-badMost), 1)
		return edge, edge, edge
	}
	point := func(p float64) float64 { return f - sd*math.Sqrt2*math.Erfcinv(2*(below+p*mass)) }
	return f + sd*(density(a)-density(b))/mass, point(0.05), point(0.95)
}

func cdf(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }

func unit(p float64) float64 { return math.Min(1, math.Max(0, p)) }

// process returns the section's figures in kg/m³.
func (s *sums) process(target float64) Process {
	return Process{
		Lots: s.count,
		Mean: s.mu * target, UMean: math.Sqrt(max(0, s.mu2-s.mu*s.mu)) * target,
		SD: s.tau * target, USD: math.Sqrt(max(0, s.tau2-s.tau*s.tau)) * target,
		Rate: s.rate, LowerTolerance: s.lower(nineteenInTwenty, atNinety) * target,
	}
}
