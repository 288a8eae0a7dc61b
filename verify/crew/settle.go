package crew

// node is one (μ, τ) with the posterior weights of the rates.
type node struct {
	i, k    int // place on the grid
	mu, tau float64
	rates   [rateCount]float64
	weight  float64 // their sum
	power   int     // of two, that the weights are in units of
}

// view is what one node says about the lots, each one's error its own.
type view struct {
	times                    []int     // how many lots each evidence stands for
	good, bad, over          []float64 // likelihoods under the three components
	goodCut, badCut, overCut []float64 // what of them lies above the target
}

// section sums over the nodes that the look leaves weight: into the sums, and into the seats of the lots in keep.
type section interface {
	sum(at *placed, s *sums, keep []int)
}

// newSums integrates over the grid of μ and τ and the rate.
func newSums(s *scratch, lots []evidence, wide float64, keep []int) *sums {
	chained := anyChained(lots)
	s.alone = sized(s.alone, len(lots))
	alone := s.alone
	for j, e := range lots {
		e.v = e.full() - e.half*e.half/3
		e.in, e.out = link{}, link{}
		alone[j] = e
	}
	finest := fineness{1.5, 2.65, lots}
	if chained { // whose nodes cost more
		finest.inMu, finest.inTau = 1.8, 3.0
	}
	at := place(s, alone, wide, finest)
	by := newCommon(wide, at.mean, at.log)
	sums := &sums{by: by, count: total(lots), lots: make([]lotSums, len(lots)), seats: make([]Seat, len(keep))}
	var of section
	if chained {
		sums.rule = rateRuleFor(chainRates, at.bad, at.good)
		of = newChain(s, &at, lots, sums.rule, by)
	} else {
		sums.rule = rateRuleFor(rateCount, at.bad, at.good)
		of = newPlain(s, at.t, sums.rule, by)
	}
	of.sum(&at, sums, keep)
	sums.logScale += sums.rule.logScale
	sums.normalise()
	return sums
}

// each gives the nodes to which the look leaves at least a share of the highest weight.
func (at *placed) each(least float64, give func(node)) {
	for i, tau := range at.g.tau {
		r := at.g.rows[i]
		for k := r.from; k < r.to; k += r.stride {
			if at.seen[i*len(at.g.mu)+k] >= least {
				give(node{i: i, k: k, mu: at.g.mu[k], tau: tau})
			}
		}
	}
}

// prior is the prior weight of a node and its part of the grid.
func (at *placed) prior(n *node) float64 { return at.g.prior(n.i, n.k) * at.g.cell(n.i) }

// scale brings the weights to another power of two.
func (n *node) scale(power int) {
	f := powerOfTwo(n.power - power)
	n.weight = 0
	for r := range n.rates {
		n.rates[r] *= f
		n.weight += n.rates[r]
	}
}

// settle multiplies the lots' likelihoods and the prior into the weights of the rates, whose sum it leaves in
// [1, 2), and returns the power of two that it took out.
func (n *node) settle(lot *view, rule *rateRule, prior float64) (power int) {
	p := &n.rates
	for r := range p {
		p[r] = rule.nodes[r].weight * prior
	}
	for from, to := 0, 0; from < len(lot.good); from = to { // a few lots cannot leave the range of a float64, eighty can
		to = block(lot.times, from)
		n.multiply(lot, rule, from, to)
		_, e := scaled(p[0] + p[1] + p[2] + p[3] + p[4] + p[5])
		f := powerOfTwo(-e)
		for r := range p {
			p[r] *= f
		}
		power += e
	}
	return power
}

// multiply is the inner loop: the weights stay in registers.
func (n *node) multiply(lot *view, rule *rateRule, from, to int) {
	goods, bads, overs, times := lot.good[from:to], lot.bad[from:to], lot.over[from:to], lot.times[from:to]
	p, q := &n.rates, &rule.nodes
	p0, p1, p2, p3, p4, p5 := p[0], p[1], p[2], p[3], p[4], p[5]
	r0, r1, r2, r3, r4, r5 := q[0].rate, q[1].rate, q[2].rate, q[3].rate, q[4].rate, q[5].rate
	for j, good := range goods {
		base, per := mixed(good, bads[j], overs[j])
		l0, l1, l2, l3, l4, l5 := base+r0*per, base+r1*per, base+r2*per, base+r3*per, base+r4*per, base+r5*per
		for t := times[j]; ; { // to the power of times, by squares
			if t&1 == 1 {
				p0, p1, p2, p3, p4, p5 = p0*l0, p1*l1, p2*l2, p3*l3, p4*l4, p5*l5
			}
			if t >>= 1; t == 0 {
				break
			}
			l0, l1, l2, l3, l4, l5 = l0*l0, l1*l1, l2*l2, l3*l3, l4*l4, l5*l5
		}
	}
	*p = [rateCount]float64{p0, p1, p2, p3, p4, p5}
}
