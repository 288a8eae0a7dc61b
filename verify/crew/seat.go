package crew

import (
	"math"

	"bayproof/verify/measure"
)

// Seat is what all other lots say about one lot's place: with it the lot's own reading can be changed without going
// through the section again. What the lot itself has taught about the crew stays out of it.
type Seat struct {
	e      evidence
	target float64
	nodes  []seatNode
}

// seatNode is one (μ, τ) with the weights that the rates have without this lot.
type seatNode struct {
	mu, tau float64
	rule    *rateRule
	by      common
	rates   [rateCount]float64
	x, v    float64 // the lot as read, readings shared with neighbours put right
	scale   float64 // what this node multiplies densities by
}

// Change is another reading of the same lot, in kg/m³.
type Change struct {
	Add   float64 // more density
	Var   float64 // variance added to the lot's own; taken away where negative
	Whole bool    // Var is all of the lot's variance instead: neither its count nor shared readings count any more
	Odds  float64 // factor on the odds of its being bad; 0 leaves them
}

// Seats returns the seats of some lots, in the order of which; named are the lots that Judge found to be no evidence for
// the others. The other arguments are those of Judge.
func Seats(lots []measure.Lot, target float64, seen Seen, named []bool, which []int) []Seat {
	out := make([]Seat, len(which))
	var plain, odd []int // places in which
	for k, i := range which {
		if named[i] {
			odd = append(odd, k)
		} else {
			plain = append(plain, k)
		}
	}
	rest, odds := without(lots, seen.Odds, named)
	at := make([]int, len(lots)) // place among the rest
	for i, n := 0, 0; i < len(lots); i++ {
		at[i] = n
		if !named[i] {
			n++
		}
	}
	seats(rest, target, odds, which, plain, func(i int) int { return at[i] }, out)
	seats(lots, target, seen.Odds, which, odd, func(i int) int { return i }, out)
	return out
}

// seats fills in the seats whose places in which are given; at is where a lot stands among those given.
func seats(lots []measure.Lot, target float64, odds []float64, which, places []int, at func(int) int, out []Seat) {
	if len(places) == 0 || !(target > 0) {
		return
	}
	s := scratches.Get().(*scratch)
	defer scratches.Put(s)
	known, place := s.allEvidence(lots, target, odds)
	among := make(map[int]int, len(place))
	for j, i := range place {
		among[i] = j
	}
	var keep, filled []int
	for _, k := range places {
		if j, ok := among[at(which[k])]; ok {
			keep, filled = append(keep, j), append(filled, k)
		}
	}
	if len(keep) == 0 {
		return
	}
	distinct, of := s.gather(known)
	stand := make([]int, len(keep))
	for n, j := range keep {
		stand[n] = of[j]
	}
	sums := s.integrate(distinct, stand)
	for n, k := range filled {
		out[k] = sums.seats[n]
		out[k].e, out[k].target = known[keep[n]], target
	}
}

// keep adds a node to the seat of a lot: the node's weights divided by the lot's own likelihood.
func (s *Seat) keep(n *node, of *sums, in *view, j int, e *evidence) {
	base, per := mixed(in.good[j], in.bad[j], in.over[j])
	k := seatNode{mu: n.mu, tau: n.tau, rule: of.rule, by: of.by, x: e.x, v: e.v, scale: 1}
	for r, w := range n.rates {
		k.rates[r] = w / (base + of.rule.nodes[r].rate*per)
	}
	s.nodes = append(s.nodes, k)
}

// weigh multiplies all weights, and notes the scale of a node of the outer integral.
func (s *Seat) weigh(f, scale float64) {
	for i := range s.nodes {
		n := &s.nodes[i]
		n.scale *= scale
		for r := range n.rates {
			n.rates[r] *= f
		}
	}
}

// Prob returns P(density ≥ target) and P(bad) after a change; NaN where the lot has no density.
func (s *Seat) Prob(c Change) (atTarget, bad float64) {
	if len(s.nodes) == 0 {
		return math.NaN(), math.NaN()
	}
	half, odds := s.e.half, s.e.odds
	if c.Odds > 0 {
		odds *= c.Odds
	}
	whole := 0.0
	if c.Whole {
		half, whole = 0, s.asRead()
	}
	var pass, isBad, weight float64
	for i := range s.nodes {
		k := &s.nodes[i]
		x, v := k.x+c.Add/s.target*k.scale, k.v+c.Var/sq(s.target)*sq(k.scale)
		if c.Whole {
			x, v = (whole+c.Add/s.target)*k.scale, c.Var/sq(s.target)*sq(k.scale)
		}
		read := newSmear(x, math.Max(v, leastVariance), half)
		p, b, w := k.ask(&read, odds)
		pass, isBad, weight = pass+p, isBad+b, weight+w
	}
	return unit(pass / weight), unit(isBad / weight)
}

// asRead is the lot's density, a share of the target, with its neighbours' readings put right. With a fresh count the
// habit of reading it goes too.
func (s *Seat) asRead() float64 {
	if s.e.half > 0 {
		return s.e.x
	}
	var x, weight float64
	for i := range s.nodes {
		k := &s.nodes[i]
		w := k.weight()
		x, weight = x+w*k.x/k.scale, weight+w
	}
	return x / weight
}

func (k *seatNode) weight() (sum float64) {
	for _, w := range k.rates {
		sum += w
	}
	return sum
}

// ask returns the weight of a reading at a node, and what of it lies above the target and is bad.
func (k *seatNode) ask(read *smear, odds float64) (pass, bad, weight float64) {
	l := read.likelihoods(k.mu, k.tau, odds)
	cut := newCut(k.mu, k.tau, k.by)
	g, b, o := k.shares()
	pass = g*cut.good(read.x, sq(read.sd), read.half, l.good) + b*cut.bad(read, odds) + o*cut.over(read, l.over)
	return pass, b * l.bad, g*l.good + b*l.bad + o*l.over
}

// shares are the weights of the three components before the lot's own reading.
func (k *seatNode) shares() (good, bad, over float64) {
	all := k.weight()
	for r, w := range k.rates {
		bad += w * k.rule.nodes[r].rate
	}
	return (1 - overRate) * (all - bad), (1 - overRate) * bad, overRate * all
}

// Mean returns the lot's density in kg/m³ as all evidence has it, its own reading and the other lots, and by how much
// that is above what it reads with its neighbours' readings put right. A fresh count is taken at the middle of its
// interval. NaN where the lot has no density.
func (s *Seat) Mean() (density, above float64) {
	var weight, y, over float64
	for i := range s.nodes {
		k := &s.nodes[i]
		read := newSmear(k.x, math.Max(k.v+s.e.half*s.e.half/3, leastVariance), 0)
		l := read.likelihoods(k.mu, k.tau, s.e.odds)
		g, b, o := k.shares()
		g, b, o = g*l.good, b*l.bad, o*l.over
		mean := g*read.meanGood(k.mu, k.tau) + b*read.meanBad(k.mu) + o*read.meanOver(k.mu)
		weight += g + b + o
		y += mean / k.scale
		over += (mean - (g+b+o)*k.x) / k.scale
	}
	return y / weight * s.target, over / weight * s.target
}
