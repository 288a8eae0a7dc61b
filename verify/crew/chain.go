// A section along a running counter: forward and backward pass.
//
// Nobody reads one count a bay there: the counter is read between bays, and what went into a bay is
// the difference of two readings. So an error of a reading that makes one bay look heavy makes the
// next look light. Lot j reads
//
//	xⱼ = yⱼ + cⱼ·(ε_out − ε_in) + own error,   ε ~ N(0, U²)
//
// and ε_out of one lot is ε_in of the next. Unknown, besides μ, τ and r, are the errors ε of all
// readings. Given μ, τ and r the lots form a Markov chain along the readings: what lies before a
// reading and what lies after it depend on each other only through its error. So the sum over all
// errors, which has exponentially many terms, is done reading by reading (the forward–backward
// algorithm of hidden Markov models: Rabiner, Proc. IEEE 77, 1989, from memory). The errors take
// the values of an even lattice, a step somewhat below one standard deviation: sums of smooth
// functions over even steps are accurate beyond need.
//
//   - The forward pass carries, for every value of the error of the reading at hand, the weight of
//     all lots before it. At the end stands the likelihood of all lots: the posterior weight of the
//     node.
//
//   - The backward pass carries the weight of all lots after it. Together they give each lot the
//     weights of its two errors by all other lots, without its own likelihood; and so what
//     posterior.go needs.
//
// A lot's likelihood depends only on the difference of its two errors. Which nodes of μ and τ have
// weight is known roughly from the same lots with independent errors (table); from the likeliest
// one the sum goes outward as long as there is weight. It is held against a much finer lattice by
// TestRunningAgainstBruteForce; a counter whose readings are exact gives what counts of their own
// give, to the last digit (TestExactCounter).

package crew

import (
	"math"
	"sort"
)

// chain is a section whose lots share readings of the running counter, at one state of what they
// share. Arrays that are indexed by difference hold for each hop all differences of its two errors,
// from the least up, hop after hop (hop.at).
type chain struct {
	ws    *workspace
	table *table // the same lots with every error their own: it says where to look
	lots  []evidence
	scale scale
	rates []rateNode
	prior grid  // the table's, with its prior at the rates here
	hops  []hop // in the order of the counter; lots without a reading stand anywhere

	good      []float64 // [hop, difference]: likelihood as good at the node at hand
	goodAbove []float64 // and what of it lies above the target
	whole     [][]parts // by μ: [hop, difference], the likelihoods as bad and over-full
	above     [][]parts // and what of them lies above the target
	mix       []perRate // [hop, difference]: likelihood at each rate
	ahead     []perRate // [hop, error of its first reading, from the highest down]: weight with all lots before it
	after     []perRate // by error of a hop's last reading: weight with all lots after it
	back      []perRate // by error of a hop's first reading: the same, its own likelihood counted in
	between   []perRate // by difference: weight without the hop's own likelihood
}

// chainRates is the number of nodes of the rate of bad bays: each costs a sum over the errors.
const chainRates = 3

// perRate holds a number for each node of the rate.
type perRate [chainRates]float64

// sum adds up the numbers of all rates.
func (p *perRate) sum() float64 { return p[0] + p[1] + p[2] }

// times returns all numbers multiplied by f.
func (p *perRate) times(f float64) perRate { return perRate{p[0] * f, p[1] * f, p[2] * f} }

// hop is one lot of the chain: the step from its first reading to its last.
type hop struct {
	lot     int     // place of the lot in the section
	in, out errors  // of its readings
	linked  bool    // the first reading is the last one of the hop before
	x0      float64 // the density as read at the least difference of the errors
	shift   float64 // and by how much less it is for each step of the difference
	at      int     // place of its differences among all
	first   int     // place of the errors of its first reading among all
}

// errors are the weights of what a reading may be off by, low steps of the lattice and on. A
// reading that is exact, or is not there, has the one error 0.
type errors struct {
	low    int       // steps of the lattice of the first error
	weight []float64 // of each error, adding up to 1
}

// width is the number of differences that the errors of the two readings can have.
func (h *hop) width() int { return len(h.in.weight) + len(h.out.weight) - 1 }

// x returns the lot's density as read, with the errors of the readings put right; d counts
// differences from the least.
func (h *hop) x(d int) float64 { return h.x0 - float64(d)*h.shift }

// The lattice. One error in seven hundred lies beyond latticeReach standard deviations; a step
// wider than latticeStep of the narrowest error, or latticeSharp of the narrowest likelihood, would
// show in the sums.
const (
	latticeStep  = 0.9  // of U
	latticeReach = 3.2  // of U
	latticeSharp = 1.2  // of the spread of a lot's likelihood, with a usual τ
	latticeSmall = 0.25 // of the widest U: a reading surer than that is noise of its lots
	latticeMost  = 12   // points to either side
)

// newChain lays out a section's lots for the two passes: in the order of the counter, on one
// lattice of errors. t is the section as if every error were its lot's own: where it has weight the
// chain is asked, at its nodes of μ and τ. The prior is t's, with the rate at chainRates nodes
// instead; sc is the common scale.
func newChain(ws *workspace, t *table, lots []evidence, sc scale, ctx *context) *chain {
	c := &chain{ws: ws, table: t, lots: resolvable(lots), scale: sc}
	bad, good := t.certain()
	c.rates = ws.rateRule(bad, good, chainRates)
	for i, p := range append([]priorPart{fixedPrior(1)}, ctx.others...) { // the first part's weight stands in its μ
		at := t.prior[i]
		at.rate = p.atRates(c.rates)
		c.prior.prior = append(c.prior.prior, at)
	}
	c.link()
	c.layOut()
	return c
}

// resolvable returns the lots with readings that the lattice cannot hold turned into noise of the
// lots, v + coef²·variance: those that are much surer than the least sure one (latticeSmall), and
// the first reading of a lot whose two readings weigh differently.
func resolvable(lots []evidence) []evidence {
	most := 0.0
	for i := range lots {
		most = max(most, lots[i].in.variance(), lots[i].out.variance())
	}
	out := make([]evidence, len(lots))
	for j, e := range lots {
		if -e.in.coef != e.out.coef && e.in.coef != 0 && e.out.coef != 0 { // two stretches that weigh differently
			e.v += sq(e.in.coef) * e.in.v
			e.in = link{}
		}
		for _, l := range []*link{&e.in, &e.out} {
			if l.v < sq(latticeSmall)*most {
				e.v += sq(l.coef) * l.v
				l.v = 0
			}
		}
		out[j] = e
	}
	return out
}

// link puts the lots into the order of the counter, by their last reading, and lays their errors
// out on the lattice. One step of the difference ε_out − ε_in changes the density by shift =
// step·coef. A hop is linked where its first reading is the last one of the hop before; else the
// chain breaks there, and begins anew with the weight so far.
func (c *chain) link() {
	order := make([]int, len(c.lots))
	for j := range order {
		order[j] = j
	}
	sort.SliceStable(order, func(a, b int) bool { return c.lots[order[a]].out.reading < c.lots[order[b]].out.reading })
	step := latticeOf(c.lots)
	c.hops = make([]hop, len(order))
	for p, j := range order {
		e := &c.lots[j]
		h := hop{lot: j, in: errorsOf(&e.in, step), out: errorsOf(&e.out, step)}
		h.shift = step * math.Max(math.Abs(e.in.coef), math.Abs(e.out.coef))
		if e.out.coef < 0 || e.in.coef > 0 {
			h.shift = -h.shift
		}
		if p > 0 {
			before := &c.lots[order[p-1]]
			h.linked = e.in.coef != 0 && before.out.coef != 0 && e.in.reading == before.out.reading
		}
		c.hops[p] = h
	}
}

// latticeOf returns the step of the lattice in bags: the least of latticeStep·U over the readings
// and latticeSharp·√(v + SpreadMedian²)/|coef| over the lots, but not so small that the widest
// error needs more than latticeMost points to either side.
func latticeOf(lots []evidence) float64 {
	step, widest := math.Inf(1), 0.0
	for j := range lots {
		e := &lots[j]
		for _, l := range []*link{&e.in, &e.out} {
			if v := l.variance(); v > 0 {
				u := math.Sqrt(v)
				step, widest = min(step, latticeStep*u), max(widest, u)
				step = min(step, latticeSharp*math.Sqrt(e.v+sq(SpreadMedian))/math.Abs(l.coef))
			}
		}
	}
	return max(step, latticeReach*widest/latticeMost)
}

// errorsOf returns the errors of a reading on the lattice: normal weights of variance v out to
// latticeReach standard deviations, adding up to 1. The error 0 alone where the reading is exact or
// there is none.
func errorsOf(l *link, step float64) errors {
	v := l.variance()
	if v == 0 {
		return errors{0, []float64{1}}
	}
	reach := int(math.Ceil(latticeReach*math.Sqrt(v)/step - 1e-9))
	w := make([]float64, 2*reach+1)
	sum := 0.0
	for i := range w {
		w[i] = math.Exp(-0.5 * sq(float64(i-reach)*step) / v)
		sum += w[i]
	}
	for i := range w {
		w[i] /= sum
	}
	return errors{-reach, w}
}

// layOut numbers differences and errors of all hops, sets each hop's density at the least
// difference, and takes the memory for the sums.
func (c *chain) layOut() {
	longest, length, errors := 0, 0, 0
	for p := range c.hops {
		h := &c.hops[p]
		h.x0 = c.lots[h.lot].x - h.shift*float64(h.out.low-h.in.low-len(h.in.weight)+1)
		h.at, h.first = length, errors
		length += h.width()
		errors += len(h.in.weight)
		longest = max(longest, h.width())
	}
	c.good, c.goodAbove = c.ws.take(length), c.ws.take(length)
	c.whole, c.above = make([][]parts, len(c.table.mu)), make([][]parts, len(c.table.mu))
	c.mix, c.ahead = c.ws.rates.take(length), c.ws.rates.take(errors)
	c.after, c.back, c.between = c.ws.rates.take(longest), c.ws.rates.take(longest), c.ws.rates.take(longest)
}

// likeliest returns the node (i, k) that has the highest weight if every error is its lot's own.
func (c *chain) likeliest() (i, k int) {
	best := 0
	for at, w := range c.table.weight {
		if w > c.table.weight[best] {
			best = at
		}
	}
	return best / len(c.table.mu), best % len(c.table.mu)
}

// sum visits the nodes of μ and τ from the likeliest outward, breadth first, as far as they have
// weight, and adds them up. At a larger τ μ is known less well and needs fewer nodes: every
// stride-th, each of which stands for so many. A neighbor that falls between strides is moved to
// the node below it. keep as in inference.sums.
func (c *chain) sum(s *sums, keep []int) {
	nk, nt := len(c.table.mu), len(c.table.tau)
	stride := make([]int, nt)
	for i, tau := range c.table.tau {
		n := int(chainSteps * narrowest(c.lots, tau) / (c.table.mu[1] - c.table.mu[0]))
		stride[i] = min(max(n, 1), 1+nk/(leastMuNodes(c.lots)+1))
	}
	i, k := c.likeliest()
	visited, most := make([]bool, nk*nt), 0.0
	// Nodes to visit, and behind them the neighbors of those that had weight. The posterior is
	// taken to have one hill: nothing is looked for beyond nodes without weight.
	queue := []int{i*nk + k/stride[i]*stride[i]}
	visited[queue[0]] = true
	for ; len(queue) > 0; queue = queue[1:] {
		i, k := queue[0]/nk, queue[0]%nk
		log, byRate := c.forward(i, k)
		// The unit of all weights is that of the first node, which is about the likeliest.
		if most == 0 {
			s.log = log
		}
		byRate = byRate.times(math.Exp(log-s.log) * float64(stride[i]))
		weight := byRate.sum()
		s.row(c.table.grid, i, k, weight)
		most = max(most, weight/float64(stride[i]))
		if weight < s.forget*most {
			continue
		}
		for _, next := range [4][2]int{{i, k - stride[i]}, {i, k + stride[i]}, {i - 1, k}, {i + 1, k}} {
			if next[0] < 0 || next[0] >= nt || next[1] < 0 || next[1] >= nk {
				continue
			}
			n := stride[next[0]]
			if at := next[0]*nk + next[1]/n*n; !visited[at] {
				visited[at] = true
				queue = append(queue, at)
			}
		}
		s.node(c.table.grid, i, k, byRate[:], c.rates)
		c.answer(i, k, weight, s, keep)
	}
}

// each calls do for all hops and differences, with the lot and its reading there.
func (c *chain) each(do func(at int, e *evidence, r *reading)) {
	for p := range c.hops {
		h := &c.hops[p]
		e := &c.lots[h.lot]
		r := e.reading()
		for d := range h.width() {
			r.x = h.x(d)
			do(h.at+d, e, &r)
		}
	}
}

// likelihoods computes those of all hops at node (i, k), a row of differences each: the lot then
// reads x0 − d·shift, and has its three components' likelihoods there, as in a table. The good one
// is computed at every node, the others, which depend on μ alone, once for every μ. mix holds L =
// base + rate·perRate at the three rates.
func (c *chain) likelihoods(i, k int) {
	mu, tau := c.table.mu[k], c.table.tau[i]
	if c.whole[k] == nil {
		whole := c.ws.parts.take(len(c.mix))
		c.each(func(at int, e *evidence, r *reading) {
			whole[at] = parts{bad: e.odds * r.bad(mu), over: r.over(mu, 0)}
		})
		c.whole[k] = whole
	}
	for p := range c.hops {
		h := &c.hops[p]
		e, good := &c.lots[h.lot], c.good[h.at:][:h.width()]
		if e.half == 0 {
			normalRow(good, 1, h.x0-mu, -h.shift, e.v+tau*tau, len(good))
			continue
		}
		for d, r := 0, e.reading(); d < len(good); d++ {
			r.x = h.x(d)
			good[d] = r.good(mu, tau)
		}
	}
	whole, q := c.whole[k], c.rates
	for at, good := range c.good {
		base, per := (&parts{good, whole[at].bad, whole[at].over}).mixed()
		c.mix[at] = perRate{base + q[0].rate*per, base + q[1].rate*per, base + q[2].rate*per}
	}
}

// cut computes what of the same likelihoods lies at densities of the target or more (see type cut):
// goodAbove and above.
func (c *chain) cut(i, k int) {
	cut, whole := c.scale.cut(c.table.mu[k], c.table.tau[i]), c.whole[k]
	if c.above[k] == nil {
		above := c.ws.parts.take(len(c.mix))
		c.each(func(at int, e *evidence, r *reading) {
			above[at].bad, above[at].over = cut.tails(r, e.odds, whole[at].over)
		})
		c.above[k] = above
	}
	for p := range c.hops {
		h := &c.hops[p]
		r := c.lots[h.lot].reading()
		pull := cut.pull(&r)
		for d := range h.width() {
			r.x = h.x(d)
			c.goodAbove[h.at+d] = cut.pulled(&r, c.good[h.at+d], pull)
		}
	}
}

// forward returns the weight of node (i, k) at each rate, in units of exp(log), and leaves in ahead
// what every hop's first reading is known to be by the hops before.
//
// With αₚ(a) the weight of error a of hop p's first reading, L the hop's likelihood and w(b) the
// prior weights of the errors of its last reading,
//
//	αₚ₊₁(b) = w(b)·Σₐ αₚ(a)·L(b − a)
//
// Where the next hop begins with a reading of its own, the sum over b goes on as the weight of the
// rates. The weights are divided by their sum every scaleAfter hops, whose logarithm is kept, so
// that they stay within the range of a float64.
func (c *chain) forward(i, k int) (log float64, byRate perRate) {
	c.likelihoods(i, k)
	c.prior.priorAt(i, k, byRate[:]) // weight of the rates with all hops before a break
	for p := range c.hops {
		h := &c.hops[p]
		from := c.ahead[h.first:][:len(h.in.weight)]
		if !h.linked {
			for a, w := range h.in.weight {
				from[a] = byRate.times(w)
			}
		}
		next := c.after[:len(h.out.weight)] // of no further use
		linked := p+1 < len(c.hops) && c.hops[p+1].linked
		if linked {
			next = c.ahead[c.hops[p+1].first:][:len(next)]
		}
		mix, last := c.mix[h.at:][:h.width()], len(next)-1
		for b, w := range h.out.weight {
			var x0, x1, x2 float64
			like := mix[b:][:len(from)]
			for a := range from { // errors from the highest down meet differences from the least up
				f, l := &from[a], &like[a]
				x0, x1, x2 = x0+f[0]*l[0], x1+f[1]*l[1], x2+f[2]*l[2]
			}
			next[last-b] = perRate{w * x0, w * x1, w * x2}
		}
		if p%scaleAfter == scaleAfter-1 || p+1 == len(c.hops) {
			log += shrink(next)
		}
		if !linked {
			byRate = added(next)
		}
	}
	return log, byRate
}

// added sums the weights of all errors, at each rate.
func added(weight []perRate) (sum perRate) {
	for a := range weight {
		w := &weight[a]
		sum[0], sum[1], sum[2] = sum[0]+w[0], sum[1]+w[1], sum[2]+w[2]
	}
	return sum
}

// shrink divides weights by the sum of them all and returns the logarithm of that.
func shrink(weight []perRate) float64 {
	all := added(weight)
	sum := all.sum()
	for a := range weight {
		weight[a] = weight[a].times(1 / sum)
	}
	return math.Log(sum)
}

// backward runs back along the chain after forward, and calls at for each hop p with between and
// back filled in. With βₚ(b) the weight of all hops after p if the last reading of p has error b,
// and w(a) the prior weights of the errors of its first reading,
//
//	βₚ₋₁(a) = Σ_b L(b − a)·w(b)·βₚ(b)
//
// It is scaled like the forward pass. The factor is not kept: whoever uses between divides by a sum
// of the same units (answer).
func (c *chain) backward(at func(p int)) {
	all := perRate{1, 1, 1} // weight of the rates with all hops after a break
	for p := len(c.hops) - 1; p >= 0; p-- {
		h := &c.hops[p]
		after := c.after[:len(h.out.weight)]
		for b, w := range h.out.weight {
			if p+1 < len(c.hops) && c.hops[p+1].linked {
				after[b] = c.back[b].times(w)
			} else {
				after[b] = all.times(w)
			}
		}
		c.meet(h, after)
		at(p)
		back := c.back[:len(h.in.weight)]
		if p%scaleAfter == 0 {
			shrink(back)
		}
		if !h.linked {
			for a, w := range h.in.weight {
				back[a] = back[a].times(w)
			}
			all = added(back)
		}
	}
}

// meet computes for a hop, from ahead and after, the weights of the differences of its two errors
// by all other lots, without its own likelihood (between), and those of its first reading by all
// that comes after, its own likelihood counted in (back):
//
//	between(d) = Σ over b − a = d of α(a)·after(b),   back(a) = Σ_b L(b − a)·after(b)
func (c *chain) meet(h *hop, after []perRate) {
	from, mix := c.ahead[h.first:][:len(h.in.weight)], c.mix[h.at:][:h.width()]
	between := c.between[:len(mix)]
	clear(between)
	last := len(from) - 1
	for a := range from {
		f := from[a]
		var s0, s1, s2 float64
		like, into := mix[a:][:len(after)], between[a:][:len(after)]
		for b := range after {
			x, l, w := &after[b], &like[b], &into[b]
			s0, s1, s2 = s0+x[0]*l[0], s1+x[1]*l[1], s2+x[2]*l[2]
			w[0], w[1], w[2] = w[0]+f[0]*x[0], w[1]+f[1]*x[1], w[2]+f[2]*x[2]
		}
		c.back[last-a] = perRate{s0, s1, s2}
	}
}

// answer runs back along the chain and adds what node (i, k), of so much weight, says about every
// lot. between has the weights of the lot's differences by all other lots; so its components, and
// what of them lies above the target, are sums over the differences, as table.sum has them for the
// one reading. They are divided by the same sum with the lot's whole likelihood (with), which is
// the node's weight in the units of between: α and β are scaled.
//
// The reading x with its neighbors' put right is a mean by all other lots (without). keep as in
// inference.sums.
func (c *chain) answer(i, k int, weight float64, s *sums, keep []int) {
	c.cut(i, k)
	c.backward(func(p int) {
		h := &c.hops[p]
		e, between, mix := &c.lots[h.lot], c.between[:h.width()], c.mix[h.at:][:h.width()]
		with, without := 0.0, 0.0 // the lot's own likelihood
		var l lotSums
		for d := range between {
			w, m := &between[d], &mix[d]
			with += w[0]*m[0] + w[1]*m[1] + w[2]*m[2]
			o, x, at := c.others(w), h.x(d), h.at+d
			without += o.all
			whole, above := c.whole[k][at], c.above[k][at]
			whole.good, above.good = c.good[at], c.goodAbove[at]
			l.addAt(&o, &whole, &above)
			l.x, l.x2 = l.x+o.all*x, l.x2+o.all*x*x
		}
		// with is the node's weight in the units of between: dividing by it leaves the share of
		// each component, and times weight the node's part of the sums.
		into, own := &s.lots[h.lot], weight/with
		into.pass, into.bad, into.over = into.pass+own*l.pass, into.bad+own*l.bad, into.over+own*l.over
		into.byOthers(own*without/e.scale, c.table.mu[k])
		into.x, into.x2, into.v = into.x+weight/without*l.x, into.x2+weight/without*l.x2, into.v+weight*e.v
		for q, j := range keep {
			if j != h.lot {
				continue
			}
			for d := range between {
				o := c.others(&between[d])
				s.others[q].add(c.table.mu[k], c.table.tau[i], h.x(d), e.v, e.scale, &c.scale, others{own * o.all, own * o.bad})
			}
		}
	})
}

// others sums weights over the rates: all, and times the rate.
func (c *chain) others(w *perRate) others {
	return others{w.sum(), w[0]*c.rates[0].rate + w[1]*c.rates[1].rate + w[2]*c.rates[2].rate}
}
