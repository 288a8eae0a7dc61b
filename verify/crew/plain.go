package crew

import "math"

// plain is a section without a counter: every lot's error is its own.
type plain struct {
	*table
	room            *scratch
	rule            *rateRule
	by              common
	badCut, overCut []float64 // [μ][lot]: the parts of bad and over above the target
	cutAt           []bool    // by μ: whether they are worked out
	row             int       // τ that gain and inv are for, -1 for none
	gain, inv       []float64 // [lot]
	goodCut         []float64 // [lot]
}

func newPlain(s *scratch, t *table, rule *rateRule, by common) *plain {
	nk, n := len(t.g.mu), len(t.lots)
	return &plain{table: t, room: s, rule: rule, by: by, badCut: s.take(n * nk), overCut: s.take(n * nk), cutAt: make([]bool, nk),
		row: -1, gain: s.take(n), inv: s.take(n), goodCut: s.take(n)}
}

func (p *plain) sum(at *placed, s *sums, keep []int) {
	nodes, logScale := p.settle(at)
	s.logScale = logScale
	most := 0.0
	for i := range nodes {
		most = max(most, nodes[i].weight)
	}
	var rows [mostTau]tauRow
	for i := range nodes {
		n := &nodes[i]
		rows[n.i].add(n)
		if n.weight >= forget*most {
			s.take(n)
			p.answer(n, s, keep)
		}
	}
	s.packs = p.room.packs[:0]
	s.spread(at.g, rows[:])
	p.room.packs = s.packs
}

// settle returns the posterior weight of every node, in units of exp(logScale).
func (p *plain) settle(at *placed) (nodes []node, logScale float64) {
	nodes = p.room.nodes[:0]
	highest := math.MinInt
	var lot view
	at.each(keepNode, func(n node) {
		p.likelihood(n.i, n.k, &lot)
		n.power = n.settle(&lot, p.rule, at.prior(&n))
		nodes = append(nodes, n)
		highest = max(highest, n.power)
	})
	for at := range nodes {
		nodes[at].scale(highest)
	}
	p.room.nodes = nodes
	return nodes, float64(highest) * math.Ln2
}

// answer adds a node's say about every lot.
func (p *plain) answer(n *node, s *sums, keep []int) {
	var lot view
	p.view(n, &lot)
	for j := range p.lots {
		e, l := &p.lots[j], &s.lots[j]
		l.take(n, p.rule, &lot, j)
		l.read(n.weight, e.x, e.v)
	}
	for k, j := range keep {
		s.seats[k].keep(n, s, &lot, j, &p.lots[j])
	}
}

// view works out what lies above the target: of bad and over once for every μ, of the good one with what hangs on τ alone
// taken once for every row.
func (p *plain) view(node *node, into *view) {
	k, n := node.k, len(p.lots)
	p.likelihood(node.i, k, into)
	into.goodCut, into.badCut, into.overCut = p.goodCut, p.badCut[k*n:][:n], p.overCut[k*n:][:n]
	c := newCut(node.mu, node.tau, p.by)
	if p.row != node.i {
		p.row = node.i
		for j := range p.lots {
			p.gain[j], p.inv[j] = c.pull(p.lots[j].v)
		}
	}
	for j := range p.lots {
		if e := &p.lots[j]; e.half == 0 {
			into.goodCut[j] = into.good[j] * c.above(e.x, p.gain[j], p.inv[j])
		} else {
			into.goodCut[j] = c.good(e.x, e.v, e.half, into.good[j])
		}
	}
	if p.cutAt[k] {
		return
	}
	p.cutAt[k] = true
	for j := range p.lots {
		e := &p.lots[j]
		s := newSmear(e.x, e.v, e.half)
		into.badCut[j] = c.bad(&s, e.odds)
		into.overCut[j] = c.over(&s, into.over[j])
	}
}
