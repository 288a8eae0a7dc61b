package crew

import "math"

// table holds each lot's likelihood under each component at the nodes of a grid. Densities are shares of the target,
// so a likelihood is per share.
type table struct {
	g    *grid
	phi  *normalTable
	lots []evidence
	good []float64 // [τ][lot][μ]
	bad  []float64 // [lot][μ]
	over []float64 // [lot][μ]

	wide            float64
	badCut, overCut []float64 // [lot][μ]: the parts of bad and over above the target
	cutAt           []bool    // by μ: whether they are worked out
}

func newTable(g *grid, phi *normalTable, lots []evidence) *table {
	nk, nt, n := len(g.mu), len(g.tau), len(lots)
	room := make([]float64, (nt+2)*n*nk)
	t := &table{g: g, phi: phi, lots: lots,
		good: room[:nt*n*nk], bad: room[nt*n*nk : (nt+1)*n*nk], over: room[(nt+1)*n*nk:]}
	for j := range lots {
		e := &lots[j]
		t.fillTails(e, t.bad[j*nk:(j+1)*nk], t.over[j*nk:(j+1)*nk])
		for i, tau := range g.tau {
			row := t.good[(i*n+j)*nk:][:nk]
			if e.half > 0 {
				t.fillInterval(e, tau, row)
			} else {
				fillNormal(g, e.x, tau*tau+e.v, row)
			}
		}
	}
	return t
}

// fillNormal writes N(x; μ, s²) for every μ of the grid. Neighbours on the grid differ by a factor that itself grows by
// a constant factor, so the row needs three exponentials: it is built outward from the node nearest to x.
func fillNormal(g *grid, x, s2 float64, row []float64) {
	k0 := int((x-g.low)/g.step + 0.5)
	k0 = min(max(k0, 0), len(row)-1)
	d := x - g.mu[k0]
	top := math.Exp(-d*d/(2*s2)) / math.Sqrt(2*math.Pi*s2)
	shrink := math.Exp(-g.step * g.step / s2)
	edge := math.Sqrt(shrink)
	tilt := math.Exp(d * g.step / s2)
	row[k0] = top
	v, f := top, tilt*edge
	for k := k0 + 1; k < len(row); k++ {
		v *= f
		f *= shrink
		row[k] = v
	}
	v, f = top, edge/tilt
	for k := k0 - 1; k >= 0; k-- {
		v *= f
		f *= shrink
		row[k] = v
	}
}

// fillInterval writes the likelihood of a fresh count: the chance that a normal N(μ, τ² + v) falls into x ± half, over
// the interval's width.
func (t *table) fillInterval(e *evidence, tau float64, row []float64) {
	inv := 1 / math.Sqrt(tau*tau+e.v)
	for k, mu := range t.g.mu {
		row[k] = (t.phi.cdf((e.x+e.half-mu)*inv) - t.phi.cdf((e.x-e.half-mu)*inv)) / (2 * e.half)
	}
}

// fillTails writes the likelihoods of the two components that are flat in the density.
func (t *table) fillTails(e *evidence, bad, over []float64) {
	u := math.Sqrt(e.v)
	for k, mu := range t.g.mu {
		bad[k] = e.odds * between(t.phi, e.x, u, e.half, 0, badMost*mu) / (badMost * mu)
		over[k] = between(t.phi, e.x, u, e.half, overLeast*mu, overMost*mu)/((overMost-overLeast)*mu) + likelihoodLeak
	}
}

// between is the integral of a lot's likelihood over densities from low to high; 0 where the range is empty.
// A normal error gives Φ((high − x)/u) − Φ((low − x)/u); a fresh count the same averaged over x ± half.
func between(phi *normalTable, x, u, half, low, high float64) float64 {
	if high <= low {
		return 0
	}
	if half == 0 {
		return phi.cdf((high-x)/u) - phi.cdf((low-x)/u)
	}
	far := func(edge float64) float64 {
		return phi.integral((edge-x+half)/u) - phi.integral((edge-x-half)/u)
	}
	return math.Max(0, (far(high)-far(low))*u/(2*half))
}

// mixed is a lot's likelihood at a node for a rate of bad bays, apart in what the rate does not and does multiply.
func mixed(good, bad, over float64) (base, perRate float64) {
	good *= 1 - overRate
	bad *= 1 - overRate
	return good + overRate*over, bad - good
}

// likelihood: without a counter every lot's error is its own, so that a lot's likelihood does not hang on the others.
func (t *table) likelihood(i, k int, into *view) {
	nk, n := len(t.g.mu), len(t.lots)
	for j := range t.lots {
		into.good[j] = t.good[(i*n+j)*nk+k]
		into.bad[j] = t.bad[j*nk+k]
		into.over[j] = t.over[j*nk+k]
	}
}

// view works out what lies above the target of the flat components once for every μ.
func (t *table) view(i, k int, into *view) {
	nk := len(t.g.mu)
	t.likelihood(i, k, into)
	if !t.cutAt[k] {
		t.cutAt[k] = true
		c := newCut(t.phi, t.g.mu[k], t.g.tau[i], t.wide)
		for j := range t.lots {
			e := &t.lots[j]
			t.badCut[j*nk+k] = c.bad(e.x, e.v, e.half, e.odds)
			t.overCut[j*nk+k] = c.over(e.x, e.v, e.half, t.over[j*nk+k])
		}
	}
	for j := range t.lots {
		into.x[j], into.v[j] = t.lots[j].x, t.lots[j].v
		into.badCut[j], into.overCut[j] = t.badCut[j*nk+k], t.overCut[j*nk+k]
	}
}

// forAnswer makes room for what view works out.
func (t *table) forAnswer(wide float64) *table {
	nk, n := len(t.g.mu), len(t.lots)
	room := make([]float64, 2*n*nk)
	t.wide, t.badCut, t.overCut, t.cutAt = wide, room[:n*nk], room[n*nk:], make([]bool, nk)
	return t
}
