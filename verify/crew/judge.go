package crew

import (
	"math"
	"slices"

	"bayproof/verify/measure"
)

// Result is what a section's lots say about each other.
type Result struct {
	Lots    []Posterior // in the order of the lots given
	Process Process
	Pairs   []Pair // neighbours that look swapped
	Named   []bool // lots that are over-full or stand in a pair: no evidence for the others
}

// Posterior is what is known about one lot with the crew's other bays as evidence. NaN where the lot has no density.
type Posterior struct {
	ProbAtTarget float64 // P(density ≥ target)
	Bad, Over    float64 // P(the lot is bad), P(it is over-full)
	Blind        float64 // share of the length: 3.29·√(u² + τ² + u_μ²)/μ
	read         asRead  // for Empty
}

// Process is what is known about how the section is packed, in kg/m³, freed of measurement noise. The common error of
// the bag weight is left out of UMean and in LowerTolerance.
type Process struct {
	Lots           int // lots that counted
	Mean, UMean    float64
	SD, USD        float64
	Rate           float64 // expected rate of bad bays
	LowerTolerance float64 // the 10 % point of μ − 1.645 τ: exceeded by nineteen bays in twenty, at 90 %
}

// Seen is what is known besides masses and sizes.
type Seen struct {
	// Odds holds for each lot a factor on the likelihood of its being bad: what was seen at the bay. 1 says nothing; nil
	// says nothing about any.
	Odds []float64
	// Unordered says that the lots' order is not the order of filling: neighbours are not compared.
	Unordered bool
}

// Judge integrates mean, spread and rate of bad bays over the fixed priors and returns what every lot's density is then
// known to be. The lots are in fill order, the target is in kg/m³.
//
// The posterior weight of (μ, τ, r) is the prior times ∏ⱼ Lⱼ, Lⱼ = (1 − o)(1 − r)·G + (1 − o)·r·B + o·O with the lots'
// likelihoods under a good, a bad and an over-full bay. For each lot P(density ≥ target) is the mean over that posterior
// of the share of Lⱼ that lies above the target.
//
// A lot that is named over-full or as one of a swapped pair says nothing about the crew: its mass belongs elsewhere. The
// others are judged again without it.
func Judge(lots []measure.Lot, target float64, seen Seen) Result {
	r := judge(lots, target, seen.Odds)
	if !seen.Unordered {
		r.Pairs = swaps(lots, r)
	}
	r.Named = r.name()
	if !slices.Contains(r.Named, true) {
		return r
	}
	rest, odds := without(lots, seen.Odds, r.Named)
	if len(rest) == 0 {
		return r
	}
	again := judge(rest, target, odds)
	k := 0
	for i := range lots {
		if !r.Named[i] {
			r.Lots[i] = again.Lots[k]
			k++
		}
	}
	r.Process = again.Process
	return r
}

// name tells which lots are over-full or stand in a pair.
func (r *Result) name() []bool {
	named := make([]bool, len(r.Lots))
	for i := range r.Lots {
		named[i] = r.Lots[i].Over > OverAbove
	}
	for _, p := range r.Pairs {
		named[p.Low], named[p.High] = true, true
	}
	return named
}

// without leaves the named lots out.
func without(lots []measure.Lot, odds []float64, named []bool) (rest []measure.Lot, left []float64) {
	rest = make([]measure.Lot, 0, len(lots))
	for i := range lots {
		if named[i] {
			continue
		}
		rest = append(rest, lots[i])
		if odds != nil {
			left = append(left, odds[i])
		}
	}
	return rest, left
}

// judge is Judge with every lot as evidence for all.
func judge(lots []measure.Lot, target float64, odds []float64) Result {
	s := scratches.Get().(*scratch)
	defer scratches.Put(s)
	known, place := s.allEvidence(lots, target, odds)
	r := Result{Lots: make([]Posterior, len(lots)), Process: unknownProcess()}
	for i := range r.Lots {
		r.Lots[i] = unknownLot()
	}
	if len(known) == 0 || !(target > 0) {
		return r
	}
	distinct, of := s.gather(known)
	sums := s.integrate(distinct, nil)
	for j, i := range place {
		r.Lots[i] = sums.posterior(of[j], &known[j], target)
	}
	r.Process = sums.process(target)
	return r
}

// allEvidence returns the evidence of the lots that have a density, and where each stands among the lots.
func (s *scratch) allEvidence(lots []measure.Lot, target float64, odds []float64) (known []evidence, place []int) {
	known, place = sized(s.known, len(lots))[:0], sized(s.place, len(lots))[:0]
	for i := range lots {
		e := weigh(&lots[i], target)
		if odds != nil {
			e.odds = odds[i]
		}
		if !e.skip {
			known, place = append(known, e), append(place, i)
		}
	}
	s.known, s.place = known, place
	return known, place
}

func unknownLot() Posterior {
	n := math.NaN()
	return Posterior{n, n, n, n, asRead{n, n, n, n}}
}

func unknownProcess() Process {
	n := math.NaN()
	return Process{Mean: n, UMean: n, SD: n, USD: n, Rate: n, LowerTolerance: n}
}
