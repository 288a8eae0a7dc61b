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
}

func newTable(s *scratch, g *grid, lots []evidence, rough bool) *table {
	nk, nt, n := len(g.mu), len(g.tau), len(lots)
	t := &table{g: g, lots: lots, times: timesOf(lots), good: s.take(nt * nk * n), bad: s.take(nk * n), over: s.take(nk * n)}
	for j := range lots {
		e := &lots[j]
		t.fillTails(j, rough)
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

// fillNormal writes N(x; μ, s²) for every μ of a row.
func (t *table) fillNormal(x, s2 float64, r muRow, into []float64) {
	n := len(t.lots)
	normalRow(into[r.from*n:], t.g.mu[r.from]-x, t.g.step*float64(r.stride), s2, (r.to-1-r.from)/r.stride+1, n*r.stride)
}

// normalRow writes the normal density with variance v at so many places an even step apart, every stride of into. Neighbours
// differ by a factor that itself grows by a constant factor, so that a row needs few exponentials: it is built outward from
// the place nearest to 0.
func normalRow(into []float64, first, step, v float64, places, stride int) {
	last := places - 1
	nearest := min(max(int(-first/step+0.5), 0), last)
	d := first + float64(nearest)*step
	half := 0.5 / v
	y := math.Exp(-d*d*half) * math.Sqrt(half/math.Pi)
	up, down := math.Exp(-(2*d+step)*step*half), math.Exp((2*d-step)*step*half)
	shrink := up * down
	if nearest == 0 || nearest == last { // one of them may be out of range
		shrink = math.Exp(-2 * step * step * half)
	}
	k0 := nearest * stride
	into[k0] = y
	for k, y := k0+stride, y; k <= last*stride; k += stride {
		y *= up
		up *= shrink
		into[k] = y
	}
	for k := k0 - stride; k >= 0; k -= stride {
		y *= down
		down *= shrink
		into[k] = y
	}
}

// fillInterval writes the likelihood of a fresh count for every μ of a row.
func (t *table) fillInterval(e *evidence, i int, into []float64) {
	s, r, n := newSmear(e.x, e.v, e.half), t.g.rows[i], len(t.lots)
	for k := r.from; k < r.to; k += r.stride {
		into[k*n] = s.good(t.g.mu[k], t.g.tau[i])
	}
}

// fillTails writes the likelihoods of a lot under the two components that do not hang on τ; roughly at every second μ, with
// the mean of its neighbours between.
func (t *table) fillTails(j int, rough bool) {
	e, n := &t.lots[j], len(t.lots)
	s := newSmear(e.x, e.v, e.half)
	step := 1
	if rough {
		step = 2
	}
	for k := 0; k < len(t.g.mu); k += step {
		at := k*n + j
		t.bad[at], t.over[at] = s.tails(t.g.mu[k], e.odds)
		if rough && k > 0 {
			t.bad[at-n], t.over[at-n] = (t.bad[at]+t.bad[at-2*n])/2, (t.over[at]+t.over[at-2*n])/2
		}
	}
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
