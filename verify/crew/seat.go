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
	known, place := allEvidence(lots, target, odds)
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
	distinct, of := gather(known)
	stand := make([]int, len(keep))
	for n, j := range keep {
		stand[n] = of[j]
	}
	sums := integrate(distinct, stand)
	for n, k := range filled {
		out[k] = sums.seats[n]
		out[k].e, out[k].target = known[keep[n]], target
	}
}

// keep adds a node to the seat of a lot, which reads x with variance v there: the node's weights divided by the lot's
// own likelihood.
func (s *Seat) keep(n *node, of *sums, in *view, j int, x, v float64) {
	base, per := mixed(in.good[j], in.bad[j], in.over[j])
	k := seatNode{mu: n.mu, tau: n.tau, rule: of.rule, by: of.by, x: x, v: v, scale: 1}
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
	e := s.e
	if c.Odds > 0 {
		e.odds *= c.Odds
	}
	if c.Whole {
		e.half = 0
	}
	var l lotSums
	var room scratch
	one := newView(&room, 1)
	var weight float64
	for i := range s.nodes {
		k := &s.nodes[i]
		x, v := k.x+c.Add/s.target*k.scale, k.v+c.Var/sq(s.target)*sq(k.scale)
		if c.Whole {
			if s.e.half > 0 { // the habit of reading its count goes with the count
				x = (s.e.x + c.Add/s.target) * k.scale
			}
			v = c.Var / sq(s.target) * sq(k.scale)
		}
		v = math.Max(v, leastVariance)
		like := (&parts{mu: k.mu, t2: sq(k.tau)}).of(&e, x, v)
		n := node{mu: k.mu, tau: k.tau, rates: k.rates}
		base, per := mixed(like.good, like.bad, like.over)
		for r := range n.rates {
			n.rates[r] *= base + k.rule.nodes[r].rate*per
			weight += n.rates[r]
		}
		c := newCut(k.mu, k.tau, k.by)
		one.good[0], one.bad[0], one.over[0] = like.good, like.bad, like.over
		one.goodCut[0], one.badCut[0] = c.good(x, v, e.half, like.good), c.bad(x, v, e.half, e.odds)
		one.overCut[0] = c.over(x, v, e.half, like.over)
		l.take(&n, k.rule, one, 0)
	}
	return unit(l.pass / weight), unit(l.bad / weight)
}

// Mean returns the lot's density in kg/m³ as all evidence has it, its own reading and the other lots, and by how much
// that is above what it reads with its neighbours' readings put right. A fresh count is taken at the middle of its
// interval. NaN where the lot has no density.
func (s *Seat) Mean() (density, above float64) {
	var weight, y, over float64
	for i := range s.nodes {
		k := &s.nodes[i]
		e := s.e
		e.half = 0
		l := (&parts{mu: k.mu, t2: sq(k.tau)}).of(&e, k.x, math.Max(k.v+s.e.half*s.e.half/3, leastVariance))
		var all, bad float64
		for r, w := range k.rates {
			all += w
			bad += w * k.rule.nodes[r].rate
		}
		g, b, o := (1-overRate)*(all-bad)*l.good, (1-overRate)*bad*l.bad, overRate*all*l.over
		weight += g + b + o
		off := -(g*l.goodE.m + b*l.badE.m + o*l.overE.m)
		y += ((g+b+o)*k.x + off) / k.scale
		over += off / k.scale
	}
	return y / weight * s.target, over / weight * s.target
}
