package crew

import (
	"math"

	"bayproof/verify/measure"
)

// Limits of suspicion. What they cost in false alarms is measured by the simulation, and stands in SIMULATION.md.
const (
	BadAbove      = 0.48 // posterior probability of the bad component
	BadIfShort    = 0.25 // the same where the lot is rather below the target than above: there it costs few false alarms
	OverAbove     = 0.50 // of the over-full one
	SwapApart     = 3.2  // standard deviations between two bays filled one after the other
	SwapTogether  = 1.5  // and at most so many between the two together and the section
	SwapHigh      = 2.2  // and at least so many of one bay's between the higher one and the section's mean: a void makes none
	swapLeastLots = 4    // below, the section says too little about what two bays are apart
)

// ShortOfCrew tells whether the crew's other bays speak for a void or a weak bay.
func (p *Posterior) ShortOfCrew() bool {
	return p.Bad > BadAbove || p.Bad > BadIfShort && p.ProbAtTarget < 0.5
}

// Pair is two lots, one filled right after the other, that look as if material of one were booked to the other.
type Pair struct {
	Low, High int     // indexes of the lots
	Apart     float64 // kg/m³: their difference
	SD        float64 // its standard deviation, the crew's spread and the reading that they share counted in
	Together  float64 // kg/m³: density of the two as one, less the section's mean
	USD       float64 // its standard deviation
	Over      float64 // kg/m³: the higher one less the section's mean
	UOver     float64 // its standard deviation
}

// swaps returns the pairs of neighbours whose difference exceeds SwapApart of its standard deviations while the two
// together lie within SwapTogether of the section's mean and the higher one lies over it by SwapHigh. The lots are in
// fill order, and neighbours are those of one machine setting. A shared counter reading enters the
// difference with both its coefficients, (c₁ + c₂)·ε, and cancels in the sum. A lot stands in one pair at most: the
// pair farther apart wins.
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

// pair compares lots a and b.
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

// combined is the variance of f·a + g·b without the common error of the bag weight, which moves the section's mean too.
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

func reads(terms []measure.Term, reading int) bool {
	for _, t := range terms {
		if t.Reading == reading {
			return true
		}
	}
	return false
}

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
