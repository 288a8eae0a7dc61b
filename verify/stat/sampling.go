package stat

import "math"

// NoneFoundChance returns the chance that a sample of n out of a lot finds none of its bad ones: the hypergeometric
// probability of nought. It is 1 where nothing is drawn or nothing is bad; NaN for numbers that do not fit the lot.
func NoneFoundChance(lot, bad, n int) float64 {
	if lot < 0 || bad < 0 || bad > lot || n < 0 || n > lot {
		return math.NaN()
	}
	if bad > n {
		bad, n = n, bad // drawing n and asking for bad is drawing bad and asking for n
	}
	chance := 1.0
	for i := range bad {
		left := lot - n - i
		if left <= 0 {
			return 0
		}
		chance *= float64(left) / float64(lot-i)
	}
	return chance
}

// DetectionSize returns how many of a lot have to be opened so that, with the given confidence, at least one bad one is
// found if the share of bad ones is rate or more (hypergeometric; FAO/IPPC ISPM 31, appendix 1). A rate of less than
// one in the lot counts as one. 0 where the arguments are out of range.
func DetectionSize(lot int, rate, confidence float64) int {
	if lot < 1 || !(rate > 0 && rate <= 1) || !(confidence > 0 && confidence < 1) {
		return 0
	}
	bad := max(1, int(math.Ceil(rate*float64(lot)-1e-9)))
	lo, hi := 1, lot
	for lo < hi {
		mid := (lo + hi) / 2
		if NoneFoundChance(lot, bad, mid) <= 1-confidence {
			hi = mid
		} else {
			lo = mid + 1
		}
	}
	return lo
}

// ProvenRate returns the largest number of bad ones in the lot that a sample of n with none bad among them leaves
// possible at the given confidence.
func ProvenRate(lot, n int, confidence float64) int {
	lo, hi := 0, lot-n // with more than lot − n bad ones the sample must hit one
	for lo < hi {
		mid := (lo + hi + 1) / 2
		if NoneFoundChance(lot, mid, n) > 1-confidence {
			lo = mid
		} else {
			hi = mid - 1
		}
	}
	return lo
}
