// Weights that were made from sizes.
//
// They lie at one density times the volume, closer than any crew packs and than a tape can be read.
// Observed are ln(m/V) of the weighed bays of a section. The statistic is the width w of the
// shortest interval that holds k of the n (a scan statistic): a few honest ones among made ones, or
// voids, lie outside it and move nothing. If bays are packed with the relative spread τ, an
// interval of width w that begins at a bay holds any other bay with chance P ≤ 2Φ(w/2s) − 1, where
// s² = τ² + what rounding of the scale and of the tape adds, and
//
//	p(τ) ≤ n · P(Bin(n − 1, P) ≥ k − 1)
//
// by Boole's inequality over the bay at which it begins. How even crews pack is not known, and
// drawn from the prior of rule process: p = ∫ p(τ)·π(τ) dτ. Four shares k/n are tried, and p is
// four times the least (Bonferroni). Derived here; TestSimulatedEvenCrews and
// TestSimulatedPriorCrews count honest crews that are named.

package plausible

import (
	"math"
	"slices"

	"bayproof/verify/crew"
	"bayproof/verify/stat"
)

const (
	// weighed bays in a section, below which nothing is looked at
	leastWeights = 8
	// width of an interval of half of the bays, of ln(m/V), above which no crew could be said to be
	// too even
	widestMade = 0.02
)

// closeness tells how close a section's weights lie to one density.
type closeness struct {
	bays, within int     // weighed bays, and those in the interval that is least likely
	width        float64 // of that interval, relative to the density
	density      float64 // kg/m³, its middle
	section      int     // its place among the findings'
	p            float64 // NaN where there is nothing to look at
}

// closenessOf looks at the weights of a job, lots by section, and keeps the least likely section;
// its p is multiplied by the number of sections looked at (Bonferroni), at most 1. unit is the
// scale's unit in kg.
func closenessOf(lots []lot, unit float64) closeness {
	out, looked := closeness{p: math.NaN()}, 0
	for of := range bySection(lots) {
		if c := sectionCloseness(of, unit); !math.IsNaN(c.p) {
			looked++
			if !(out.p <= c.p) {
				out = c
			}
		}
	}
	out.p = math.Min(1, out.p*float64(looked))
	return out
}

// sectionCloseness looks at one section; unit is that of the scale, in kg. The variance of
// rounding, relative, is (step/mean mass)²/12 of the scale and the mean of tape/12 of the tape. p
// is 1 where half of the bays already lie wider apart than widestMade, NaN where fewer than
// leastWeights are weighed.
func sectionCloseness(lots []lot, unit float64) closeness {
	out := closeness{p: math.NaN(), section: lots[0].section}
	var y, masses []float64
	var sum, tape float64
	for i := range lots {
		if l := &lots[i]; l.whole > 0 {
			y, masses = append(y, math.Log(l.whole/l.volume)), append(masses, l.whole/unit)
			sum, tape = sum+l.whole, tape+l.tape
		}
	}
	n := len(y)
	if n < leastWeights {
		return out
	}
	slices.Sort(y)
	out.bays, out.p = n, 1
	shares := []float64{1, 0.85, 0.7, 0.5}
	if w, _ := shortest(y, (n+1)/2); w > widestMade {
		return out
	}
	scale := recordedStep(masses) * unit / (sum / float64(n))
	rounding := (scale*scale + tape/float64(n)) / 12
	for _, share := range shares {
		k := int(math.Ceil(share * float64(n)))
		w, at := shortest(y, k)
		if p := float64(len(shares)) * crowded(n, k, w, rounding); p < out.p {
			out.p, out.within, out.width, out.density = p, k, w, math.Exp(at+w/2)
		}
	}
	return out
}

// shortest returns the width of the shortest interval that holds k of the sorted values, and where
// it begins; +Inf and 0 where there are fewer.
func shortest(y []float64, k int) (width, at float64) {
	width = math.Inf(1)
	for i := 0; i+k <= len(y); i++ {
		if w := y[i+k-1] - y[i]; w < width {
			width, at = w, y[i]
		}
	}
	return width, at
}

// crowded returns the bound p on the chance that some k of n honest bays lie within width of each
// other in ln(m/V), with τ drawn from the prior of rule process: ln τ in steps of a quarter of its
// standard deviation from five of them below the median to three above. rounding is a variance that
// every crew has. Each step is taken at its lower end and all that lies below with chance 1, which
// makes p larger; above three, one crew in 700, the little that bays could crowd there is left out.
func crowded(n, k int, width, rounding float64) float64 {
	p := stat.NormalCDF(-5)
	for z := -5.0; z < 3; z += 0.25 {
		tau := crew.SpreadMedian * math.Exp(crew.SpreadLogSD*z)
		s := math.Sqrt(tau*tau + rounding)
		inside := 2*stat.NormalCDF(width/(2*s)) - 1
		p += (stat.NormalCDF(z+0.25) - stat.NormalCDF(z)) * math.Min(1, float64(n)*stat.BinomialTail(n-1, k-1, inside))
	}
	return math.Min(1, p)
}
