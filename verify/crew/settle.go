package crew

import "math"

// node is one (μ, τ) with the posterior weights of the rates.
type node struct {
	i, k    int // place on the grid
	mu, tau float64
	rates   [rateCount]float64
	weight  float64 // their sum
}

// view is what one node says about the lots with all the others taken into account.
type view struct {
	times                    []int     // how many lots each evidence stands for
	good, bad, over          []float64 // likelihoods under the three components
	goodCut, badCut, overCut []float64 // what of them lies above the target
	x, v                     []float64 // the density as read and its variance, readings shared with neighbours put right; nil: as they are
}

func newView(s *scratch, n int) *view {
	return &view{nil, s.take(n), s.take(n), s.take(n), s.take(n), s.take(n), s.take(n), s.take(n), s.take(n)}
}

// section answers for a node of the grid: the likelihood of all lots in their order, and the view of each. It may let
// the view's slices point at its own.
type section interface {
	likelihood(i, k int, into *view) // good, bad and over: each lot's given those before it
	view(i, k int, into *view)       // each lot's given all others
}

// newSums integrates over the grid of μ and τ and the rate.
func newSums(s *scratch, lots []evidence, wide float64, keep []int) *sums {
	alone := make([]evidence, len(lots))
	chained, dear := anyChained(lots), false
	for j, e := range lots {
		dear = dear || e.half > 0
		e.v = e.full() - e.half*e.half/3
		e.in, e.out = link{}, link{}
		alone[j] = e
	}
	finest := fineness{1.4, 2.0, lots}
	if chained || dear { // nodes that cost more; the filter's own error is larger than that of a coarser grid
		finest.inMu = 1.7
	}
	at := place(s, alone, wide, finest)
	by := newCommon(wide, at.mean)
	var of section
	var into view
	if chained {
		of, into = newChain(s, at.g, lots, by, at.rate), *newView(s, len(lots))
		into.times = at.t.times
	} else {
		of = at.t.forAnswer(s, by)
	}
	nodes, logScale := settle(s, &at, of, &into)
	a := answerer{sums: &sums{logScale: logScale, by: by, rule: at.rule, count: total(lots)}, of: of, lots: lots, view: &into}
	return a.answer(nodes, keep)
}

// settle returns the posterior weight of every node of the grid, in units of exp(logScale).
func settle(s *scratch, at *placed, of section, lot *view) (nodes []node, logScale float64) {
	nodes = s.nodes[:0]
	highest := math.MinInt
	var powers []int
	for i := range at.g.tau {
		r := at.g.rows[i]
		for k := r.from; k < r.to; k += r.stride {
			if at.seen.weight[i*len(at.g.mu)+k] < keepNode {
				continue
			}
			of.likelihood(i, k, lot)
			n := node{i: i, k: k, mu: at.g.mu[k], tau: at.g.tau[i]}
			power := n.settle(lot, at.rule, at.g.prior(i, k)*at.g.cell(i))
			nodes, powers = append(nodes, n), append(powers, power)
			highest = max(highest, power)
		}
	}
	for at := range nodes {
		n := &nodes[at]
		f := powerOfTwo(powers[at] - highest)
		for r := range n.rates {
			n.rates[r] *= f
			n.weight += n.rates[r]
		}
	}
	s.nodes = nodes
	return nodes, float64(highest)*math.Ln2 + at.rule.logScale
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
