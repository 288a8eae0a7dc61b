package crew

import "math"

// lookRates stand for the rate of bad bays while the grid is being placed: few, some, half of them.
func lookRates() [3]rateNode {
	return [3]rateNode{{0.05, 0.55}, {0.2, 0.38}, {0.5, 0.07}}
}

// look returns the posterior weight of every node with the rate taken at three values, the highest 1, and the mean of
// the rate.
func (t *table) look() (weight []float64, rate float64) {
	nk, nt, n := len(t.g.mu), len(t.g.tau), len(t.lots)
	rates := lookRates()
	weight = make([]float64, nt*nk)
	means := make([]float64, nt*nk)
	most := math.Inf(-1)
	for i := range t.g.tau {
		for k := range t.g.mu {
			p := [3]float64{1, 1, 1}
			logs := 0.0
			for j := 0; j < n; j++ {
				base, per := mixed(t.good[(i*n+j)*nk+k], t.bad[j*nk+k], t.over[j*nk+k])
				p[0] *= base + rates[0].rate*per
				p[1] *= base + rates[1].rate*per
				p[2] *= base + rates[2].rate*per
				if j&7 == 7 { // eight lots cannot leave the range of a float64, eighty can
					m := math.Max(p[0], math.Max(p[1], p[2]))
					logs += math.Log(m)
					p[0], p[1], p[2] = p[0]/m, p[1]/m, p[2]/m
				}
			}
			sum := rates[0].weight*p[0] + rates[1].weight*p[1] + rates[2].weight*p[2]
			l := logs + math.Log(sum*t.g.weight[i*nk+k])
			weight[i*nk+k] = l
			means[i*nk+k] = (rates[0].weight*p[0]*rates[0].rate + rates[1].weight*p[1]*rates[1].rate + rates[2].weight*p[2]*rates[2].rate) / sum
			if l > most {
				most = l
			}
		}
	}
	all := 0.0
	for i, l := range weight {
		weight[i] = math.Exp(l - most)
		all += weight[i]
		rate += weight[i] * means[i]
	}
	return weight, rate / all
}

// place finds the part of μ and τ that the lots leave standing and lays the final grid over it: it looks closer until a
// look keeps most of its range. finest is for the grid that it returns. It also returns the mean of the rate there.
func place(phi *normalTable, lots []evidence, wide float64, finest fineness) (*grid, float64) {
	whole := wholeSpan(wide)
	s, muNodes, tauNodes := whole, firstMu, firstTau
	keepM, keepT, rate := firstKeep, firstKeep, 0.0
	for range zoomsAtMost {
		g := newGrid(s, muNodes, tauNodes, wide)
		weight, mean := newTable(g, phi, lots).look()
		rate = mean
		next := g.holding(weight, whole, keepM, keepT)
		enough := next.muHigh-next.muLow > zoomIsEnough*(s.muHigh-s.muLow)
		s, muNodes, tauNodes = next, zoomMu, zoomTau
		keepM, keepT = keepMu, keepTau
		if enough {
			break
		}
	}
	return newGrid(s, finest.muNodes(s, lots), finest.tauNodes(s, len(lots)), wide), rate
}

// fineness is the largest step of a grid, in the narrowest standard deviation that the parameter can have.
type fineness struct{ inMu, inLogTau float64 }

// muNodes returns how many nodes a span of μ needs. Its narrowest standard deviation is that of n lots like the best
// measured one, all good.
func (f fineness) muNodes(s span, lots []evidence) int {
	least := math.Inf(1)
	for i := range lots {
		least = math.Min(least, lots[i].full())
	}
	tau := math.Exp(s.logLow)
	sd := math.Sqrt((least + tau*tau) / float64(len(lots)))
	n := int((s.muHigh-s.muLow)/(f.inMu*sd)) + 1
	return min(max(n, leastMu), mostMu)
}

// tauNodes returns how many nodes a span of ln τ needs. Its standard deviation is at best 1/√(2n) with n lots, and wider
// where τ is small beside u.
func (f fineness) tauNodes(s span, lots int) int {
	n := int((s.logHigh-s.logLow)*math.Sqrt(2*float64(lots))/f.inLogTau) + 1
	return min(max(n, leastTau), mostTau)
}
