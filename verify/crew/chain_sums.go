package crew

import (
	"cmp"
	"math"
	"slices"
)

// sum goes through the nodes from the likeliest of the look on: each is settled, and answered for at once if it carries weight.
// A node beside one that carries none, and that the look thought less of, is passed over.
func (c *chain) sum(at *placed, s *sums, keep []int) {
	var all []node
	at.each(keepNode, func(n node) { all = append(all, n) })
	seen := func(n *node) float64 { return at.seen[n.i*len(c.g.mu)+n.k] }
	slices.SortStableFunc(all, func(a, b node) int { return cmp.Compare(seen(&b), seen(&a)) })
	dead := make([]bool, len(at.seen))
	var rows [mostTau]tauRow
	most, first := 0.0, 0
	for i := range all {
		n := &all[i]
		place, stride := n.i*len(c.g.mu)+n.k, at.g.rows[n.i].stride
		if n.k >= stride && dead[place-stride] || n.k+stride < len(c.g.mu) && dead[place+stride] {
			dead[place] = true
			continue
		}
		n.power = c.settle(n, at.prior(n))
		if i == 0 {
			first = n.power
		}
		n.scale(first)
		rows[n.i].add(n)
		most = max(most, n.weight)
		dead[place] = n.weight < forget/10*most
		if n.weight >= forget*most {
			s.take(n)
			c.answer(n, s, keep)
		}
	}
	s.spread(at.g, rows[:])
	s.logScale = float64(first) * math.Ln2
}

// settle runs forward along the chain and leaves in from what every hop's first reading is known to be by the hops before.
func (c *chain) settle(n *node, prior float64) (power int) {
	c.fill(n)
	var all byRate // weight of the rates with all hops before a break
	for r := range all {
		all[r] = c.rule.nodes[r].weight * prior
	}
	for p := range c.hops {
		h := &c.hops[p]
		from := c.from[h.first:][:len(h.in.weight)]
		if !h.linked {
			for a, w := range h.in.weight {
				from[a] = byRate{w * all[0], w * all[1], w * all[2]}
			}
		}
		next := c.aft[:len(h.out.weight)] // of no further use
		linked := p+1 < len(c.hops) && c.hops[p+1].linked
		if linked {
			next = c.from[c.hops[p+1].first:][:len(next)]
		}
		mix, last := c.mix[h.at:][:h.width()], len(next)-1
		for b, w := range h.out.weight { // backward, as the next hop wants it
			x0, x1, x2 := through(from, mix[b:])
			next[last-b] = byRate{w * x0, w * x1, w * x2}
		}
		if p%scaleAfter == scaleAfter-1 || p+1 == len(c.hops) {
			power += shrink(next)
		}
		if !linked {
			all = added(next)
		}
	}
	copy(n.rates[:], all[:])
	return power
}

// shrink takes a power of two out of the weights that leaves their sum in [1, 2).
func shrink(weight []byRate) (power int) {
	x := added(weight)
	_, power = scaled(x[0] + x[1] + x[2])
	f := powerOfTwo(-power)
	for a := range weight {
		w := &weight[a]
		w[0], w[1], w[2] = w[0]*f, w[1]*f, w[2]*f
	}
	return power
}

func added(weight []byRate) byRate {
	var x0, x1, x2 float64
	for a := range weight {
		w := &weight[a]
		x0, x1, x2 = x0+w[0], x1+w[1], x2+w[2]
	}
	return byRate{x0, x1, x2}
}

// through is the sum of weights times likelihoods at each rate; two sums by turns keep the adder busy.
func through(weight, like []byRate) (x0, x1, x2 float64) {
	var y0, y1, y2 float64
	like = like[:len(weight)]
	a := 0
	for ; a+1 < len(weight); a += 2 {
		f, l, g, m := &weight[a], &like[a], &weight[a+1], &like[a+1]
		x0, x1, x2 = x0+f[0]*l[0], x1+f[1]*l[1], x2+f[2]*l[2]
		y0, y1, y2 = y0+g[0]*m[0], y1+g[1]*m[1], y2+g[2]*m[2]
	}
	if a < len(weight) {
		f, l := &weight[a], &like[a]
		x0, x1, x2 = x0+f[0]*l[0], x1+f[1]*l[1], x2+f[2]*l[2]
	}
	return x0 + y0, x1 + y1, x2 + y2
}

// backward runs back along the chain. At each hop the weights before and after it meet: in between those of the differences
// of its errors without its own likelihood, in back those of its first reading with all that comes after.
func (c *chain) backward(at func(p int)) {
	all := byRate{1, 1, 1} // weight of the rates with all hops after a break
	for p := len(c.hops) - 1; p >= 0; p-- {
		h := &c.hops[p]
		aft := c.aft[:len(h.out.weight)]
		for b, w := range h.out.weight {
			k := &all
			if p+1 < len(c.hops) && c.hops[p+1].linked {
				k = &c.back[b]
			}
			aft[b] = byRate{w * k[0], w * k[1], w * k[2]}
		}
		c.meet(h, aft)
		at(p)
		back := c.back[:len(h.in.weight)]
		if p%scaleAfter == 0 {
			shrink(back)
		}
		if !h.linked {
			all = byRate{}
			for a, w := range h.in.weight {
				for r := range all {
					all[r] += w * back[a][r]
				}
			}
		}
	}
}

// meet leaves in between the weights of the differences of a hop's errors without its own likelihood, and in back those of
// its first reading with all that comes after, its own likelihood counted in.
func (c *chain) meet(h *hop, aft []byRate) {
	from, mix := c.from[h.first:][:len(h.in.weight)], c.mix[h.at:][:h.width()]
	between := c.between[:len(mix)]
	clear(between)
	last := len(from) - 1
	for a := range from { // backward
		f := &from[a]
		s0, s1, s2 := 0.0, 0.0, 0.0
		m, w := mix[a:][:len(aft)], between[a:][:len(aft)]
		for b := range aft {
			x, l := &aft[b], &m[b]
			s0, s1, s2 = s0+x[0]*l[0], s1+x[1]*l[1], s2+x[2]*l[2]
			w[b][0] += f[0] * x[0]
			w[b][1] += f[1] * x[1]
			w[b][2] += f[2] * x[2]
		}
		c.back[last-a] = byRate{s0, s1, s2}
	}
}
