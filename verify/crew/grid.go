// The grid, and the posterior on it.
//
// Unknown are the section's mean μ, spread τ and rate r of bad bays. The posterior weight of a node
// is its prior weight times the product of the lots' likelihoods there. Three rules of integration
// are put together:
//
//   - μ goes in even steps and τ in even steps of ln(τ + tauOffset). For a smooth integrand that
//     falls off to both sides, sums over even steps converge faster than any power of the step (the
//     trapezoidal rule; Trefethen and Weideman, SIAM Review 56, 2014, from memory).
//
//   - r has the six nodes of the Gauss–Jacobi rule for its prior, a beta distribution, times the
//     factor that lots which are certainly bad or good bring (rateRule; exact to the eleventh
//     degree, TestRateRules).
//
//   - Where the grid lies is found by trial: a first one over all that the priors allow, then
//     closer ones around the nodes that had weight, until one fits (place).
//
// The likelihoods of all lots at all nodes are kept (table): the sums of posterior.go read them
// again. Accuracy is held by TestPosteriorAgainstBruteForce; see the package comment.

package crew

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/mathext"
)

// How nodes are laid out. Shares of the target where nothing else is said.
const (
	// Nodes of τ are even in ln(τ + tauOffset): far below it no reading tells one τ from another,
	// and wider steps of ln τ will do.
	tauOffset = 0.012
	// Nodes of the first grid, by μ and by τ.
	firstMu  = 25
	firstTau = 4
	// Nodes of τ of all later grids.
	tauNodes = 12
	// Least number of nodes of μ where many lots speak.
	leastMu = 12
	// fewMu over the number of lots is added to the least: where few lots speak, the posterior of μ
	// is wide, and the step that the target makes in the integrand is narrow beside it.
	fewMu = 60
	// Most nodes of μ.
	mostMu = 60
	// A step of μ, in units of the narrowest standard deviation that its posterior can have (see
	// narrowest).
	muSteps = 1.6
	// The same along a counter, where a node costs more.
	chainSteps = 2.0
	// Nodes of the rate.
	rateNodes = 6
	// Standard deviations of the prior of μ that the first grid covers to either side.
	priorReach = 4.5
	// The same for ln τ.
	spreadReach = 3.0
	// Share of the highest weight below which a μ is left out of the next grid.
	keepMu = 1e-6
	// The same for a τ.
	keepTau = 1e-5
	// The same for both after the first grid, whose coarse nodes may stand beside a narrow peak.
	keepFirst = 1e-9
	// Grids that are laid at most.
	mostGrids = 5
	// A grid is the last where the span worth keeping is more than this share of its range of μ.
	fits = 0.3
)

// span is where a grid lies: μ from muLow to muHigh and t = ln(τ + tauOffset) from tLow to tHigh,
// shares of the target. bad and good are how many lots are certainly bad and certainly good there;
// the nodes of the rate are laid by them.
type span struct {
	muLow, muHigh, tLow, tHigh float64
	bad, good                  int // lots that are bad and good for certain
}

// wholeSpan returns the span where the priors have their weight: priorReach standard deviations of
// μ and spreadReach of ln τ to either side. wide is the relative standard uncertainty of a scale
// that all lots share, by which the prior of the μ as read is wider (see scale).
func wholeSpan(wide float64) span {
	sd, at := math.Hypot(meanPriorSD, wide*meanPrior), math.Log(SpreadMedian)
	t := func(logTau float64) float64 { return math.Log(math.Exp(logTau) + tauOffset) }
	return span{meanPrior - priorReach*sd, meanPrior + priorReach*sd, t(at - spreadReach*SpreadLogSD), t(at + spreadReach*SpreadLogSD), 0, 0}
}

// grid holds the nodes of μ, τ and the rate and their prior weights. A weight is prior density
// times the part of the (μ, ln τ) plane that the node stands for.
type grid struct {
	span
	// shares of the target, evenly spaced
	mu []float64
	// τ, a share of the target, and ln τ
	tau, logTau []float64
	// parts of the mixture that is the prior; their sum is the weight
	prior []component
	// by τ: dτ, the distance to the next node
	tauStep []float64
	rates   []rateNode
	// all that the priors allow; no closer grid may go beyond it
	whole span
}

// rateNode is a node of the rate of bad bays with its weight: Σ weight·f(rate) is the integral of f
// over the prior Beta(badAlpha, badBeta), but for a constant.
type rateNode struct{ rate, weight float64 }

// component is one part of the prior at the nodes: its weight at node (μₖ, τᵢ, rₙ) is
// mu[k]·tau[i]·rate[n].
type component struct{ mu, tau, rate []float64 }

// priorPart is one part of a mixture of priors: μ ~ N(mu, muVar), ln τ ~ N(logTau, logTauVar), the
// rate ~ Beta(alpha, beta), all independent of each other. weight is the part's share of the
// mixture. μ and τ are shares of the target.
type priorPart struct {
	weight                       float64 // share of the mixture
	mu, muVar, logTau, logTauVar float64 // means and variances of μ and of ln τ
	alpha, beta                  float64 // of the rate of bad bays
}

// fixedPrior returns the prior that no log moves, with so much weight.
func fixedPrior(weight float64) priorPart {
	return priorPart{weight, meanPrior, sq(meanPriorSD), math.Log(SpreadMedian), sq(SpreadLogSD), badAlpha, badBeta}
}

// newGrid lays muNodes × tauNodes nodes evenly over a span, in μ and in t = ln(τ + tauOffset), and
// computes their prior weights. With at = τ + tauOffset one step of t is dτ = at·dt, which tauStep
// holds. whole is the span that no closer grid may leave, wide as for component, c what is known
// about the section besides its lots. The nodes of the rate follow from over.bad and over.good. The
// memory is the workspace's.
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

// mix computes the prior: the fixed one, or, where the job's other sections say something, (1 −
// othersWeight) of it and the parts that c.others lists, whose weights add up to othersWeight.
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

// component computes a part of the prior at the nodes. But for constants that all parts share,
//
//	mu[k]  = weight·dμ·N(μₖ; mu, muVar + (wide·μₖ)²) · ∏ over boxes N(μₖ; x, v + SpreadMedian² + (wide·μₖ)²)
//	tau[i] = (dτ/τᵢ)·N(ln τᵢ; logTau, logTauVar)
//	rate   = atRates
//
// wide is the relative standard uncertainty of a common scale: p speaks of the true μ, while the
// grid's μ is as read. A test box is one more reading of the mean: it reads N(μ, τ² + v) and is
// apart from μ by that scale too; its τ is taken at the prior median, so that the product stays one
// of μ, τ and rate.
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

// atRates returns the part's prior at the nodes of the rate: weight·Beta(r; alpha, beta)/Beta(r;
// badAlpha, badBeta), as the nodes' weights already hold the fixed prior. The densities' constants
// are B(α, β), taken as logarithms.
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

// priorAt fills into with the prior weights at node (i, k), one for each node of the rate: the sum
// over the parts of the mixture of mu[k]·tau[i]·rate[n].
func (g *grid) priorAt(i, k int, into []float64) {
	clear(into)
	for part := range g.prior {
		c := &g.prior[part]
		w := c.mu[k] * c.tau[i]
		for r, v := range c.rate {
			into[r] += w * v
		}
	}
}

// rateRule returns n nodes of the rate r of bad bays for integrals over the prior Beta(badAlpha,
// badBeta), but for a constant.
//
// bad lots that are certainly bad and good ones that are certainly good multiply the integrand by
// r^bad·(1 − r)^good, which peaks too sharply for a rule laid by the prior alone. So the nodes are
// those of Gauss and Jacobi for the product of both, a beta density with powers q = badAlpha + bad
// − 1 and p = badBeta + good − 1: what is left to integrate is smooth. They are the eigenvalues of
// the symmetric tridiagonal matrix of the recurrence of the Jacobi polynomials on [−1, 1], moved to
// [0, 1], and their weights B(q + 1, p + 1) times the squares of the first components of the
// eigenvectors (Golub and Welsch, Math. Comp. 23, 1969), with the lots' own factor divided out
// again.
//
// It is exact for r^bad·(1 − r)^good times a polynomial of degree 2n − 1. It panics where the
// eigenvalues are not found, which no finite p and q bring about.
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

// table is a grid with the lots' likelihoods and the posterior at its nodes, every lot's error
// taken as its own. Arrays of several indexes are stored flat, the last index running fastest.
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

	// what a total says of all counts together; zero for nothing
	told told
	// [τ][μ], with a total: the bags that the log holds too many and no error of a count accounts
	// for, and the variance of that in bags²
	left, spread []float64
}

// newTable computes every lot's likelihoods at every node of a grid, and from them the posterior.
//
// The good one, N(x; μ, v + τ²), depends on μ and τ, and is written row by row (normalRow); the bad
// and the over-full one depend on μ alone and serve all τ. A lot that its count leaves within an
// interval (half > 0) has the mean of the normal over it. e.odds, what the log says besides masses,
// multiplies the bad one. total is what the empties say of all counts together.
func newTable(ws *workspace, g *grid, lots []evidence, total told) *table {
	nt, nk, n := len(g.tau), len(g.mu), len(lots)
	t := &table{grid: g, lots: lots, told: total, times: ws.ints.take(n), read: ws.read.take(n), good: ws.take(nt * nk * n), bad: ws.take(nk * n), over: ws.take(nk * n),
		weight: ws.take(nt * nk), byRate: ws.take(nt * nk * len(g.rates))}
	for j := range lots {
		e := &lots[j]
		t.times[j], t.read[j] = e.times, e.reading()
		for k, mu := range g.mu {
			// These two do not depend on τ: one row of them serves every τ.
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

// node returns the likelihoods at node (i, k) by lot, as they lie in the table: nobody may write to
// them.
func (t *table) node(i, k int) (good, bad, over []float64) {
	n := len(t.lots)
	return t.good[(i*len(t.mu)+k)*n:][:n], t.bad[k*n:][:n], t.over[k*n:][:n]
}

// multiply computes the posterior: at node (i, k) and rate r
//
//	byRate = prior·∏ⱼ Lⱼ(μₖ, τᵢ, r)^timesⱼ · (likelihood of a total),  weight = Σ over r of byRate
//
// A product of hundreds of likelihoods leaves the range of a float64. So each node's comes with a
// power of two that was taken out; the highest of them is taken for all, and what is left is scaled
// until the highest weight is 1. log keeps the logarithm of that unit: states of a section are
// added up by it (see sums).
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

// exchange puts the grid's prior in the place of the one that the posterior was computed with: each
// weight is divided by its old prior and multiplied by the new one. Likelihoods, which cost most,
// are not computed again. A weight whose old prior was 0 stays as it is.
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

// share applies change to the posterior of every node, by rate, sums it to the node's weight,
// scales both until the highest weight is 1 and takes the factor into log.
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

// total multiplies the likelihood of a total into the weights p of the rates at node (i, k), and
// returns the power of two that it took out.
//
// The total says that the counts together are too high by told.over bags, ± √told.rest by
// everything but the lots' own counting errors. At the node the lots' readings say what those
// errors are, each with a mean and a variance (miscounted). Their sum is taken as normal, so that
// the likelihood is N(left; 0, spread) with
//
//	left = over − Σ times·mean,  spread = rest + Σ times·variance
//
// told.log, what the state's weight already has of it, is taken off. Held against plain sums by
// TestTotalAgainstPlainSums.
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

// rateAt returns the mean rate of bad bays, Σ p·rate/Σ p, by weights at its nodes.
func (t *table) rateAt(p []float64) float64 {
	var all, sum float64
	for r, w := range p {
		all, sum = all+w, sum+w*t.rates[r].rate
	}
	return sum / all
}

// miscounted returns mean and variance of the error of lot j's count at node (i, k), in bags, given
// its reading. whole are its likelihoods there, rate the mean rate of bad bays.
//
// With probability w, the good component's share of the likelihood, the lot is good: then its
// reading's distance from μ is split between the errors by their variances, and the count's error
// is d = gain·(x − μ)/bag with the remaining variance c·(1 − gain), where gain = e.count/(e.v + τ²)
// and c = e.count/bag². If it is bad or over-full its density may be anything, and the error stays
// at 0 with variance c. So
//
//	mean = w·d,  variance = c·(1 − w·gain) + w·(1 − w)·d²
func (t *table) miscounted(j, i, k int, rate float64, whole *parts) (mean, variance float64) {
	e := &t.lots[j]
	base, per := whole.mixed()
	w := (1 - overRate) * (1 - rate) * whole.good / (base + rate*per)
	gain := e.count / (e.v + sq(t.tau[i]))
	d := gain * (e.x - t.mu[k]) / e.bag
	return w * d, e.count/sq(e.bag)*(1-w*gain) + w*(1-w)*d*d
}

// corrected returns lot j's reading at node (i, k) with what a total and the other lots say about
// the error of its count. Besides its own count the total is uncertain by spread − v; with own the
// variance of the count in bags²,
//
//	share = own/(own + spread − v),  x − bag·share·(left + m),  sd² = e.v − e.count·share
//
// m and v from miscounted: the lot's own guess at its error is put back before the others' is
// taken.
func (t *table) corrected(j, i, k int, rate float64, whole *parts) reading {
	e := &t.lots[j]
	m, v := t.miscounted(j, i, k, rate, whole)
	at, own := i*len(t.mu)+k, e.count/sq(e.bag)
	share := own / (own + t.spread[at] - v)
	return reading{x: e.x - e.bag*share*(t.left[at]+m), sd: math.Sqrt(math.Max(e.v-e.count*share, leastVariance))}
}

// exponent is e of x = f·2ᵉ, f in [1/2, 1), as math.Frexp's at a fifth of its cost; at least −1022,
// of nought too.
func exponent(x float64) int { return int(math.Float64bits(x)>>52&0x7ff) - 1022 }

// powerOfTwo is 2ᵉ: math.Ldexp's, at a fifth of its cost where that is a normal number.
func powerOfTwo(e int) float64 {
	if e > -1023 && e < 1024 {
		return math.Float64frombits(uint64(e+1023) << 52)
	}
	return math.Ldexp(1, e)
}

// scaleAfter is how many lots' likelihoods are multiplied before the product is scaled. No
// likelihood is below overRate·likelihoodLeak: the product of the 23 that it may be (mostTimes)
// stays within the range of a float64.
const scaleAfter = 16

// product multiplies the lots' likelihoods at node (i, k) into the weights p of the rates, leaves
// their sum in [1/2, 1), and returns the power of two that it took out. It is the inner loop: the
// six rates are written out so that their weights stay in registers.
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

// place lays closer and closer grids until one fits, and returns its table. The span that the next
// grid needs is where the last one had weight (holding); the last grid is one whose span would not
// become much narrower (fits), or the mostGrids-th.
//
// lots are the lots with all errors their own, for which the table is. own are the lots without
// what they share with others, by which μ may be known better: an error that is added to one lot
// and taken from the next drops out of the mean of many, and the step of μ must be fine enough for
// that. total is as in newTable, steps is muSteps or chainSteps, wide as in component, c what is
// known about the section besides its lots.
func place(ws *workspace, lots, own []evidence, total told, steps, wide float64, c *context) *table {
	whole := wholeSpan(wide)
	mark := *ws
	t := newTable(ws, newGrid(ws, whole, whole, firstMu, firstTau, wide, c), lots, total)
	for n := 1; ; n++ {
		next := t.holding(n == 1)
		// The first grid only finds the posterior: its nodes are too far apart for answers. A later
		// one that fits is kept.
		if n == mostGrids || n > 1 && next.muHigh-next.muLow > fits*(t.muHigh-t.muLow) {
			return t
		}
		nodes := muNodesFor(own, next, steps)
		// The table before is not needed any more: its memory is taken for the next.
		ws.since(mark)
		t = newTable(ws, newGrid(ws, next, whole, nodes, tauNodes, wide, c), lots, total)
	}
}

// muNodesFor returns the number of nodes that a span of μ needs: steps of steps·narrowest at the
// smallest τ of the span, within the least and the most that are allowed.
func muNodesFor(lots []evidence, s span, steps float64) int {
	n := int((s.muHigh-s.muLow)/(steps*narrowest(lots, math.Exp(s.tLow)-tauOffset))) + 1
	return min(max(n, leastMuNodes(lots)), mostMu)
}

// leastMuNodes is the least number of nodes of μ for so many lots.
func leastMuNodes(lots []evidence) int { return leastMu + fewMu/count(lots) }

// narrowest returns the standard deviation that μ has at a given τ if all lots are good,
// 1/√information with
//
//	information = 1/meanPriorSD² + Σ times/(v + half²/3 + τ²)
//
// (normal theory; half²/3 is the variance of a uniform error). No evidence can make it smaller.
func narrowest(lots []evidence, tau float64) float64 {
	information := 1 / sq(meanPriorSD)
	for j := range lots {
		e := &lots[j]
		information += float64(e.times) / (e.v + sq(e.half)/3 + tau*tau)
	}
	return 1 / math.Sqrt(information)
}

// holding returns the span in which the table's weights lie: from the first to the last μ whose
// largest weight over all τ is worth keeping, one step wider to either side and never beyond the
// priors; the same for τ. first tells the first grid, of which more is kept.
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

// ends returns the first and the last index with at least so much weight; 0 and 0 where none has.
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

// certain counts the lots that are certainly bad, and certainly good, wherever the posterior has
// weight, and returns one less of each (0 at least), to be safe. At a trial rate of a quarter a lot
// is certainly bad where the bad component has 95 % of its likelihood at every node with more than
// 1e-4 of the highest weight, and good where it has less than half at every one. rateRule lays its
// nodes by the two numbers: a wrong number costs accuracy, it does not bias.
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
			// The factor 1 − o of good and bad is left out: a rough comparison will do.
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

// workspace lends arrays for the calculation of one section, some hundred thousand bytes for
// microseconds, and takes them back for the next. Nothing that leaves the package lies in it.
type workspace struct {
	lent[float64]
	parts lent[parts]
	rates lent[perRate]
	lots  lent[evidence]
	ints  lent[int]
	read  lent[reading]
	rules map[[3]int][]rateNode // of rateRule, by what they were asked for
}

var workspaces = sync.Pool{New: func() any { return &workspace{lent: lent[float64]{buffer: make([]float64, 1<<15)}} }}

// since gives back what was taken since a workspace was as it says.
func (s *workspace) since(was workspace) {
	s.used, s.parts.used, s.rates.used, s.lots.used, s.ints.used, s.read.used =
		was.used, was.parts.used, was.rates.used, was.lots.used, was.ints.used, was.read.used
}

// rateRule is the function of that name with the rules kept, as sections mostly ask for the same
// ones. What it returns is shared: nobody writes to it.
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

// lent is a buffer of values of one type, taken from the front on; what lies behind used is free.
type lent[T any] struct {
	buffer []T
	used   int
}

// take returns n values, which are whatever they were before.
func (s *lent[T]) take(n int) []T {
	if s.used+n > len(s.buffer) {
		s.buffer, s.used = make([]T, 2*len(s.buffer)+n), 0 // what was taken before keeps the old buffer alive
	}
	s.used += n
	return s.buffer[s.used-n : s.used : s.used]
}
