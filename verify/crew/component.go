package crew

import "math"

// table holds each lot's likelihood under each component at the nodes of a grid. Densities are shares of the target,
// so a likelihood is per share.
type table struct {
	g     *grid
	lots  []evidence
	times []int     // how many lots each stands for
	good  []float64 // [τ][μ][lot], filled where the grid's rows go
	bad   []float64 // [μ][lot]
	over  []float64 // [μ][lot]

	by              common
	badCut, overCut []float64 // [μ][lot]: the parts of bad and over above the target
	cutAt           []bool    // by μ: whether they are worked out
	row             int       // τ that gain and inv are for, -1 for none
	gain, inv       []float64 // [lot]
	goodCut         []float64 // [lot]
}

func newTable(s *scratch, g *grid, lots []evidence) *table {
	nk, nt, n := len(g.mu), len(g.tau), len(lots)
	t := &table{g: g, lots: lots, times: timesOf(lots), good: s.take(nt * nk * n), bad: s.take(nk * n), over: s.take(nk * n)}
	for j := range lots {
		e := &lots[j]
		t.fillTails(j)
		for i, tau := range g.tau {
			row := t.good[i*nk*n+j:]
			switch {
			case g.rows[i].from >= g.rows[i].to:
			case e.half > 0:
				t.fillInterval(e, i, row)
			default:
				t.fillNormal(e.x, tau*tau+e.v, g.rows[i], row)
			}
		}
	}
	return t
}

// fillNormal writes N(x; μ, s²) for every μ of a row. Neighbours on the grid differ by a factor that itself grows by a
// constant factor, so the row needs three exponentials: it is built outward from the node nearest to x.
func (t *table) fillNormal(x, s2 float64, r muRow, into []float64) {
	n := len(t.lots)
	step := t.g.step * float64(r.stride)
	last := (r.to - 1 - r.from) / r.stride
	nearest := min(max(int((x-t.g.mu[r.from])/step+0.5), 0), last)
	k0 := r.from + nearest*r.stride
	d := x - t.g.mu[k0]
	half := 0.5 / s2
	top := math.Exp(-d*d*half) * math.Sqrt(half/math.Pi)
	edge := math.Exp(-step * step * half)
	tilt := math.Exp(2 * d * step * half)
	shrink := edge * edge
	into[k0*n] = top
	v, f := top, tilt*edge
	for k := k0 + r.stride; k < r.to; k += r.stride {
		v *= f
		f *= shrink
		into[k*n] = v
	}
	v, f = top, edge/tilt
	for k := k0 - r.stride; k >= r.from; k -= r.stride {
		v *= f
		f *= shrink
		into[k*n] = v
	}
}

// fillInterval writes the likelihood of a fresh count: the chance that a normal N(μ, τ² + v) falls into x ± half, over
// the interval's width.
func (t *table) fillInterval(e *evidence, i int, into []float64) {
	inv := 1 / math.Sqrt(sq(t.g.tau[i])+e.v)
	r, n := t.g.rows[i], len(t.lots)
	for k := r.from; k < r.to; k += r.stride {
		mu := t.g.mu[k]
		into[k*n] = (phi.cdf((e.x+e.half-mu)*inv) - phi.cdf((e.x-e.half-mu)*inv)) / (2 * e.half)
	}
}

// fillTails writes the likelihoods of a lot under the two components that are flat in the density.
func (t *table) fillTails(j int) {
	e, n := &t.lots[j], len(t.lots)
	if e.half > 0 {
		t.fillIntervalTails(j)
		return
	}
	inv := 1 / math.Sqrt(e.v)
	below := phi.cdf(-e.x * inv)
	for k, mu := range t.g.mu {
		bad := phi.cdf((badMost*mu-e.x)*inv) - below
		over := phi.cdf((overMost*mu-e.x)*inv) - phi.cdf((overLeast*mu-e.x)*inv)
		t.bad[k*n+j] = e.odds * bad / (badMost * mu)
		t.over[k*n+j] = over/((overMost-overLeast)*mu) + likelihoodLeak
	}
}

// fillIntervalTails is the same for a fresh count.
func (t *table) fillIntervalTails(j int) {
	e, n := &t.lots[j], len(t.lots)
	flat := newFlat(e.x, e.v, e.half)
	for k, mu := range t.g.mu {
		t.bad[k*n+j] = e.odds * flat.between(0, badMost*mu) / (badMost * mu)
		t.over[k*n+j] = flat.between(overLeast*mu, overMost*mu)/((overMost-overLeast)*mu) + likelihoodLeak
	}
}

// flat is a lot's likelihood integrated over densities.
type flat struct{ x, half, inv, below float64 }

func newFlat(x, v, half float64) flat {
	f := flat{x: x, half: half, inv: 1 / math.Sqrt(v)}
	f.below = f.upTo(0)
	return f
}

// between is the integral of the likelihood over densities from low to high; 0 where the range is empty.
func (f *flat) between(low, high float64) float64 {
	if high <= low {
		return 0
	}
	below := f.below
	if low != 0 {
		below = f.upTo(low)
	}
	return max(0, f.upTo(high)-below)
}

// upTo is the integral up to an edge. A normal error gives Φ((edge − x)/u); a fresh count the same averaged over x ± half.
func (f *flat) upTo(edge float64) float64 {
	z := (edge - f.x) * f.inv
	if f.half == 0 {
		return phi.cdf(z)
	}
	w := f.half * f.inv
	return (normalIntegral(z+w) - normalIntegral(z-w)) / (2 * w)
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
	into.times = t.times
	into.good = t.good[(i*nk+k)*n:][:n]
	into.bad = t.bad[k*n:][:n]
	into.over = t.over[k*n:][:n]
}

// view works out what lies above the target: of the flat components once for every μ, of the good one with what
// hangs on τ alone taken once for every row.
func (t *table) view(i, k int, into *view) {
	n := len(t.lots)
	t.likelihood(i, k, into)
	into.goodCut, into.badCut, into.overCut = t.goodCut, t.badCut[k*n:][:n], t.overCut[k*n:][:n]
	c := newCut(t.g.mu[k], t.g.tau[i], t.by)
	if t.row != i {
		t.row = i
		for j := range t.lots {
			t.gain[j], t.inv[j] = c.pull(t.lots[j].v)
		}
	}
	for j := range t.lots {
		if e := &t.lots[j]; e.half == 0 {
			into.goodCut[j] = into.good[j] * c.above(e.x, t.gain[j], t.inv[j])
		} else {
			into.goodCut[j] = c.good(e.x, e.v, e.half, into.good[j])
		}
	}
	if t.cutAt[k] {
		return
	}
	t.cutAt[k] = true
	for j := range t.lots {
		e := &t.lots[j]
		into.badCut[j] = c.bad(e.x, e.v, e.half, e.odds)
		into.overCut[j] = c.over(e.x, e.v, e.half, into.over[j])
	}
}

// forAnswer makes room for what view works out.
func (t *table) forAnswer(s *scratch, by common) *table {
	nk, n := len(t.g.mu), len(t.lots)
	t.by, t.badCut, t.overCut, t.cutAt = by, s.take(n*nk), s.take(n*nk), make([]bool, nk)
	t.row, t.gain, t.inv, t.goodCut = -1, s.take(n), s.take(n), s.take(n)
	return t
}
