package stat

import "math"

// BetaPrior is a beta distribution of a rate among crews.
type BetaPrior struct{ Alpha, Beta float64 }

// FitBeta returns the beta distribution with the given mean and standard deviation. Where the spread is nil or too wide
// for a beta distribution it is the weakest that has the mean: one observation's worth.
func FitBeta(mean, sd float64) BetaPrior {
	size := mean*(1-mean)/(sd*sd) - 1
	if !(size > 1) || math.IsInf(size, 0) {
		size = 1
	}
	return BetaPrior{Alpha: mean * size, Beta: (1 - mean) * size}
}

// Shrink returns the mean of the rate after k in n: small crews move most towards the rest
// (Gelman et al., Bayesian Data Analysis, 5.1).
func (b BetaPrior) Shrink(k, n int) float64 {
	return (b.Alpha + float64(k)) / (b.Alpha + b.Beta + float64(n))
}

// FitRates returns the beta distribution of the true rates behind k[i] in n[i] by moments: the spread between the raw
// rates less what counting alone explains. With fewer than three groups, or no spread beyond counting, all groups have
// one rate: the prior then weighs as much as all that was seen.
func FitRates(k, n []int) BetaPrior {
	var sumK, sumN, groups int
	for i := range n {
		if n[i] > 0 {
			sumK, sumN, groups = sumK+k[i], sumN+n[i], groups+1
		}
	}
	if groups == 0 {
		return BetaPrior{Alpha: 0.5, Beta: 0.5}
	}
	mean := (float64(sumK) + 0.5) / (float64(sumN) + 1) // never exactly 0 or 1
	between := spreadBetween(k, n, mean)
	if groups < 3 || !(between > 0) {
		return BetaPrior{Alpha: mean * float64(sumN), Beta: (1 - mean) * float64(sumN)}
	}
	return FitBeta(mean, math.Sqrt(between))
}

// spreadBetween is the moment estimate of the variance of the true rates, weighted by n.
func spreadBetween(k, n []int, mean float64) float64 {
	var s, sumN, sumN2, groups float64
	for i := range n {
		if n[i] == 0 {
			continue
		}
		m := float64(n[i])
		d := float64(k[i])/m - mean
		s += m * d * d
		sumN, sumN2, groups = sumN+m, sumN2+m*m, groups+1
	}
	noise := mean * (1 - mean)
	return (s - (groups-1)*noise) / (sumN - sumN2/sumN - (groups - 1))
}
