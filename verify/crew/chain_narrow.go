package crew

// What the lots around a reading say leaves less of its errors than it could have by itself.
const (
	probes     = 3    // nodes that are asked
	probeAbove = 0.02 // of the highest weight
	errorKept  = 1e-3 // share of a reading's weight below which an error is not followed
)

// narrow keeps the errors of shared readings that the lots leave weight at some nodes.
func (c *chain) narrow(at *placed) {
	kept := make([][]bool, len(c.hops)) // by hop: the errors of its first reading
	for _, n := range probeNodes(at) {
		c.settle(&n, 1)
		c.backward(func(p int) {
			if c.hops[p].linked {
				c.keepErrors(p, &kept[p])
			}
		})
	}
	for p := range c.hops {
		if kept[p] != nil {
			c.hops[p].in = c.hops[p].in.within(kept[p])
			c.hops[p-1].out = c.hops[p].in
		}
	}
	c.layOut()
}

// probeNodes are some of the nodes that carry weight, far apart.
func probeNodes(at *placed) []node {
	var all []node
	at.each(probeAbove, func(n node) { all = append(all, n) })
	if len(all) <= probes {
		return all
	}
	some := make([]node, probes)
	for i := range some {
		some[i] = all[i*(len(all)-1)/(probes-1)]
	}
	return some
}

// keepErrors notes which errors of a hop's first reading carry weight with the hops before and after it.
func (c *chain) keepErrors(p int, kept *[]bool) {
	h := &c.hops[p]
	n := len(h.in.weight)
	if *kept == nil {
		*kept = make([]bool, n)
	}
	weight := make([]float64, n)
	all := 0.0
	for a := range weight {
		f, b := &c.from[h.first+n-1-a], &c.back[a]
		weight[a] = f[0]*b[0] + f[1]*b[1] + f[2]*b[2]
		all += weight[a]
	}
	for a, w := range weight {
		if w > errorKept*all {
			(*kept)[a] = true
		}
	}
}

// within cuts the errors to those from the first to the last that is kept.
func (e errors) within(kept []bool) errors {
	first, last := len(kept), -1
	for a, yes := range kept {
		if yes {
			first, last = min(first, a), a
		}
	}
	if last < 0 {
		return e
	}
	return errors{e.low + first, e.weight[first : last+1]}
}
