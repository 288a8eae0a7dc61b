package crew

// answer runs back along the chain after settle has run forward.
func (c *chain) answer(n *node, s *sums, keep []int) {
	c.cut(n)
	c.backward(func(p int) { c.say(&c.hops[p], n, s, keep) })
}

// say adds what a node says about one lot. The weights between hold those of the rates.
func (c *chain) say(h *hop, n *node, s *sums, keep []int) {
	between, mix := c.between[:h.width()], c.mix[h.at:][:h.width()]
	with, without := 0.0, 0.0 // the lot's own likelihood
	for d := range between {
		w, m := &between[d], &mix[d]
		with += w[0]*m[0] + w[1]*m[1] + w[2]*m[2]
		without += w[0] + w[1] + w[2]
	}
	t, at := &c.tails[n.k], h.at
	goodCut, bad, badCut := c.goodCut[at:][:len(between)], t.bad[at:][:len(between)], t.badCut[at:][:len(between)]
	over, overCut := t.over[at:][:len(between)], t.overCut[at:][:len(between)]
	q := &c.rule.nodes
	r0, r1, r2 := q[0].rate, q[1].rate, q[2].rate
	var pass, isBad, isOver, seen, seen2 float64
	for d := range between {
		w, x := &between[d], h.x(d)
		all := w[0] + w[1] + w[2]
		b := w[0]*r0 + w[1]*r1 + w[2]*r2
		g := (1 - overRate) * (all - b)
		b *= 1 - overRate
		o := overRate * all
		pass += g*goodCut[d] + b*badCut[d] + o*overCut[d]
		isBad += b * bad[d]
		isOver += o * over[d]
		seen += all * x
		seen2 += all * x * x
	}
	l, e := &s.lots[h.lot], &c.lots[h.lot]
	own := n.weight / with
	l.pass += own * pass
	l.bad += own * isBad
	l.over += own * isOver
	l.seen += n.weight / without * seen
	l.seen2 += n.weight / without * seen2
	l.v += n.weight * e.v
	for k, j := range keep {
		if j == h.lot {
			c.keep(h, n, own, &s.seats[k])
		}
	}
}

// keep adds a node to the seat of a lot for every difference of its readings' errors.
func (c *chain) keep(h *hop, n *node, own float64, seat *Seat) {
	for d, w := range c.between[:h.width()] {
		k := seatNode{mu: n.mu, tau: n.tau, rule: c.rule, by: c.by, x: h.x(d), v: c.lots[h.lot].v, scale: 1}
		for r := range w {
			k.rates[r] = own * w[r]
		}
		seat.nodes = append(seat.nodes, k)
	}
}
