package crew

// forget is a node's share of the highest weight below which it takes no part in the answers.
const forget = 1e-3

// take adds a node's say about the section.
func (s *sums) take(n *node) {
	for r, w := range n.rates {
		s.rate += w * s.rule.nodes[r].rate
	}
	s.weight += n.weight
	s.mu += n.weight * n.mu
	s.mu2 += n.weight * n.mu * n.mu
	s.tau += n.weight * n.tau
	s.tau2 += n.weight * n.tau * n.tau
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

// read adds what a bad lot's own reading is.
func (l *lotSums) read(weight, x, v float64) {
	l.seen += weight * x
	l.seen2 += weight * x * x
	l.v += weight * v
}

func (s *sums) normalise() {
	w := 1 / s.weight
	for _, p := range []*float64{&s.mu, &s.mu2, &s.tau, &s.tau2, &s.rate} {
		*p *= w
	}
	packed := 0.0
	for i := range s.packs {
		packed += s.packs[i].weight
	}
	for i := range s.packs {
		s.packs[i].weight /= packed
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
