package measure

import "math"

// likeliest returns the largest probability with which an honest reader of step q shows at most odd odd multiples in
// bays of these volumes, over pooled densities within 5 % and relative spreads between bays of 0, 3 and 6 %. Like bays
// that all need the same even count make it 1 with the first spread: they prove nothing.
//
// Where a third or more are odd nothing is rare and 1 is answered at once. The middle case is tried first: it alone
// clears most logs.
func likeliest(t []tally, q float64, odd int) float64 {
	if 3*odd >= len(t) {
		return 1
	}
	var bags, volume float64
	for i := range t {
		bags, volume = bags+t[i].count, volume+t[i].volume
	}
	perVolume := bags / volume / q // steps per m³
	best := atMost(t, perVolume, 0.03, odd)
	for k := -10; k <= 10 && best < RareStep; k++ {
		scaled := perVolume * (1 + 0.005*float64(k))
		for _, spread := range [...]float64{0, 0.03, 0.06} {
			best = max(best, atMost(t, scaled, spread, odd))
		}
	}
	return best
}

// atMost is the probability of at most k odd multiples among independent counts (the Poisson-binomial distribution by
// recurrence).
func atMost(t []tally, perVolume, spread float64, k int) float64 {
	var room [64]float64
	dist := room[:0]
	if k >= len(room) {
		dist = make([]float64, 0, k+1)
	}
	dist = dist[:k+1]
	dist[0] = 1
	for i := range t {
		m := perVolume * t[i].volume
		p := oddShare(m, spread*m, t[i].fresh)
		for j := k; j > 0; j-- {
			dist[j] = dist[j]*(1-p) + dist[j-1]*p
		}
		dist[0] *= 1 - p
	}
	var sum float64
	for _, p := range dist {
		sum += p
	}
	return min(sum, 1)
}

// oddShare is the probability that a need of N(m, sd²) steps is read as an odd number of them. Read from an exact start
// it is rounded: a square wave of period 2 in m. Read as the difference of two roundings it falls to either side of m
// in proportion: a triangle wave. Both are smoothed by sd; here are their Fourier series, odd harmonics only:
//
//	½ − Σ (2/πj)·sin(πj/2)·cos(πjm)·e^(−π²j²sd²/2)   and   ½ − Σ (2/πj)²·cos(πjm)·e^(−π²j²sd²/2)
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

// sharpShare is oddShare without spread.
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
