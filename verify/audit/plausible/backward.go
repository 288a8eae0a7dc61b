// Bags worked backwards from a density.
//
// Such counts are each the nearest step to one density times the bay's volume. Honest bays scatter,
// and a count read at both ends falls to either side of what went in, so that honest counts are the
// nearest step only now and then. The test is a ratio of likelihoods, in which some honest bays
// among the invented ones cost a little and switch nothing off:
//
//	L₁(ρ) = Π [(1 − ε − μ − β)·[n is nearest to ρV/q] + ε·K(n; ρV/q, 0.05) + μ·M(n) + β·W(n)]    worked backwards from ρ
//	L₀    = sup over ρ, τ, β of  Π [(1 − β)·K(n; ρV/q, τ) + β·W(n)]                 honest, ρ by section
//
// n are counts in steps of q bags, V volumes in bags of density ρ. K is the distribution of an
// honest count: what went in, N(x, (τx)²), read at both ends to a step each (an error of triangular
// distribution). W spreads voids and slips evenly from nothing to twice x, M stands for a step to
// either side of the nearest. ε is the share of bays that look honest, μ of those that were moved
// by a step to look so.
//
// L₁, averaged over ρ and ε with weights that are fixed beforehand, is a distribution; L₀ is no
// less than the honest crew's own likelihood, whatever its ρ and τ. So the mean of E = L₁/L₀ over
// honest data is at most 1, and P(E ≥ 1/p) ≤ p by Markov's inequality (a ratio with the supremum
// below it: Wasserman, Ramdas and Balakrishnan 2020). No replay is needed, E of several jobs
// multiply, and an even crew gains nothing by its evenness: τ = 0 is nearly among the honest. The
// supremum is found by search, over five τ, two β and uphill in ρ; that this is near enough is what
// TestHonestRatioMean holds: the mean of E over honest crews of every evenness.
//
// From a full hopper there is no reading error that would part an even crew from one that works
// backwards; such counts (fresh) are not looked at. Like bays that all need one count prove nothing
// either.

package plausible

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"bayproof/model"
	"bayproof/verify/stat"
)

const (
	leastCounts = 6 // counts in a section, below which nothing is looked at
	// Densities that bags may be worked backwards from, evenly in the logarithm: 2.4 to 5.0 lb/ft³
	// in steps of 0.15 %, a third of what tells two densities apart in 144 bays of six steps each.
	densityFrom  = 2.4 * model.PoundPerCubicFoot
	densityRatio = 0.0015
	densities    = 490
	// Of them these, 3.45 to 4.0 lb/ft³, have so much of the weight.
	likelyFrom, likelyTo = 242, 341
	likelyShare          = 0.7
	wideSpread           = 0.05 // relative spread of the bays among worked-backwards ones that look honest
	leastHits            = 0.70 // share of counts that are the nearest step, below which a density is not looked at
	tauSteps             = 5    // spreads that L₀ is tried at
	mixes                = 6    // sets of shares that L₁ is averaged over
	hopeless             = 3.0  // ln L₀ less ln L₁ above which a job says nothing for counts that were worked backwards, in its crew's sum either
	mostLogE             = 40   // ln E of a job beyond which nothing is gained
	mostBehind           = 4    // counts by which a density may lag behind the best and still be looked at
)

// mixture is one set of the shares ε, μ and β of L₁ with its weight.
type mixture struct {
	honest, moved, odd, weight float64
	nearest                    float64 // ln(1 − ε − μ − β), of a count that is the nearest step
}

// mixtures are the sets of shares that L₁ is averaged over; their weights add up to 1. Nothing
// writes to them.
var mixtures = newMixtures()

// newMixtures works out ln(1 − ε − μ − β) of each set once: it is asked for every count.
func newMixtures() [mixes]mixture {
	list := [...]mixture{{0.02, 0.01, 0.01, 0.25, 0}, {0.10, 0.01, 0.02, 0.2, 0}, {0.25, 0.02, 0.02, 0.1, 0},
		{0.15, 0.02, 0.10, 0.05, 0}, {0.005, 0.12, 0.005, 0.25, 0}, {0.01, 0.22, 0.01, 0.15, 0}}
	for m := range list {
		x := &list[m]
		x.nearest = math.Log(1 - x.honest - x.moved - x.odd)
	}
	return list
}

// spreads returns the τ that L₀ is tried at, the likeliest first; oddShares the β.
func spreads() [tauSteps]float64 { return [...]float64{0.02, 0.001, 0.010, 0.035, 0.06} }
func oddShares() [2]float64      { return [...]float64{0.02, 0.15} }

// agreement tells how many of a job's counts are the nearest step to one density, and what that
// speaks for.
type agreement struct {
	counts, agree int
	usual         float64      // how many honest bays of these sizes agree, by the honest fit; NaN where the fit was not needed
	p             float64      // 1/E; NaN where there is nothing to look at
	says          *likelihoods // where they are not nothing, until they are handed to the table: of a job that names its crew
}

// likelihoods are a job's.
type likelihoods struct {
	backward []atDensity       // ln L₁
	honest   [tauSteps]float64 // ln L₀ by spread
}

// atDensity is ln L₁ of a density of the grid, by mixture: a mixture at a density is a hypothesis.
type atDensity struct {
	density int
	log     [mixes]float64
}

// most is the largest of them.
func (a atDensity) most() float64 { return slices.Max(a.log[:]) }

// sectionCounts is a section's counts in steps, with what its volume takes in steps at 1 kg/m³.
// Like bays of one count stand once, with how many they are: framing repeats itself.
type sectionCounts struct {
	count, per, times []float64 // steps; steps per kg/m³; bays
	bays              int       // Σ times
}

// agreementOf looks at the counts of a job, lots by section; bag is the net weight of a bag in kg.
// p = 1/E, at most 1: NaN where no section can tell anything, 1 where too few counts agree. A job
// that names no crew speaks for itself alone: what cannot be a discovery by itself is not gone into.
func agreementOf(lots []lot, bag float64, crew bool) agreement {
	out := agreement{usual: math.NaN(), p: math.NaN()}
	var sections []sectionCounts
	for of := range bySection(lots) {
		if c, ok := sectionCountsOf(of, bag); ok {
			sections, out.counts = append(sections, c), out.counts+c.bays
		}
	}
	if len(sections) == 0 {
		return out
	}
	hits := hitsOf(sections)
	if out.agree, out.p = int(slices.Max(hits[:])), 1; float64(out.agree) >= leastHits*float64(out.counts) {
		out.weigh(sections, hits[:], crew)
	}
	return out
}

// weigh sets L₁ of a job of which many counts agree against L₀; hits are the counts that agree by
// density. p stays 1 where the honest fit is far better. Whatever is cut short on the way takes E
// for nothing and so makes p larger, never smaller.
func (a *agreement) weigh(sections []sectionCounts, hits []int16, crew bool) {
	margin := hopeless
	if !crew {
		margin = math.Log(FalseRate) // E is below 1/FalseRate from there on
	}
	// Most honest jobs are told by one density, the one that most agree with, and one spread; others
	// by what L₁ is at most.
	best, honest := slices.Index(hits, int16(a.agree)), 0.0
	for i := range sections {
		honest += sections[i].honest(densityAt(best), spreads()[0])
	}
	enough := backwardAtMost(a.agree, a.counts) + margin
	if enough < honest || backwardAt(sections, best, a.agree).most()+hopeless < honest {
		return
	}
	byTau, tau, usual := honestLikelihood(sections, enough)
	if enough <= byTau[tau] {
		return
	}
	backward := backwardLikelihood(sections, hits, a.counts, a.agree)
	enough = math.Inf(-1)
	for i := range backward {
		enough = math.Max(enough, backward[i].most()+margin)
	}
	if enough < honest || enough <= byTau[tau] {
		return
	}
	sum := 0.0
	for i := range backward {
		for m, log := range backward[i].log {
			sum += prior(backward[i].density, m) * math.Exp(log-byTau[tau])
		}
	}
	a.usual, a.p = usual, math.Min(1, 1/sum)
	if crew {
		a.says = &likelihoods{backward, byTau}
	}
}

// prior is the weight of a mixture at a density of the grid in the average L₁; all add up to 1.
// Whoever works backwards mostly does so from a density that passes and can be believed.
func prior(density, mixture int) float64 {
	share := (1 - likelyShare) / (densities - (likelyTo - likelyFrom))
	if density >= likelyFrom && density < likelyTo {
		share = likelyShare / (likelyTo - likelyFrom)
	}
	return mixtures[mixture].weight * share
}

// sectionCountsOf keeps a section's counts if they can tell anything: leastCounts of them or more,
// read at both ends, and bays whose needs differ by a step or more.
func sectionCountsOf(lots []lot, bag float64) (c sectionCounts, ok bool) {
	step := lots[0].step
	if !(step > 0) || !(bag > 0) || lots[0].counting == model.CountingFresh {
		return c, false
	}
	var steps, per, least, most float64
	least = math.Inf(1)
	for i := range lots {
		l := &lots[i]
		if !(l.bags > 0) || l.counting != lots[0].counting {
			continue
		}
		c.add(math.Round(l.bags/step), l.volume/(step*bag))
		steps, per = steps+l.bags/step, per+l.volume
		least, most = math.Min(least, l.volume), math.Max(most, l.volume)
	}
	return c, c.bays >= leastCounts && (most-least)*steps/per >= 1
}

// add takes in a count of so many steps in a bay that takes per steps at 1 kg/m³.
func (c *sectionCounts) add(count, per float64) {
	c.bays++
	for i := range c.count {
		if c.count[i] == count && math.Abs(c.per[i]-per) < 1e-12*per {
			c.times[i]++
			return
		}
	}
	c.count, c.per, c.times = append(c.count, count), append(c.per, per), append(c.times, 1)
}

// densityAt returns density k of the grid, kg/m³; placeOf where a density lies on it.
func densityAt(k int) float64         { return densityFrom * math.Exp(densityRatio*float64(k)) }
func placeOf(density float64) float64 { return math.Log(density/densityFrom) / densityRatio }

// hitsOf returns for each density ρ of the grid how many counts n are the nearest step to it times
// the bay's volume: those with (n − ½)/v ≤ ρ ≤ (n + ½)/v, v steps per kg/m³. Beginnings and ends of
// these intervals are marked and added up.
func hitsOf(sections []sectionCounts) (out [densities]int16) {
	var hits [densities + 1]int16
	for i := range sections {
		c := &sections[i]
		for k, n := range c.count {
			from := int(math.Ceil(placeOf((n-0.5)/c.per[k]) - 1e-6))
			to := int(math.Floor(placeOf((n+0.5)/c.per[k]) + 1e-6))
			if from, to = max(from, 0), min(to, densities-1); from <= to {
				hits[from] += int16(c.times[k])
				hits[to+1] -= int16(c.times[k])
			}
		}
	}
	for k := 1; k < densities; k++ {
		hits[k] += hits[k-1]
	}
	copy(out[:], hits[:])
	return out
}

// backwardLikelihood returns ln L₁ by density and mixture, of the densities with which nearly as
// many counts agree as with the best (mostBehind). What is left out is taken for nothing, which
// makes E smaller and never larger.
func backwardLikelihood(sections []sectionCounts, hits []int16, counts, most int) (out []atDensity) {
	least := max(int(math.Ceil(leastHits*float64(counts))), most-mostBehind)
	looked := 0
	for _, h := range hits {
		if int(h) >= least {
			looked++
		}
	}
	out = make([]atDensity, 0, looked)
	for k, h := range hits {
		if int(h) >= least {
			out = append(out, backwardAt(sections, k, int(h)))
		}
	}
	return out
}

// backwardAt is ln L₁ of density k, with which so many counts agree, by mixture. Of a count
// that is the nearest step only the first term is taken, which makes L₁ a little smaller.
func backwardAt(sections []sectionCounts, k, hits int) atDensity {
	var rest [mixes]product // of the counts that do not agree
	for m := range rest {
		rest[m].rest = 1
	}
	rho := densityAt(k)
	for i := range sections {
		c := &sections[i]
		for j, n := range c.count {
			x := rho * c.per[j]
			if math.Abs(n-x) <= 0.5+1e-6*x {
				continue
			}
			wide, odd, moved := readingChance(n, x, wideSpread), oddChance(n, x), 0.0
			if math.Abs(n-x) <= 1.5 {
				moved = 0.5
			}
			for m := range mixtures {
				mix := mixtures[m]
				rest[m].times(mix.honest*wide+mix.moved*moved+mix.odd*odd, c.times[j])
			}
		}
	}
	out := atDensity{density: k}
	for m := range mixtures {
		out.log[m] = float64(hits)*mixtures[m].nearest + rest[m].log()
	}
	return out
}

// backwardAtMost is above ln L₁ of any density, so many of the counts agreeing at most: no count
// that does not has a chance above 1/2.
func backwardAtMost(agree, counts int) float64 {
	most := math.Inf(-1)
	for _, m := range mixtures {
		rest := m.honest + m.moved + m.odd
		most = math.Max(most, float64(agree)*math.Log(1-rest)+float64(counts-agree)*math.Log(rest/2))
	}
	return most
}

// product is a product of chances, none below 1e-12, kept within the range of a float64:
// exp(taken)·rest.
type product struct{ taken, rest float64 }

// times multiplies by x to the power of n.
func (p *product) times(x, n float64) {
	for ; n > 0; n-- {
		if p.rest *= x; p.rest < 1e-250 {
			p.taken, p.rest = p.taken+math.Log(p.rest), 1
		}
	}
}

// log is the natural logarithm of the product.
func (p *product) log() float64 { return p.taken + math.Log(p.rest) }

// honestLikelihood returns ln L₀ by spread τ, the sum over the sections of the most that an honest
// crew's likelihood reaches at any density; the place of the largest; and how many counts of that
// fit are usually the nearest step. The density is sought uphill in nine steps that halve, from the
// middle density or that of the τ before. It stops, with whatever it has, once one is not below
// enough: then nothing speaks for counts that were worked backwards.
func honestLikelihood(sections []sectionCounts, enough float64) (log [tauSteps]float64, most int, usual float64) {
	start, found := make([]float64, len(sections)), make([]float64, len(sections))
	for i := range sections {
		start[i] = sections[i].middle()
	}
	top, agree := math.Inf(-1), math.NaN()
	for at, tau := range spreads() {
		for i := range sections {
			c := &sections[i]
			rho, width := start[i], 0.25/slices.Max(c.count) // uphill in steps that halve, from a quarter of a count's step
			best := c.honest(rho, tau)
			if len(sections) == 1 && best >= enough {
				log[at] = best
				return log, at, math.NaN()
			}
			for range 9 {
				up, down := c.honest(rho*(1+width), tau), c.honest(rho*(1-width), tau)
				switch {
				case up > best && up >= down:
					rho, best = rho*(1+width), up
				case down > best:
					rho, best = rho*(1-width), down
				default:
					width /= 2
				}
			}
			found[i], start[i] = rho, rho
			log[at] += best
		}
		if log[at] >= enough {
			return log, at, math.NaN()
		}
		if log[at] > top {
			top, most, agree = log[at], at, 0
			for i := range sections {
				for j, per := range sections[i].per {
					x := found[i] * per
					agree += sections[i].times[j] * readingChance(math.Round(x), x, tau)
				}
			}
		}
	}
	return log, most, agree
}

// middle returns the median density of the section's bays, kg/m³.
func (c *sectionCounts) middle() float64 {
	order := make([]int, len(c.count))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(c.count[a]/c.per[a], c.count[b]/c.per[b]) })
	below := 0.0
	for _, i := range order {
		if below += c.times[i]; 2*below >= float64(c.bays) {
			return c.count[i] / c.per[i]
		}
	}
	return math.NaN()
}

// honest returns the larger of ln L₀ at the shares of odd bays, for a mean density rho in kg/m³ and
// a relative spread tau.
func (c *sectionCounts) honest(rho, tau float64) float64 {
	shares := oddShares()
	first, second := product{rest: 1}, product{rest: 1}
	for i, n := range c.count {
		x := rho * c.per[i]
		k, w := readingChance(n, x, tau), oddChance(n, x)
		first.times((1-shares[0])*k+shares[0]*w, c.times[i])
		second.times((1-shares[1])*k+shares[1]*w, c.times[i])
	}
	return math.Max(first.log(), second.log())
}

// readingChance returns K(n; x, tau), the chance that what fills x steps, with relative spread tau,
// reads as n: both ends are read to the nearest step, each from anywhere within one, so that the
// reading's error is the difference of two uniform ones. With G(z) = E[max(0, z − Y)] = (z −
// x)·Φ(z̃) + s·φ(z̃) of Y ~ N(x, s²), s = tau·x, z̃ = (z − x)/s, it is the second difference
//
//	G(n + 1) − 2·G(n) + G(n − 1)
//
// Beyond five s the normal distribution is cut off. TestReadingChance holds it against drawn
// hoppers.
func readingChance(n, x, tau float64) float64 {
	s := max(tau*x, 1e-6)
	g := func(z float64) float64 {
		d := (z - x) / s
		switch {
		case d > 5: // below 1e-7 of s otherwise
			return z - x
		case d < -5:
			return 0
		}
		whole, bell := stat.TableNormal(d)
		return s * (d*whole + bell)
	}
	return max(0, g(n+1)-2*g(n)+g(n-1))
}

// oddChance returns W(n): even from nothing to twice the x steps that a bay takes, 1/(2x + 2), for
// voids, weak and over-full bays and slips; 1e-9 beyond.
func oddChance(n, x float64) float64 {
	if n > 2*x+1 {
		return 1e-9
	}
	return 1 / (2*x + 2)
}

// crewCounts gathers what a crew's jobs say. Density, spread and how many bays look honest may be
// the crew's, the same in all its jobs, and a share φ of the jobs may be worked backwards. An
// honest job among them then costs ln(1 − φ) at most:
//
//	E = min over τ of  mean over φ, ρ, ε of  Π (1 − φ + φ·L₁(ρ, ε)/L₀(τ))
//
// over the jobs: the least over τ is the ratio to an honest crew whose spread is the likeliest.
type crewCounts struct {
	jobs          []int // places of those that something speaks for
	counts, agree int
	looked        int                                               // jobs with counts that could tell anything
	excess        map[int]*[mixes][tauSteps][len(jobShares)]float64 // by density: Σ ln(1 − φ + φ·E) − ln(1 − φ)
}

// jobShares are the shares φ.
var jobShares = [...]float64{0.2, 0.6, 0.95}

// add takes in a job of the crew. Of a hypothesis ln(L₁/L₀) is cut at mostLogE, and left out below
// −10.
func (c *crewCounts) add(job int, a *agreement) {
	c.looked++
	c.counts, c.agree = c.counts+a.counts, c.agree+a.agree
	if a.says == nil {
		return
	}
	c.jobs = append(c.jobs, job)
	if c.excess == nil {
		c.excess = map[int]*[mixes][tauSteps][len(jobShares)]float64{}
	}
	for _, x := range a.says.backward {
		at := c.excess[x.density]
		if at == nil {
			at = new([mixes][tauSteps][len(jobShares)]float64)
			c.excess[x.density] = at
		}
		for m, backward := range x.log {
			for t, honest := range a.says.honest {
				if log := math.Min(mostLogE, backward-honest); log >= -10 {
					e := math.Exp(log)
					for i, phi := range jobShares {
						at[m][t][i] += math.Log1p(phi / (1 - phi) * e)
					}
				}
			}
		}
	}
}

// p returns 1/E of the crew, at most 1. Hypotheses that no job spoke for have the product of the (1
// − φ) alone.
func (c *crewCounts) p() float64 {
	order := slices.Sorted(maps.Keys(c.excess)) // in one order, so that sums are rounded alike
	least := math.Inf(1)
	for t := range tauSteps {
		sum := 0.0
		for i, phi := range jobShares {
			// A job of which nothing speaks for a hypothesis counts as honest there: its factor is
			// 1 − φ.
			base, rest := float64(c.looked)*math.Log(1-phi), 1.0
			for _, density := range order {
				for m := range mixes {
					sum += prior(density, m) * math.Exp(base+c.excess[density][m][t][i])
					rest -= prior(density, m)
				}
			}
			sum += rest * math.Exp(base)
		}
		least = math.Min(least, sum/float64(len(jobShares)))
	}
	return math.Min(1, 1/least)
}
