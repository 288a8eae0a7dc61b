// The step that the counts of a section were really read to.
//
// A count's uncertainty is a fixed share of its step: a crew that states quarters and reads halves
// would be taken to know twice as much as it does. Odd multiples of the stated step are the
// evidence: an honest reader of quarters writes a quarter or three quarters for about half of all
// bays, a reader of halves for none. Given the volumes of the bays, the density they are packed to
// and how it spreads, the number of bags that each needs follows, and with it the chance that an
// honest reader writes an odd multiple. The number of odd ones among independent counts has the
// Poisson-binomial distribution. If so few as were found would be seen less than once in a hundred,
// the step is doubled, up to one bag.
//
// Like bays may all need the same even count; so density and spread are chosen within a range so
// that the chance is largest. The test can fail to see a coarse reader; it rarely accuses an honest
// one. TestShownStep and TestLikeBaysProveNothing hold both.

package measure

import (
	"math"

	"bayproof/model"
)

// RareStep is the probability below which an honest reader of the stated step would show so few odd
// multiples (this tool's own).
const RareStep = 0.01

// Step is the smallest part of a bag that a section's counts are taken to tell apart.
type Step struct {
	Stated, Used float64 // bags
	Counts, Odd  int     // counts looked at, and how many were odd multiples of the stated step
	Prob         float64 // probability that an honest reader shows so few odd multiples; 1 where nothing was tested
}

// tally is one count that may speak about the step: the material, in bags, of a lot that one row
// brought, its volume in m³, and whether it was read from an exact start.
type tally struct {
	count, volume float64 // bags, m³
	fresh         bool
}

// findSteps finds the step that the log shows, for every stated step of the job. Sections that
// state the same step are looked at together: the habit is the crew's. A section whose counts were
// read to another step by what others show is anew.
func (m *Measured) findSteps(job *model.Job) {
	shown := map[float64]Step{}
	for s, of := range job.Sections {
		sec, q := &m.Sections[s], of.Settings.BagStep
		step, known := shown[q]
		if !known {
			if step = (Step{Stated: q, Used: q, Prob: 1}); q > 0 {
				step = shownStep(q, m.tallies(job, q))
			}
			shown[q] = step
		}
		sec.Anew = sec.Anew || sec.Step.Used != step.Used
		sec.Step = step
	}
}

// tallies returns the counts of the sections that state step q, by section: lots whose material
// came in one row, counted in steps.
func (m *Measured) tallies(job *model.Job, q float64) tallies {
	var all tallies
	for s, of := range job.Sections {
		sec := &m.Sections[s]
		if of.Settings.BagStep != q {
			continue
		}
		if sec.Anew {
			sec.tally(&of.Settings)
		}
		all.sections = append(all.sections, sec.tallied)
		all.n, all.odd = all.n+len(sec.tallied), all.odd+sec.odd
	}
	return all
}

// tally gathers the section's counts that may speak about the step.
func (sec *Section) tally(st *model.Settings) {
	sec.tallied = sec.tallied[:0]
	for k := range sec.Lots {
		v := sec.Lots[k].sizes.Volume
		if n, ok := steppedCount(&sec.Lots[k]); ok && v > 0 {
			sec.tallied = append(sec.tallied, tally{n, v, st.Counting == model.CountingFresh})
		}
	}
	sec.odd = oddMultiples(sec.tallied, st.BagStep)
}

// tallies are the counts of the sections that state one step, with their number and how many of
// them are odd multiples of it.
type tallies struct {
	sections [][]tally
	n, odd   int
}

// steppedCount returns the count in bags of a lot that exactly one row brought and that was read in
// steps; false for any other lot, for one with a weighed part bag or a ± of its own, and for a
// count of 0.
func steppedCount(l *Lot) (float64, bool) {
	var found *model.Entry
	for _, b := range l.Bays {
		for _, e := range b.Moves {
			if e.Material.Shared || e.TopsUpNothing() {
				continue
			}
			if found != nil {
				return 0, false
			}
			found = e
		}
	}
	if found == nil || found.Material.Part != 0 || !math.IsNaN(found.Material.Within) {
		return 0, false
	}
	switch g := &found.Material; g.Kind {
	case model.MaterialBags:
		return g.Bags, g.Bags > 0
	case model.MaterialCounter:
		return g.Bags - g.Prev, g.Bags > g.Prev
	}
	return 0, false
}

// shownStep doubles the step q while odd multiples of it are too rare for an honest reader, up to
// one bag. Prob is the probability at the stated step.
func shownStep(q float64, t tallies) Step {
	out := Step{Stated: q, Used: q, Counts: t.n, Odd: t.odd, Prob: 1}
	for 2*out.Used <= 1 {
		p := likeliest(t, out.Used)
		if p >= RareStep {
			break
		}
		if out.Used == q {
			out.Prob = p
		}
		out.Used *= 2
		t.odd = 0
		for _, counts := range t.sections {
			t.odd += oddMultiples(counts, out.Used)
		}
	}
	return out
}

// oddMultiples returns how many counts are not even multiples of q; what falls between multiples
// was read finer than q and counts as odd.
func oddMultiples(t []tally, q float64) int {
	odd := 0
	for i := range t {
		half := t[i].count / (2 * q)
		if math.Abs(half-math.RoundToEven(half)) > 1e-6 { // which way a half goes does not matter
			odd++
		}
	}
	return odd
}

// likeliest returns the largest probability with which an honest reader of step q shows at most as
// many odd multiples as there are in bays of these volumes: over densities within 5 % of the pooled one, in steps of
// 0.5 %, and relative standard deviations between bays of 0, 3 and 6 %. Like bays that all need the
// same even count make it 1 with the first of these: they prove nothing.
//
// Where a third or more are odd nothing is rare, and 1 is returned at once. The middle case comes
// first, and the search ends where RareStep is reached: it alone clears most logs.
func likeliest(t tallies, q float64) float64 {
	if 3*t.odd >= t.n {
		return 1
	}
	var bags, volume float64
	for _, counts := range t.sections {
		for i := range counts {
			bags, volume = bags+counts[i].count, volume+counts[i].volume
		}
	}
	perVolume := bags / volume / q // steps per m³
	best := atMost(t.sections, perVolume, 0.03, t.odd)
	for k := -10; k <= 10 && best < RareStep; k++ {
		scaled := perVolume * (1 + 0.005*float64(k))
		for _, spread := range [...]float64{0, 0.03, 0.06} {
			best = max(best, atMost(t.sections, scaled, spread, t.odd))
		}
	}
	return best
}

// atMost returns the probability of at most k odd multiples among independent counts: the
// Poisson-binomial distribution, by recurrence over the counts. perVolume is the steps that a m³
// needs, spread the relative standard deviation of that between bays.
func atMost(t [][]tally, perVolume, spread float64, k int) float64 {
	dist := make([]float64, k+1) // by number of odd ones so far
	dist[0] = 1
	for _, counts := range t {
		for i := range counts {
			m := perVolume * counts[i].volume
			p := oddShare(m, spread*m, counts[i].fresh)
			for j := k; j > 0; j-- {
				dist[j] = dist[j]*(1-p) + dist[j-1]*p
			}
			dist[0] *= 1 - p
		}
	}
	var sum float64
	for _, p := range dist {
		sum += p
	}
	return min(sum, 1)
}

// oddShare returns the probability that a need of N(m, sd²) steps is read as an odd number of them.
// Read from an exact start (fresh) it is rounded: as a function of m a square wave of period 2.
// Read as the difference of two roundings it falls to either side of m in proportion: a triangle
// wave. Both are smoothed by sd, which multiplies the harmonic j by e^(−π²j²sd²/2); their Fourier
// series are, over odd j,
//
//	fresh: ½ − Σ (2/πj)·sin(πj/2)·cos(πjm)·e^(−π²j²sd²/2)
//	else:  ½ − Σ (2/πj)²·cos(πjm)·e^(−π²j²sd²/2)
//
// summed until a harmonic is damped below 1e-3, or to the fifteenth. Derived here.
func oddShare(m, sd float64, fresh bool) float64 {
	if sd == 0 {
		return sharpShare(m, fresh)
	}
	p, sign := 0.5, 1.0
	for j := 1.0; j <= 15; j += 2 {
		damp := math.Exp(-math.Pi * math.Pi * j * j * sd * sd / 2)
		if damp < 1e-3 {
			break
		}
		a := 2 / (math.Pi * j)
		if fresh {
			p -= sign * a * math.Cos(math.Pi*j*m) * damp
		} else {
			p -= a * a * math.Cos(math.Pi*j*m) * damp
		}
		sign = -sign
	}
	return min(max(p, 0), 1)
}

// sharpShare is oddShare without spread: the waves themselves, by the distance of m from the
// nearest even number.
func sharpShare(m float64, fresh bool) float64 {
	fromEven := math.Abs(m - 2*math.Round(m/2)) // 0 to 1
	if !fresh {
		return fromEven
	}
	if fromEven > 0.5 {
		return 1
	}
	return 0
}
