package crew

import "math"

// grid is a set of nodes over the crew's mean μ (equal steps) and spread τ (equal steps along a spacing). Rows of a
// wide τ need fewer μ: each row has its own stretch and stride.
type grid struct {
	low, step float64 // of μ
	mu, tau   []float64
	log, per  []float64 // by τ: its logarithm, and how much of that the row stands for
	muPrior   []float64 // prior density by μ
	tauPrior  []float64 // and by ln τ; both but for a constant
	rows      []muRow   // by τ
}

// muRow is the part of the μ that one τ uses: from, from + stride, … below to.
type muRow struct{ from, to, stride int }

const (
	priorReach   = 4.5  // the priors are followed so many standard deviations from their centre
	spreadReach  = 3.0  // the same for ln τ
	firstMu      = 25   // nodes of the first look, over the whole prior
	firstTau     = 4    //
	leastMu      = 13   // least nodes of a closer look, the last of which is the final grid
	fewMu        = 60   // shared out over the lots: so many nodes more, for where one lot says little the step that the target cuts is narrow beside the range of μ
	mostMu       = 65   // most
	leastTau     = 7    // nodes of ln τ of the final grid, least and most
	fewTau       = 5    // the same
	mostTau      = 20   //
	keepMu       = 1e-6 // a node's share of the highest below which μ is not followed
	keepTau      = 1e-5 // the same for τ
	firstKeep    = 1e-9 // and for both at a look whose nodes may miss a narrow peak
	keepNode     = 1e-7 // and for a node of the last look
	zoomsAtMost  = 4    //
	zoomIsEnough = 0.3  // a look that keeps more than this share of its range needs no closer one
)

// span is a range of μ and of ln τ.
type span struct{ muLow, muHigh, logLow, logHigh float64 }

// wholeSpan is where the priors have their weight; wide is the relative standard uncertainty of the scale.
func wholeSpan(wide float64) span {
	sd := math.Hypot(meanPriorSD, wide*meanPrior)
	mid := math.Log(SpreadMedian)
	return span{meanPrior - priorReach*sd, meanPrior + priorReach*sd,
		mid - spreadReach*SpreadLogSD, mid + spreadReach*SpreadLogSD}
}

// newGrid lays nodes over a span. The prior of μ is that of the true mean, widened by the common scale error wide.
func newGrid(s *scratch, over span, muNodes, tauNodes int, along spacing, wide float64) *grid {
	g := &grid{low: over.muLow, step: (over.muHigh - over.muLow) / float64(muNodes-1),
		mu: s.take(muNodes), muPrior: s.take(muNodes), tau: s.take(tauNodes), tauPrior: s.take(tauNodes),
		log: s.take(tauNodes), per: s.take(tauNodes), rows: make([]muRow, tauNodes)}
	for k := range g.mu {
		m := g.low + float64(k)*g.step
		v := sq(meanPriorSD) + sq(wide*m)
		g.mu[k], g.muPrior[k] = m, math.Exp(-0.5*sq(m-meanPrior)/v)/math.Sqrt(v)
	}
	step := along.length(over) / float64(tauNodes-1)
	log := over.logLow
	_, slope := along.at(log)
	for t := range g.tau {
		if t > 0 {
			log, slope = along.after(log, step)
		}
		g.log[t], g.per[t], g.tau[t] = log, step/slope, math.Exp(log)
		g.tauPrior[t] = math.Exp(-0.5 * sq((log-math.Log(SpreadMedian))/SpreadLogSD))
		g.rows[t] = muRow{0, muNodes, 1}
	}
	return g
}

// prior is the prior weight of a node.
func (g *grid) prior(i, k int) float64 { return g.tauPrior[i] * g.muPrior[k] }

// cell is the measure of a row's nodes, so that rows and evidences of different grids compare.
func (g *grid) cell(i int) float64 { return g.step * g.per[i] * float64(g.rows[i].stride) }

func (g *grid) muRange() float64 { return g.step * float64(len(g.mu)-1) }

// holding returns the part of the span in which a node's weight, the highest over the other parameter, is at least the
// given share of the highest of all, one stride wider to either side, never wider than the prior.
func (g *grid) holding(weight []float64, whole span, keepMu, keepTau float64) span {
	nk := len(g.mu)
	byMu, byTau := make([]float64, nk), make([]float64, len(g.tau))
	most := 0.0
	for i := range byTau {
		for k, w := range weight[i*nk:][:nk] {
			if w > byMu[k] {
				byMu[k] = w
			}
			if w > byTau[i] {
				byTau[i] = w
			}
		}
		most = max(most, byTau[i])
	}
	stride := 1
	for _, r := range g.rows {
		stride = max(stride, r.stride)
	}
	beyond := float64(stride) * g.step
	first, last := ends(byMu, most*keepMu)
	s := span{muLow: g.mu[first] - beyond, muHigh: g.mu[last] + beyond}
	first, last = ends(byTau, most*keepTau)
	s.logLow, s.logHigh = g.log[first]-g.per[first], g.log[last]+g.per[last]
	return span{math.Max(s.muLow, whole.muLow), math.Min(s.muHigh, whole.muHigh),
		math.Max(s.logLow, whole.logLow), math.Min(s.logHigh, whole.logHigh)}
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
