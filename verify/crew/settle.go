package crew

import "math"

// forget is a node's share of the highest weight below which it takes no part in the answers.
const forget = 1e-5

// node is one (μ, τ) with the posterior weights of the eight rates.
type node struct {
	mu, tau float64
	rates   [8]float64
	weight  float64 // their sum
}

// view is what one node says about the lots with all the others taken into account: the density as read and its
// variance, readings shared with neighbours put right, and the likelihoods under the three components.
type view struct {
	x, v            []float64
	good, bad, over []float64
	badCut, overCut []float64 // what of bad and over lies above the target
}

func newView(n int) *view {
	room := make([]float64, 7*n)
	return &view{room[:n], room[n : 2*n], room[2*n : 3*n], room[3*n : 4*n], room[4*n : 5*n], room[5*n : 6*n], room[6*n:]}
}

// section answers for a node of the grid: the likelihood of all lots in their order, and the view of each.
type section interface {
	likelihood(i, k int, into *view) // good, bad and over: each lot's given those before it
	view(i, k int, into *view)       // each lot's given all others
}

// newSums integrates over the grid of μ and τ and the rate.
func newSums(phi *normalTable, lots []evidence, wide float64, keep []int) *sums {
	alone := make([]evidence, len(lots))
	chained := false
	for j, e := range lots {
		chained = chained || e.chained()
		e.v = e.full() - e.half*e.half/3
		e.in, e.out = link{}, link{}
		alone[j] = e
	}
	finest := fineness{1.4, 2.3}
	if chained { // the filter's own error is larger than that of a coarser grid, and each node costs more
		finest = fineness{1.7, 2.9}
	}
	g, rate := place(phi, alone, wide, finest)
	var of section
	if chained {
		of = newChain(g, phi, lots, wide, rate)
	} else {
		of = newTable(g, phi, lots).forAnswer(wide)
	}
	nodes, logScale := settle(g, of, len(lots))
	return answer(g, phi, of, lots, nodes, &sums{phi: phi, logScale: logScale, wide: wide}, keep)
}

// settle returns the posterior weight of every node of the grid, in units of exp(logScale).
func settle(g *grid, of section, n int) (nodes []node, logScale float64) {
	rates := rateNodes()
	nk := len(g.mu)
	nodes = make([]node, nk*len(g.tau))
	logs := make([]float64, len(nodes))
	logScale = math.Inf(-1)
	lot := newView(n)
	for at := range nodes {
		i, k := at/nk, at%nk
		of.likelihood(i, k, lot)
		nodes[at].mu, nodes[at].tau = g.mu[k], g.tau[i]
		p := &nodes[at].rates
		for r := range p {
			p[r] = rates[r].weight
		}
		logs[at] = math.Log(g.weight[at]*g.cell()) + product(lot, &rates, p)
		if logs[at] > logScale {
			logScale = logs[at]
		}
	}
	for at := range nodes {
		f := math.Exp(logs[at] - logScale)
		for r := range nodes[at].rates {
			nodes[at].rates[r] *= f
			nodes[at].weight += nodes[at].rates[r]
		}
	}
	return nodes, logScale
}

// product multiplies the lots' likelihoods into p at every rate and returns the logarithm of what it took out on the way.
func product(lot *view, rates *[8]rateNode, p *[8]float64) float64 {
	logs := 0.0
	for j := range lot.good {
		base, per := mixed(lot.good[j], lot.bad[j], lot.over[j])
		for r := range p {
			p[r] *= base + rates[r].rate*per
		}
		if j&7 == 7 || j == len(lot.good)-1 {
			most := p[0]
			for _, v := range p[1:] {
				if v > most {
					most = v
				}
			}
			logs += math.Log(most)
			for r := range p {
				p[r] /= most
			}
		}
	}
	return logs
}
