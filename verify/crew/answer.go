package crew

import "math"

// answer takes the posterior means over the nodes that carry weight into the sums, and the seats of the lots in keep.
func answer(g *grid, phi *normalTable, of section, lots []evidence, nodes []node, s *sums, keep []int) *sums {
	most := 0.0
	for _, n := range nodes {
		most = math.Max(most, n.weight)
	}
	s.lots = make([]lotSums, len(lots))
	s.seats = make([]Seat, len(keep))
	for k := range keep {
		s.seats[k].phi, s.seats[k].wide = phi, s.wide
	}
	v := newView(len(lots))
	for at := range nodes {
		n := &nodes[at]
		if n.weight < forget*most {
			continue
		}
		of.view(at/len(g.mu), at%len(g.mu), v)
		s.take(n)
		c := newCut(phi, n.mu, n.tau, s.wide)
		for j := range lots {
			s.lots[j].take(n, v, j, &c, lots[j].half)
		}
		for k, j := range keep {
			s.seats[k].keep(n, v, j)
		}
	}
	s.normalise()
	return s
}

func (s *sums) take(n *node) {
	rates := rateNodes()
	for r, w := range n.rates {
		s.rate += w * rates[r].rate
	}
	s.weight += n.weight
	s.mu += n.weight * n.mu
	s.mu2 += n.weight * n.mu * n.mu
	s.tau += n.weight * n.tau
	s.tau2 += n.weight * n.tau * n.tau
	s.nodes = append(s.nodes, muTau{n.mu, n.tau, n.weight})
}

// take adds one node's say about a lot. With Lᵣ = base + r·per the posterior weight of its good component is
// (1 − o)·G·Σ wᵣ(1 − r)/Lᵣ, of the bad one (1 − o)·B·Σ wᵣ·r/Lᵣ, of the over-full one o·O·Σ wᵣ/Lᵣ.
func (l *lotSums) take(n *node, v *view, j int, c *cut, half float64) {
	base, per := mixed(v.good[j], v.bad[j], v.over[j])
	rates := rateNodes()
	var all, bad float64
	for r, w := range n.rates {
		q := w / (base + rates[r].rate*per)
		all += q
		bad += q * rates[r].rate
	}
	good := (1 - overRate) * (all - bad)
	bad *= 1 - overRate
	over := overRate * all
	l.pass += good*c.good(v.x[j], v.v[j], half, v.good[j]) + bad*v.badCut[j] + over*v.overCut[j]
	l.bad += bad * v.bad[j]
	l.over += over * v.over[j]
	l.seen += n.weight * v.x[j]
	l.seen2 += n.weight * v.x[j] * v.x[j]
	l.v += n.weight * v.v[j]
}

func (s *sums) normalise() {
	w := 1 / s.weight
	for _, p := range []*float64{&s.mu, &s.mu2, &s.tau, &s.tau2, &s.rate} {
		*p *= w
	}
	for i := range s.nodes {
		s.nodes[i].weight *= w
	}
	for k := range s.seats {
		s.seats[k].weigh(w, 1)
	}
	for j := range s.lots {
		l := &s.lots[j]
		for _, p := range []*float64{&l.pass, &l.bad, &l.over, &l.seen, &l.seen2, &l.v} {
			*p *= w
		}
	}
}
