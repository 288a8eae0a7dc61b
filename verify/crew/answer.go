package crew

// forget is a node's share of the highest weight below which it takes no part in the answers.
const forget = 1e-5

// answerer takes the posterior means over the nodes.
type answerer struct {
	sums *sums
	of   section
	lots []evidence
	view *view
}

// answer takes the nodes that carry weight into the sums, and into the seats of the lots in keep.
func (a *answerer) answer(nodes []node, keep []int) *sums {
	most := 0.0
	for i := range nodes {
		most = max(most, nodes[i].weight)
	}
	s := a.sums
	s.lots = make([]lotSums, len(a.lots))
	s.seats = make([]Seat, len(keep))
	s.nodes = make([]muTau, 0, len(nodes))
	for i := range nodes {
		if n := &nodes[i]; n.weight >= forget*most {
			a.of.view(n.i, n.k, a.view)
			s.take(n)
			a.take(n)
			for k, j := range keep {
				x, v := a.reading(j)
				s.seats[k].keep(n, s, a.view, j, x, v)
			}
		}
	}
	if a.view.x == nil {
		for j := range s.lots {
			e, l := &a.lots[j], &s.lots[j]
			l.seen, l.seen2, l.v = e.x*s.weight, e.x*e.x*s.weight, e.v*s.weight
		}
	}
	s.normalise()
	return s
}

// reading returns a lot's density and its variance at the node in view.
func (a *answerer) reading(j int) (x, v float64) {
	if a.view.x == nil {
		return a.lots[j].x, a.lots[j].v
	}
	return a.view.x[j], a.view.v[j]
}

// take adds a node's say about every lot.
func (a *answerer) take(n *node) {
	for j := range a.lots {
		l := &a.sums.lots[j]
		l.take(n, a.sums.rule, a.view, j)
		if a.view.x != nil {
			x, v := a.reading(j)
			l.seen += n.weight * x
			l.seen2 += n.weight * x * x
			l.v += n.weight * v
		}
	}
}

func (s *sums) take(n *node) {
	for r, w := range n.rates {
		s.rate += w * s.rule.nodes[r].rate
	}
	s.weight += n.weight
	s.mu += n.weight * n.mu
	s.mu2 += n.weight * n.mu * n.mu
	s.tau += n.weight * n.tau
	s.tau2 += n.weight * n.tau * n.tau
	s.nodes = append(s.nodes, muTau{n.mu, n.tau, n.weight})
}

// take adds one node's say about a lot. With
// Lᵣ = base + r·per the posterior weight of its good component is (1 − o)·G·Σ wᵣ(1 − r)/Lᵣ, of the bad one
// (1 − o)·B·Σ wᵣ·r/Lᵣ, of the over-full one o·O·Σ wᵣ/Lᵣ.
func (l *lotSums) take(n *node, rule *rateRule, v *view, j int) {
	base, per := mixed(v.good[j], v.bad[j], v.over[j])
	var all, bad float64
	for r, w := range n.rates {
		rate := rule.nodes[r].rate
		q := w / (base + rate*per)
		all += q
		bad += q * rate
	}
	good := (1 - overRate) * (all - bad)
	bad *= 1 - overRate
	over := overRate * all
	l.pass += good*v.goodCut[j] + bad*v.badCut[j] + over*v.overCut[j]
	l.bad += bad * v.bad[j]
	l.over += over * v.over[j]
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
