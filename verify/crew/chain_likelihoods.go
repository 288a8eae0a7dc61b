package crew

// fill works out the likelihoods of all hops at a node: of the good component for every node, of the others once for every μ.
func (c *chain) fill(n *node) {
	t := &c.tails[n.k]
	if t.bad == nil {
		c.fillTails(t, n.mu)
	}
	for p := range c.hops {
		h := &c.hops[p]
		e := &c.lots[h.lot]
		good := c.good[h.at:][:h.width()]
		if e.half > 0 {
			s := newSmear(e.x, e.v, e.half)
			good[0] = s.good(n.mu, n.tau)
		} else {
			normalRow(good, h.x0-n.mu, -h.shift, e.v+n.tau*n.tau, len(good), 1)
		}
	}
	q := &c.rule.nodes
	r0, r1, r2 := q[0].rate, q[1].rate, q[2].rate
	for i, good := range c.good {
		base, per := mixed(good, t.bad[i], t.over[i])
		c.mix[i] = byRate{base + r0*per, base + r1*per, base + r2*per}
	}
}

// cut works out what of them lies above the target.
func (c *chain) cut(n *node) {
	cut := newCut(n.mu, n.tau, c.by)
	t := &c.tails[n.k]
	if t.badCut == nil {
		c.cutTails(t, &cut)
	}
	for p := range c.hops {
		h := &c.hops[p]
		e := &c.lots[h.lot]
		good, above := c.good[h.at:][:h.width()], c.goodCut[h.at:][:h.width()]
		if e.half > 0 {
			above[0] = cut.good(e.x, e.v, e.half, good[0])
			continue
		}
		gain, inv := cut.pull(e.v)
		for d := range good {
			above[d] = good[d] * cut.above(h.x(d), gain, inv)
		}
	}
}

// fillTails works out the likelihoods that do not hang on τ.
func (c *chain) fillTails(t *tails, mu float64) {
	t.bad, t.over = c.room.take(c.length), c.room.take(c.length)
	for p := range c.hops {
		h := &c.hops[p]
		e := &c.lots[h.lot]
		read := newSmear(e.x, e.v, e.half)
		bad, over := t.bad[h.at:][:h.width()], t.over[h.at:][:h.width()]
		for d := range bad {
			read.x = h.x(d)
			bad[d], over[d] = read.tails(mu, e.odds)
		}
	}
}

// cutTails works out what of them lies above the target.
func (c *chain) cutTails(t *tails, cut *cut) {
	t.badCut, t.overCut = c.room.take(c.length), c.room.take(c.length)
	for p := range c.hops {
		h := &c.hops[p]
		e := &c.lots[h.lot]
		read := newSmear(e.x, e.v, e.half)
		for d := range h.width() {
			read.x = h.x(d)
			t.badCut[h.at+d] = cut.bad(&read, e.odds)
			t.overCut[h.at+d] = cut.over(&read, t.over[h.at+d])
		}
	}
}
