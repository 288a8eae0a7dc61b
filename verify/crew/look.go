package crew

import "math"

// lookRate stands for the rate of bad bays while the grid is being placed: with it neither a section that is half bad nor one
// without a bad bay hides where it lies.
const lookRate = 0.25

// look returns the posterior at the nodes of a table, the highest 1.
func (t *table) look(s *scratch) (weight []float64) { // [τ][μ]
	nk, nt := len(t.g.mu), len(t.g.tau)
	weight = s.take(nk * nt)
	clear(weight)
	power := s.take(nk * nt)
	most := math.Inf(-1)
	var lot view
	for i, r := range t.g.rows {
		for k := r.from; k < r.to; k += r.stride {
			t.likelihood(i, k, &lot)
			p, e := lookProduct(&lot)
			at := i*nk + k
			weight[at], power[at] = p*t.g.prior(i, k), float64(e)
			most = max(most, power[at])
		}
	}
	highest := 0.0
	for at, w := range weight {
		if w > 0 {
			weight[at] = w * powerOfTwo(int(power[at]-most))
			highest = max(highest, weight[at])
		}
	}
	per := 1 / highest
	for at := range weight {
		weight[at] *= per
	}
	return weight
}

// lookProduct multiplies the lots' likelihoods: p·2ᵉ.
func lookProduct(lot *view) (p float64, e int) {
	p = 1
	bads, overs, times := lot.bad[:len(lot.good)], lot.over[:len(lot.good)], lot.times[:len(lot.good)]
	since := 0
	for j, good := range lot.good {
		base, per := mixed(good, bads[j], overs[j])
		l := base + lookRate*per
		for t := times[j]; ; { // to the power of times, by squares
			if t&1 == 1 {
				p *= l
			}
			if t >>= 1; t == 0 {
				break
			}
			l *= l
		}
		if since += times[j]; since >= scaleAfter { // a few lots cannot leave the range of a float64, eighty can
			_, shift := scaled(p)
			p, e, since = p*powerOfTwo(-shift), e+shift, 0
		}
	}
	return p, e
}

// sure counts the lots that are certainly bad and certainly good wherever the look leaves weight.
func (t *table) sure(weight []float64) (bad, good int) {
	const counts, badAt, goodAt = 1e-4, 0.95, 0.5
	bad, good = total(t.lots), total(t.lots)
	nk := len(t.g.mu)
	var lot view
	for at, w := range weight {
		if w < counts {
			continue
		}
		t.likelihood(at/nk, at%nk, &lot)
		b, g := 0, 0
		for j, good := range lot.good {
			spoiled := lookRate * lot.bad[j]
			all := spoiled + (1-lookRate)*good + lot.over[j]*(overRate/(1-overRate))
			switch {
			case spoiled > badAt*all:
				b += t.times[j]
			case spoiled < goodAt*all:
				g += t.times[j]
			}
		}
		bad, good = min(bad, b), min(good, g)
	}
	return bad, good
}

// placed is where the lots leave weight: the final grid and its table, and what the last look says.
type placed struct {
	g    *grid
	t    *table
	seen []float64 // weight of the nodes, the highest 1
	mean float64   // of μ
	log  float64   // mean of ln τ
	bad  int       // lots that are surely bad, and good, less one of each: a seat asks what the others say without one
	good int
}

// place finds the part of μ and τ that the lots leave standing: a coarse look over the whole prior, then closer ones that
// are fine enough to be the final grid, until one keeps most of its range.
func place(s *scratch, lots []evidence, wide float64, finest fineness) placed {
	whole := wholeSpan(wide)
	mark := s.used
	g := newGrid(s, whole, firstMu, firstTau, logarithmic(), wide)
	keepM, keepT := firstKeep, firstKeep
	for look := 0; ; look++ {
		t := newTable(s, g, lots, look == 0)
		seen := t.look(s)
		next := g.holding(seen, whole, keepM, keepT)
		if look == zoomsAtMost || look > 0 && next.muHigh-next.muLow > zoomIsEnough*g.muRange() {
			bad, good := t.sure(seen)
			mean, log := g.means(seen)
			return placed{g, t, seen, mean, log, max(0, bad-1), max(0, good-1)}
		}
		s.used = mark
		along := finest.spacing()
		g = newGrid(s, next, finest.muNodes(next), finest.tauNodes(next, along), along, wide)
		finest.thin(g)
		keepM, keepT = keepMu, keepTau
	}
}

// means returns the means of μ and of ln τ.
func (g *grid) means(weight []float64) (mu, logTau float64) {
	all := 0.0
	for at, w := range weight {
		if w > 0 {
			i := at / len(g.mu)
			w *= g.cell(i)
			all += w
			mu += w * g.mu[at%len(g.mu)]
			logTau += w * g.log[i]
		}
	}
	return mu / all, logTau / all
}

// fineness is the largest step of a grid: of μ in the narrowest standard deviation that it can have, of τ along the spacing.
// Where lots share readings of a counter, those drop out of the mean of many: the lots' own variances count.
type fineness struct {
	inMu, inTau float64
	lots        []evidence
}

// own is the variance of a lot that none shares.
func (f *fineness) own(j int) float64 { return f.lots[j].v + sq(f.lots[j].half)/3 }

// narrowest is the standard deviation of μ at one τ if all lots are good: no evidence can make it smaller.
func (f *fineness) narrowest(tau float64) float64 {
	sum := 1 / sq(meanPriorSD)
	for j := range f.lots {
		sum += float64(f.lots[j].times) / (f.own(j) + tau*tau)
	}
	return 1 / math.Sqrt(sum)
}

// least is the least number of nodes of μ.
func (f *fineness) least() int { return leastMu + fewMu/total(f.lots) }

// muNodes returns how many nodes a span of μ needs for its narrowest τ.
func (f *fineness) muNodes(s span) int {
	n := int((s.muHigh-s.muLow)/(f.inMu*f.narrowest(math.Exp(s.logLow)))) + 1
	return min(max(n, f.least()), mostMu)
}

// thin widens the stride where a wider τ allows it.
func (f *fineness) thin(g *grid) {
	for i, tau := range g.tau {
		stride := int(f.inMu * f.narrowest(tau) / g.step)
		g.rows[i].stride = min(max(stride, 1), 1+len(g.mu)/(f.least()+1))
	}
}

// spacing is that of lots which are all as sure as the surest. The information of n lots about ln τ is 2·Σ(τ²/(v + τ²))².
func (f *fineness) spacing() spacing {
	v := f.own(0)
	for j := range f.lots {
		v = min(v, f.own(j))
	}
	return spacing{flatSpacing / SpreadLogSD, math.Sqrt(2 * float64(total(f.lots))), v}
}

// tauNodes returns how many nodes of τ a span needs.
func (f *fineness) tauNodes(s span, along spacing) int {
	n := int(along.length(s)/f.inTau) + 1
	return min(max(n, leastTau+fewTau/total(f.lots)), mostTau)
}
