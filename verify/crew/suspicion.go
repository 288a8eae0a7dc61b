// Suspicions that rest on the crew's other bays: a bay short of them, and two neighbors whose
// material looks booked to the wrong one. Each compares a figure with a limit; the limits were
// chosen by the false alarms that they cost in sections drawn by chance, and SIMULATION.md has
// those.

package crew

import (
	"math"

	"bayproof/verify/measure"
)

// Limits of suspicion. Limits prints them.
const (
	// BadAbove is the posterior probability of the bad component above which a lot is short of the
	// crew.
	BadAbove = 0.48
	// BadIfShort is the same where the lot is rather below the target than above: there it costs
	// few false alarms.
	BadIfShort = 0.25
	// OverAbove is the posterior probability of the over-full component above which a lot is
	// over-full.
	OverAbove = 0.50
	// SwapApart is how many of its standard deviations the difference between two bays filled one
	// after the other must exceed.
	SwapApart = 3.2
	// SwapTogether is how many of its standard deviations the density of the two together may lie
	// off the section's mean.
	SwapTogether = 1.5
	// SwapHigh is how many of its standard deviations the higher one must lie over the section's
	// mean: a void makes no high neighbor.
	SwapHigh = 2.2
	// Number of lots below which the section says too little about how far apart two bays may be.
	swapLeastLots = 4
)

// ShortOfCrew tells whether the crew's other bays speak for a void or a weak bay. False where the
// figures are NaN.
func (p *Posterior) ShortOfCrew() bool {
	return p.Bad > BadAbove || p.Bad > BadIfShort && p.ProbAtTarget < 0.5
}

// Pair is two lots, one filled right after the other, that look as if material of one were booked
// to the other. Standard deviations have the crew's spread in them.
type Pair struct {
	Low, High int     // indexes of the lots
	Apart     float64 // kg/m³: their difference
	SD        float64 // its standard deviation, the crew's spread and the reading that they share counted in
	Together  float64 // kg/m³: density of the two as one, less the section's mean
	USD       float64 // its standard deviation
	Over      float64 // kg/m³: the higher one less the section's mean
	UOver     float64 // its standard deviation
}

// swaps returns the pairs of neighbors, of one machine setting and one right after the other in
// fill order, for which
//
//	|ρ₁ − ρ₂| > SwapApart·sd,  |mean of the two − section's mean| < SwapTogether·sd,  high − section's mean > SwapHigh·sd
//
// each sd that of the difference on its left. Material of one that was booked to the other makes
// one too high, one too low and leaves their sum. A lot stands in one pair at most: the pair
// farther apart, in its standard deviations, wins. None where the section has fewer than
// swapLeastLots lots.
func swaps(lots []measure.Lot, r Result) []Pair {
	var found []Pair
	if r.Process.Lots < swapLeastLots {
		return nil
	}
	before := map[int]int{} // by machine setting: the lot filled last
	for i := range lots {
		last, ok := before[lots[i].Setting]
		before[lots[i].Setting] = i
		if !ok {
			continue
		}
		p := pair(lots, last, i, r.Process)
		if math.Abs(p.Apart) > SwapApart*p.SD && math.Abs(p.Together) < SwapTogether*p.USD && p.Over > SwapHigh*p.UOver {
			found = keepFarther(found, p)
		}
	}
	return found
}

// pair compares lots a and b with each other and with the section's process s. With the volumes'
// shares fₐ = Vₐ/(Vₐ + V_b), f_b = 1 − fₐ and t² = τ² + u(τ)²:
//
//	SD²    = var(ρₐ − ρ_b) + 2·t²
//	USD²   = var(fₐ·ρₐ + f_b·ρ_b) + (fₐ² + f_b²)·t² + u(μ)²
//	UOver² = var(ρ_high) + t² + u(μ)²
//
// var is the variance by measurement (combined).
func pair(lots []measure.Lot, a, b int, s Process) Pair {
	p := Pair{Low: a, High: b, Apart: lots[b].Density - lots[a].Density}
	if p.Apart < 0 {
		p.Low, p.High, p.Apart = b, a, -p.Apart
	}
	t2 := s.SD*s.SD + s.USD*s.USD
	va, vb := lots[a].Volume, lots[b].Volume
	fa, fb := va/(va+vb), vb/(va+vb)
	p.SD = math.Sqrt(combined(&lots[a], &lots[b], 1, -1) + 2*t2)
	p.Together = fa*lots[a].Density + fb*lots[b].Density - s.Mean
	p.USD = math.Sqrt(combined(&lots[a], &lots[b], fa, fb) + (fa*fa+fb*fb)*t2 + s.UMean*s.UMean)
	high := &lots[p.High]
	p.Over, p.UOver = high.Density-s.Mean, math.Sqrt(combined(high, &measure.Lot{}, 1, 0)+t2+s.UMean*s.UMean)
	return p
}

// combined returns the variance in (kg/m³)² of f·a + g·b by sizes, weighings and counts. A counter
// reading that both lots have enters with the sum of its coefficients: in a difference it counts
// twice, in a sum it drops out. What all lots of the section have in common (bag weight, tape) is
// left out, as it moves the section's mean too.
func combined(a, b *measure.Lot, f, g float64) float64 {
	v := sq(f*a.Own)*widening(a.OwnDOF) + sq(f*a.Count) + sq(g*b.Own)*widening(b.OwnDOF) + sq(g*b.Count)
	for _, t := range a.Terms {
		c := f * t.Coef
		for _, o := range b.Terms {
			if o.Reading == t.Reading {
				c += g * o.Coef
			}
		}
		v += sq(c * t.U)
	}
	for _, o := range b.Terms {
		if !reads(a.Terms, o.Reading) {
			v += sq(g * o.Coef * o.U)
		}
	}
	return v
}

// reads tells whether a reading is among the terms.
func reads(terms []measure.Term, reading int) bool {
	for _, t := range terms {
		if t.Reading == reading {
			return true
		}
	}
	return false
}

// keepFarther adds a pair to those found, unless one that shares a lot with it is at least as far
// apart; those that are less far apart fall out.
func keepFarther(found []Pair, p Pair) []Pair {
	for i := len(found) - 1; i >= 0; i-- {
		f := found[i]
		if f.Low != p.Low && f.Low != p.High && f.High != p.Low && f.High != p.High {
			continue
		}
		if f.Apart/f.SD >= p.Apart/p.SD {
			return found
		}
		found = append(found[:i], found[i+1:]...)
	}
	return append(found, p)
}
