package crew

import "math"

// grid is a set of nodes over the crew's mean μ (equal steps) and spread τ (equal steps of its logarithm).
type grid struct {
	low, step float64 // of μ
	mu        []float64
	tau       []float64
	weight    []float64 // prior weight, [τ][μ]
}

const (
	priorReach   = 4.5  // the priors are followed so many standard deviations from their centre
	spreadReach  = 3.0  // the same for ln τ
	firstMu      = 31   // nodes of the first look, over the whole prior
	firstTau     = 5    //
	zoomMu       = 21   // nodes of a closer look
	zoomTau      = 7    //
	leastMu      = 17   // least nodes of the final grid
	mostMu       = 65   // most
	leastTau     = 10   // nodes of ln τ of the final grid, least and most
	mostTau      = 20   //
	keepMu       = 1e-6 // a node's share of the highest below which μ is not followed
	keepTau      = 1e-5 // the same for τ
	firstKeep    = 1e-9 // and for both at a look whose nodes may miss a narrow peak
	zoomsAtMost  = 4    //
	zoomIsEnough = 0.45 // a look that keeps more than this share of its range needs no closer one
)

// span is a range of μ and of ln τ.
type span struct{ muLow, muHigh, logLow, logHigh float64 }

// wholeSpan is where the priors have their weight; wide is the relative standard uncertainty of the scale.
func wholeSpan(wide float64) span {
	sd := math.Hypot(meanPriorSD, wide*meanPrior)
	mid := math.Log(spreadMedian)
	return span{meanPrior - priorReach*sd, meanPrior + priorReach*sd,
		mid - spreadReach*spreadLogSD, mid + spreadReach*spreadLogSD}
}

// newGrid lays nodes over a span. The prior of μ is that of the true mean, widened by the common scale error wide.
func newGrid(s span, muNodes, tauNodes int, wide float64) *grid {
	g := &grid{low: s.muLow, step: (s.muHigh - s.muLow) / float64(muNodes-1),
		mu: make([]float64, muNodes), tau: make([]float64, tauNodes), weight: make([]float64, muNodes*tauNodes)}
	for k := range g.mu {
		g.mu[k] = g.low + float64(k)*g.step
	}
	logStep := (s.logHigh - s.logLow) / float64(tauNodes-1)
	for t := range g.tau {
		log := s.logLow + float64(t)*logStep
		g.tau[t] = math.Exp(log)
		byTau := sq((log - math.Log(spreadMedian)) / spreadLogSD)
		for k, m := range g.mu {
			v := sq(meanPriorSD) + sq(wide*m)
			g.weight[t*muNodes+k] = math.Exp(-0.5*(byTau+sq(m-meanPrior)/v)) / math.Sqrt(v)
		}
	}
	return g
}

// cell is the measure of one node, so that evidences of different grids compare.
func (g *grid) cell() float64 {
	cell := g.step
	if n := len(g.tau); n > 1 {
		cell *= math.Log(g.tau[n-1]/g.tau[0]) / float64(n-1)
	}
	return cell
}

// holding returns the part of the span in which a node's weight, the highest over the other parameter, is at least the
// given share of the highest of all, one step wider to either side, never wider than the prior.
func (g *grid) holding(weight []float64, whole span, keepMu, keepTau float64) span {
	nk := len(g.mu)
	byMu, byTau := make([]float64, nk), make([]float64, len(g.tau))
	most := 0.0
	for i, w := range weight {
		byMu[i%nk] = math.Max(byMu[i%nk], w)
		byTau[i/nk] = math.Max(byTau[i/nk], w)
		most = math.Max(most, w)
	}
	first, last := ends(byMu, most*keepMu)
	s := span{muLow: g.mu[first] - g.step, muHigh: g.mu[last] + g.step}
	first, last = ends(byTau, most*keepTau)
	logStep := math.Log(g.tau[1] / g.tau[0])
	s.logLow, s.logHigh = math.Log(g.tau[first])-logStep, math.Log(g.tau[last])+logStep
	return span{math.Max(s.muLow, whole.muLow), math.Min(s.muHigh, whole.muHigh),
		math.Max(s.logLow, whole.logLow), math.Min(s.logHigh, whole.logHigh)}
}

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
