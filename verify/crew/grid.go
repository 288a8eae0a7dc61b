package crew

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/mathext"
)

// The posterior of μ, τ and the rate of bad bays is summed over a grid: even steps of μ and of ln(τ + tauOffset), which for a
// smooth integrand that falls off to both sides is the best rule there is, and Gauss and Jacobi's nodes of the rate. A first grid over all that the priors allow finds where the posterior lies,
// closer ones follow until one fits.
const (
	tauOffset   = 0.012 // of the target: below it ln τ may go in wider steps, as no reading tells such a τ from nothing
	firstMu     = 25    // nodes of the first grid
	firstTau    = 4
	tauNodes    = 12   // nodes of τ of the others
	leastMu     = 12   // least nodes of μ
	fewMu       = 60   // shared out over the lots, so many more: where few lots speak the step that the target cuts is narrow beside the range of μ
	mostMu      = 60   // most
	muSteps     = 1.6  // a step of μ in the narrowest standard deviation that it can have
	chainSteps  = 2.0  // the same along a counter, where a node costs more
	rateNodes   = 6    // nodes of the rate
	priorReach  = 4.5  // standard deviations of μ's prior that the first grid covers to either side
	spreadReach = 3.0  // the same for ln τ
	keepMu      = 1e-6 // share of the highest weight below which a μ is not followed
	keepTau     = 1e-5 // the same for a τ
	keepFirst   = 1e-9 // and for both after the first grid, whose nodes may miss a narrow peak
	mostGrids   = 5
	fits        = 0.3 // a grid that keeps more than this share of its range of μ is the last
)

// span is where a grid lies.
type span struct {
	muLow, muHigh, tLow, tHigh float64 // t = ln(τ + tauOffset)
	bad, good                  int     // lots that are bad and good for certain
}

// wholeSpan is where the priors have their weight. wide is the relative standard uncertainty of a common scale.
func wholeSpan(wide float64) span {
	sd, at := math.Hypot(meanPriorSD, wide*meanPrior), math.Log(SpreadMedian)
	t := func(logTau float64) float64 { return math.Log(math.Exp(logTau) + tauOffset) }
	return span{meanPrior - priorReach*sd, meanPrior + priorReach*sd, t(at - spreadReach*SpreadLogSD), t(at + spreadReach*SpreadLogSD), 0, 0}
}

// grid holds the nodes and their prior weights; a node's share of the volume is counted in.
type grid struct {
	span
	mu          []float64 // by μ
	tau, logTau []float64 // by τ
	prior       []component
	tauStep     []float64 // by τ: distance to the next, in τ
	rates       []rateNode
	whole       span
}

// rateNode is a node of the rate of bad bays with its prior weight.
type rateNode struct{ rate, weight float64 }

// component is one part of the prior at the nodes: its weight at a node is the product of the three.
type component struct{ mu, tau, rate []float64 }

// priorPart is one part of a mixture of priors: μ normal, ln τ normal, the rate Beta(alpha, beta).
type priorPart struct {
	weight                       float64
	mu, muVar, logTau, logTauVar float64
	alpha, beta                  float64
}

// fixedPrior is the prior that no log moves.
func fixedPrior(weight float64) priorPart {
	return priorPart{weight, meanPrior, sq(meanPriorSD), math.Log(SpreadMedian), sq(SpreadLogSD), badAlpha, badBeta}
}

// newGrid lays muNodes × tauNodes nodes evenly over a span, in μ and in ln(τ + tauOffset), and reckons their prior weights. μ and τ are
// shares of the target; whole is all that the priors allow, beyond which no closer grid may go, wide as for component. The rates'
// nodes follow from the lots that the span knows to be bad or good for certain.
func newGrid(ws *workspace, over, whole span, muNodes, tauNodes int, wide float64, c *context) *grid {
	g := &grid{span: over, whole: whole, mu: ws.take(muNodes), tau: ws.take(tauNodes), logTau: ws.take(tauNodes), tauStep: ws.take(tauNodes)}
	step := (over.muHigh - over.muLow) / float64(muNodes-1)
	for k := range g.mu {
		g.mu[k] = over.muLow + float64(k)*step
	}
	step = (over.tHigh - over.tLow) / float64(tauNodes-1)
	for i := range g.tau {
		at := math.Exp(over.tLow + float64(i)*step) // τ + tauOffset
		g.tau[i], g.tauStep[i] = at-tauOffset, at*step
		g.logTau[i] = math.Log(g.tau[i])
	}
	g.rates = ws.rateRule(over.bad, over.good, rateNodes)
	g.mix(ws, wide, c)
	return g
}

// mix sets the prior: the fixed one, or a mixture of it and what the job's other sections say.
func (g *grid) mix(ws *workspace, wide float64, c *context) {
	if len(c.others) == 0 {
		g.prior = []component{g.component(ws, fixedPrior(1), wide, c.boxes)}
		return
	}
	g.prior = []component{g.component(ws, fixedPrior(1-othersWeight), wide, c.boxes)}
	for _, p := range c.others { // as read, like this section: what is common to both widens nothing
		g.prior = append(g.prior, g.component(ws, p, 0, c.boxes))
	}
}

// component works out a part of the prior at the nodes, their shares of the volume counted in. wide is the relative standard
// uncertainty of a common scale: the prior is that of the true μ, the grid's μ is as read. A test box reads N(μ, τ² + v), it too
// apart by that scale; its τ is taken as usual.
func (g *grid) component(ws *workspace, p priorPart, wide float64, boxes []box) component {
	c := component{mu: ws.take(len(g.mu)), tau: ws.take(len(g.tau))}
	step := (g.muHigh - g.muLow) / float64(len(g.mu)-1)
	for k, m := range g.mu {
		v := p.muVar + sq(wide*m)
		c.mu[k] = p.weight * step * math.Exp(-0.5*sq(m-p.mu)/v) / math.Sqrt(v)
		for _, b := range boxes {
			v := b.v + sq(SpreadMedian) + sq(wide*m)
			c.mu[k] *= math.Exp(-0.5*sq(m-b.x)/v) / math.Sqrt(v)
		}
	}
	for i, log := range g.logTau {
		c.tau[i] = g.tauStep[i] / g.tau[i] * math.Exp(-0.5*sq(log-p.logTau)/p.logTauVar) / math.Sqrt(p.logTauVar)
	}
	c.rate = p.atRates(g.rates)
	return c
}

// atRates is the prior of the rate at its nodes, relative to the fixed one that the nodes' weights hold.
func (p *priorPart) atRates(rates []rateNode) []float64 {
	out := make([]float64, len(rates))
	log := mathext.Lbeta(badAlpha, badBeta) - mathext.Lbeta(p.alpha, p.beta)
	for r, n := range rates {
		out[r] = n.weight
		if p.alpha != badAlpha || p.beta != badBeta {
			out[r] *= math.Exp(log + (p.alpha-badAlpha)*math.Log(n.rate) + (p.beta-badBeta)*math.Log1p(-n.rate))
		}
	}
	return out
}

// priorAt fills in the prior weights of the rates at node (i, k), one each: the sum over the mixture's parts of
// weight of μₖ × weight of τᵢ × weight of the rate.
func (g *grid) priorAt(i, k int, into []float64) {
	clear(into)
	for _, c := range g.prior {
		w := c.mu[k] * c.tau[i]
		for r, v := range c.rate {
			into[r] += w * v
		}
	}
}

// rateRule returns n nodes of the rate of bad bays with the prior Beta(badAlpha, badBeta) as their weights, but for a constant.
// So many lots that are certainly bad, and so many certainly good, multiply the prior by rate^bad·(1 − rate)^good: the nodes
// are those of Gauss and Jacobi for that product, so that what is left to integrate is smooth. They are the eigenvalues of the
// Jacobi matrix of the product's orthogonal polynomials, their weights the squares of the eigenvectors' first components (Golub
// and Welsch, Math. Comp. 23, 1969), with the lots' own factor divided out again.
func rateRule(bad, good, n int) []rateNode {
	p, q := badBeta+float64(good)-1, badAlpha+float64(bad)-1 // powers of 1 − x and 1 + x on [−1, 1]
	jacobi := mat.NewSymDense(n, nil)
	for k := range n {
		m := float64(k)
		sum := 2*m + p + q
		diagonal := (q - p) / (p + q + 2)
		if k > 0 {
			diagonal = (q*q - p*p) / (sum * (sum + 2))
			beside := 4 * m * (m + p) * (m + q) * (m + p + q) / (sum * sum * (sum + 1) * (sum - 1))
			if k == 1 {
				beside = 4 * (1 + p) * (1 + q) / (sq(2+p+q) * (3 + p + q))
			}
			jacobi.SetSym(k-1, k, math.Sqrt(beside))
		}
		jacobi.SetSym(k, k, diagonal)
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(jacobi, true) {
		panic("crew: the Jacobi matrix of the rate has no eigenvalues")
	}
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	rule := make([]rateNode, n)
	unit := mathext.Lbeta(q+1, p+1)
	for k, x := range eigen.Values(nil) {
		r := (1 + x) / 2
		log := unit - float64(bad)*math.Log(r) - float64(good)*math.Log1p(-r)
		rule[k] = rateNode{r, sq(vectors.At(0, k)) * math.Exp(log)}
	}
	return rule
}

// table is a grid with the lots' likelihoods and the posterior at its nodes, every lot's error taken as its own.
type table struct {
	*grid
	lots      []evidence
	times     []int     // by lot: how many it stands for
	read      []reading // by lot
	good      []float64 // [τ][μ][lot]
	bad, over []float64 // [μ][lot]
	weight    []float64 // [τ][μ]: posterior, the highest 1
	byRate    []float64 // [τ][μ][rate]: how it is shared out over the rates
	log       float64   // ln of the unit of weight

	told         told
	left, spread []float64 // [τ][μ], with a total: the bags that the log holds too many and no error of a count accounts for, and the variance of that
}

// newTable works out what every lot's reading is worth at every node of a grid, and from that the posterior.
//
// As good a lot reads N(x; μ, v + τ²), which hangs on both; as bad or over-full it hangs on μ alone (see reading), so that these two
// are worked out once for all τ. A lot that its count leaves within an interval (half > 0) has the mean of the normal over it.
// What the log says besides masses multiplies the bad one (odds). total is what the empties say of all counts together.
func newTable(ws *workspace, g *grid, lots []evidence, total told) *table {
	nt, nk, n := len(g.tau), len(g.mu), len(lots)
	t := &table{grid: g, lots: lots, told: total, times: ws.times.take(n), read: ws.read.take(n), good: ws.take(nt * nk * n), bad: ws.take(nk * n), over: ws.take(nk * n),
		weight: ws.take(nt * nk), byRate: ws.take(nt * nk * len(g.rates))}
	for j := range lots {
		e := &lots[j]
		t.times[j], t.read[j] = e.times, e.reading()
		for k, mu := range g.mu {
			t.bad[k*n+j], t.over[k*n+j] = e.odds*t.read[j].bad(mu), t.read[j].over(mu, 0)
		}
		for i, tau := range g.tau {
			row := t.good[i*nk*n+j:]
			if e.half == 0 {
				normalRow(row, n, g.mu[0]-e.x, g.mu[1]-g.mu[0], e.v+tau*tau, nk)
				continue
			}
			for k, mu := range g.mu {
				row[k*n] = t.read[j].good(mu, tau)
			}
		}
	}
	t.multiply(ws)
	return t
}

// node returns what the table holds about a node, by lot.
func (t *table) node(i, k int) (good, bad, over []float64) {
	n := len(t.lots)
	return t.good[(i*len(t.mu)+k)*n:][:n], t.bad[k*n:][:n], t.over[k*n:][:n]
}

// multiply fills in the posterior at every node and rate, prior times ∏ⱼ Lⱼ^times, as byRate, and its sum over the rates as weight.
//
// A product of hundreds of likelihoods leaves the range of a float64. So each node's comes with a power of two that was taken out;
// the highest of them is taken for all, and what is left is scaled until the highest weight is 1. log keeps what that unit is:
// states are added by it (see sums).
func (t *table) multiply(ws *workspace) {
	nk, nr := len(t.mu), len(t.rates)
	power := ws.take(len(t.weight)) // of two
	if t.told.rest > 0 {
		t.left, t.spread = ws.take(len(t.weight)), ws.take(len(t.weight))
	}
	most := math.Inf(-1)
	for at := range t.weight {
		i, k := at/nk, at%nk
		p := t.byRate[at*nr:][:nr]
		t.priorAt(i, k, p)
		power[at] = float64(t.product(i, k, p))
		if t.told.rest > 0 {
			power[at] += t.total(i, k, p)
		}
		most = max(most, power[at])
	}
	t.log = most * math.Ln2
	t.share(func(at int, p []float64) {
		f := powerOfTwo(int(power[at] - most))
		for r := range p {
			p[r] *= f
		}
	})
}

// exchange puts the grid's prior in the place of the one that the posterior was multiplied up with: each weight is divided by its old
// prior and multiplied by the new one. The lots, which cost most, need not be asked again.
func (t *table) exchange(ws *workspace, before []component) {
	now := t.prior
	was, is := ws.take(len(t.rates)), ws.take(len(t.rates))
	t.share(func(at int, p []float64) {
		i, k := at/len(t.mu), at%len(t.mu)
		t.prior = before
		t.priorAt(i, k, was)
		t.prior = now
		t.priorAt(i, k, is)
		for r := range p {
			if was[r] > 0 {
				p[r] *= is[r] / was[r]
			}
		}
	})
}

// share changes the posterior at every node, by rate, and makes the highest 1 again.
func (t *table) share(change func(at int, p []float64)) {
	nr, highest := len(t.rates), 0.0
	for at := range t.weight {
		p := t.byRate[at*nr:][:nr]
		change(at, p)
		sum := 0.0
		for _, w := range p {
			sum += w
		}
		t.weight[at], highest = sum, max(highest, sum)
	}
	for at := range t.weight {
		t.weight[at] /= highest
	}
	for at := range t.byRate {
		t.byRate[at] /= highest
	}
	t.log += math.Log(highest)
}

// total multiplies the likelihood of a total into the weights of the rates at a node, and returns the power of two that it took
// out. The lots' readings and the node say what the errors of the counts come to together: normal, with the sum of their means and
// variances.
func (t *table) total(i, k int, p []float64) (power float64) {
	good, bad, over := t.node(i, k)
	rate := t.rateAt(p)
	left, spread := t.told.over, t.told.rest
	for j := range t.lots {
		if t.lots[j].summed() {
			m, v := t.miscounted(j, i, k, rate, &parts{good[j], bad[j], over[j]})
			n := float64(t.times[j])
			left, spread = left-n*m, spread+n*v
		}
	}
	at := i*len(t.mu) + k
	t.left[at], t.spread[at] = left, spread
	log := (-0.5*math.Log(spread) - 0.5*left*left/spread - t.told.log) / math.Ln2
	power = math.Floor(log)
	f := math.Exp2(log - power)
	for r := range p {
		p[r] *= f
	}
	return power
}

// rateAt is the mean rate of bad bays by weights at its nodes.
func (t *table) rateAt(p []float64) float64 {
	var all, sum float64
	for r, w := range p {
		all, sum = all+w, sum+w*t.rates[r].rate
	}
	return sum / all
}

// miscounted is the error of a lot's count at a node, bags: mean and variance. If the lot is good its share of the variance has
// its share of the reading's distance from μ; else the reading says nothing about it.
func (t *table) miscounted(j, i, k int, rate float64, whole *parts) (mean, variance float64) {
	e := &t.lots[j]
	base, per := whole.mixed()
	w := (1 - overRate) * (1 - rate) * whole.good / (base + rate*per)
	gain := e.count / (e.v + sq(t.tau[i]))
	d := gain * (e.x - t.mu[k]) / e.bag
	return w * d, e.count/sq(e.bag)*(1-w*gain) + w*(1-w)*d*d
}

// settled is a lot's reading at a node with what a total and the other lots say about the error of its count.
func (t *table) settled(j, i, k int, rate float64, whole *parts) reading {
	e := &t.lots[j]
	m, v := t.miscounted(j, i, k, rate, whole)
	at, own := i*len(t.mu)+k, e.count/sq(e.bag)
	share := own / (own + t.spread[at] - v)
	return reading{x: e.x - e.bag*share*(t.left[at]+m), sd: math.Sqrt(math.Max(e.v-e.count*share, leastVariance))}
}

// exponent is e of x = f·2ᵉ, f in [1/2, 1), as math.Frexp's at a fifth of its cost; at least −1022, of nought too.
func exponent(x float64) int { return int(math.Float64bits(x)>>52&0x7ff) - 1022 }

// powerOfTwo is 2ᵉ: math.Ldexp's, at a fifth of its cost where that is a normal number.
func powerOfTwo(e int) float64 {
	if e > -1023 && e < 1024 {
		return math.Float64frombits(uint64(e+1023) << 52)
	}
	return math.Ldexp(1, e)
}

// scaleAfter is how many lots' likelihoods are multiplied before the product is scaled. No likelihood is below overRate·likelihoodLeak:
// the product of the 23 that it may be (mostTimes) stays within the range of a float64.
const scaleAfter = 16

// product multiplies the lots' likelihoods at a node into the weights of the rates, leaves their sum in [1/2, 1), and returns the
// power of two that it took out. It is the inner loop: written out, the weights stay in registers.
func (t *table) product(i, k int, p []float64) (power int) {
	good, bad, over := t.node(i, k)
	q := t.rates[:rateNodes]
	r0, r1, r2, r3, r4, r5 := q[0].rate, q[1].rate, q[2].rate, q[3].rate, q[4].rate, q[5].rate
	p = p[:rateNodes]
	p0, p1, p2, p3, p4, p5 := p[0], p[1], p[2], p[3], p[4], p[5]
	since := 0
	for j, times := range t.times {
		base, per := (&parts{good[j], bad[j], over[j]}).mixed()
		l0, l1, l2, l3, l4, l5 := base+r0*per, base+r1*per, base+r2*per, base+r3*per, base+r4*per, base+r5*per
		for n := times; ; { // to the power of times, by squares
			if n&1 == 1 {
				p0, p1, p2, p3, p4, p5 = p0*l0, p1*l1, p2*l2, p3*l3, p4*l4, p5*l5
			}
			if n >>= 1; n == 0 {
				break
			}
			l0, l1, l2, l3, l4, l5 = l0*l0, l1*l1, l2*l2, l3*l3, l4*l4, l5*l5
		}
		if since += times; since >= scaleAfter || j+1 == len(t.times) {
			e := exponent(p0 + p1 + p2 + p3 + p4 + p5)
			f := powerOfTwo(-e)
			since, power = 0, power+e
			p0, p1, p2, p3, p4, p5 = p0*f, p1*f, p2*f, p3*f, p4*f, p5*f
		}
	}
	p[0], p[1], p[2], p[3], p[4], p[5] = p0, p1, p2, p3, p4, p5
	return power
}

// place lays closer and closer grids until one fits. own are the lots without what they share with others, by which μ may be
// narrower: an error that is added to one lot and taken from the next drops out of the mean of many; steps is muSteps or chainSteps.
func place(ws *workspace, lots, own []evidence, total told, steps, wide float64, c *context) *table {
	whole := wholeSpan(wide)
	mark := *ws
	t := newTable(ws, newGrid(ws, whole, whole, firstMu, firstTau, wide, c), lots, total)
	for n := 1; ; n++ {
		next := t.holding(n == 1)
		if n == mostGrids || n > 1 && next.muHigh-next.muLow > fits*(t.muHigh-t.muLow) {
			return t
		}
		nodes := muNodesFor(own, next, steps)
		ws.since(mark)
		t = newTable(ws, newGrid(ws, next, whole, nodes, tauNodes, wide, c), lots, total)
	}
}

// muNodesFor is the number of nodes that a span of μ needs.
func muNodesFor(lots []evidence, s span, steps float64) int {
	n := int((s.muHigh-s.muLow)/(steps*narrowest(lots, math.Exp(s.tLow)-tauOffset))) + 1
	return min(max(n, leastMuNodes(lots)), mostMu)
}

func leastMuNodes(lots []evidence) int { return leastMu + fewMu/count(lots) }

// narrowest is the standard deviation that μ has at a τ if all lots are good: no evidence can make it smaller.
func narrowest(lots []evidence, tau float64) float64 {
	information := 1 / sq(meanPriorSD)
	for j := range lots {
		e := &lots[j]
		information += float64(e.times) / (e.v + sq(e.half)/3 + tau*tau)
	}
	return 1 / math.Sqrt(information)
}

// holding returns the span in which the table's weights lie, one step wider to either side, never wider than the prior.
func (t *table) holding(first bool) span {
	nk := len(t.mu)
	byMu, byTau := make([]float64, nk), make([]float64, len(t.tau))
	most := 0.0
	for at, w := range t.weight {
		k, i := at%nk, at/nk
		byMu[k], byTau[i] = max(byMu[k], w), max(byTau[i], w)
		most = max(most, w)
	}
	keepM, keepT := keepMu, keepTau
	if first {
		keepM, keepT = keepFirst, keepFirst
	}
	s := t.span
	muStep, tStep := (s.muHigh-s.muLow)/float64(nk-1), (s.tHigh-s.tLow)/float64(len(t.tau)-1)
	low, high := ends(byMu, most*keepM)
	s.muLow, s.muHigh = math.Max(t.mu[low]-muStep, t.whole.muLow), math.Min(t.mu[high]+muStep, t.whole.muHigh)
	low, high = ends(byTau, most*keepT)
	s.tLow, s.tHigh = math.Max(t.tLow+float64(low-1)*tStep, t.whole.tLow), math.Min(t.tLow+float64(high+1)*tStep, t.whole.tHigh)
	s.bad, s.good = t.certain()
	return s
}

// ends returns the first and the last place with at least so much weight.
func ends(weight []float64, least float64) (first, last int) {
	first = -1
	for i, w := range weight {
		if w >= least {
			if first < 0 {
				first = i
			}
			last = i
		}
	}
	return max(first, 0), last
}

// certain counts the lots that are certainly bad, and certainly good, wherever the posterior lies; one less of each, to be safe. A
// lot is certainly bad where at a rate of a quarter the bad component has 95 % of its likelihood at every node that has weight, and
// good where it has less than half there. rateRule lays its nodes by the two numbers; a wrong one costs accuracy, no more.
func (t *table) certain() (bad, good int) {
	const counts, badAt, goodAt, rate = 1e-4, 0.95, 0.5, 0.25
	all := count(t.lots)
	bad, good = all, all
	for at, w := range t.weight {
		if w < counts {
			continue
		}
		b, g := 0, 0
		likeGood, likeBad, likeOver := t.node(at/len(t.mu), at%len(t.mu))
		for j := range t.lots {
			spoiled, sound := rate*likeBad[j], (1-rate)*likeGood[j]
			switch sum := spoiled + sound + likeOver[j]*overRate; {
			case spoiled > badAt*sum:
				b += t.lots[j].times
			case spoiled < goodAt*sum:
				g += t.lots[j].times
			}
		}
		bad, good = min(bad, b), min(good, g)
	}
	return max(0, bad-1), max(0, good-1)
}

// workspace lends the numbers of one section, some hundred thousand bytes for microseconds, and takes them back for the next.
// Nothing that leaves the package lies in it.
type workspace struct {
	lent[float64]
	parts lent[parts]
	rates lent[perRate]
	lots  lent[evidence]
	times lent[int]
	read  lent[reading]
	rules map[[3]int][]rateNode // of rateRule, by what they were asked for
}

var workspaces = sync.Pool{New: func() any { return &workspace{lent: lent[float64]{room: make([]float64, 1<<15)}} }}

// since gives back what was taken since a workspace was as it says.
func (s *workspace) since(was workspace) {
	s.used, s.parts.used, s.rates.used, s.lots.used, s.times.used, s.read.used =
		was.used, was.parts.used, was.rates.used, was.lots.used, was.times.used, was.read.used
}

// rateRule is the function of that name, which sections mostly ask alike. Nobody writes to what it returns.
func (s *workspace) rateRule(bad, good, n int) []rateNode {
	key := [3]int{bad, good, n}
	rule := s.rules[key]
	if rule == nil {
		if rule = rateRule(bad, good, n); len(s.rules) > 1000 || s.rules == nil {
			s.rules = map[[3]int][]rateNode{}
		}
		s.rules[key] = rule
	}
	return rule
}

// lent is room for values of one type, taken from the front on; what lies behind used is free.
type lent[T any] struct {
	room []T
	used int
}

// take returns n values that are whatever they were before.
func (s *lent[T]) take(n int) []T {
	if s.used+n > len(s.room) {
		s.room, s.used = make([]T, 2*len(s.room)+n), 0 // what was taken before keeps the old room alive
	}
	s.used += n
	return s.room[s.used-n : s.used : s.used]
}
