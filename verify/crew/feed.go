package crew

import (
	"cmp"
	"math"
	"slices"
)

// Feed time is a second measurement of what went into a lot: ln f ~ N(ln(m/ρ), σ²), f the seconds that material ran, m the mass, ρ
// the rate of the machine at one setting, flat in its logarithm, σ the scatter. Neither is assumed: both are found by how feed and
// counts agree, and integrated.
//
// In some bays feed ran on after the stall. So the likelihood of ln f is (1 − feedRanOn)·N + feedRanOn·(N moved by 0 to feedMost,
// all equally likely), and a lot's feed counts with the chance that it did not run on.
const (
	feedRanOn  = 0.10 // prior share of the lots in which feed ran on
	feedMost   = 0.50 // of ln f, by which it may be too long
	feedNear   = 0.10 // spread of densities about the median with which a lot's count is first smoothed
	feedLeast  = 4    // lots with feed of one setting, from which it says something
	feedRounds = 4    // of finding the rate with the lots that did not run on
)

// feedScatters are the nodes of σ, all equally likely: even steps of its logarithm.
func feedScatters() []float64 { return []float64{0.03, 0.05, 0.083, 0.139, 0.23, 0.39} }

// byFeed makes of a state one for every scatter and three rates of feed. Sizes are left out: they are one and the same error in
// density by count and by feed. Lots on a counter, and intervals, stay as they are. The rates of several settings are taken to
// be off together.
func byFeed(s state) []state {
	settings := feedSettings(s.lots)
	if len(settings) == 0 {
		return []state{s}
	}
	var out []state
	for _, sigma := range feedScatters() {
		rates, known := make([]feedRate, len(s.lots)), 0.0 // by lot
		for _, timed := range settings {
			r := rateOfFeed(s.lots, timed, sigma)
			for _, j := range timed {
				rates[j] = r
			}
			known += math.Log(r.u)
		}
		for _, n := range hermite3() {
			one := s.moved(n.weight, func(e evidence) evidence { return e })
			one.logWeight += n.z*n.z/2 + known
			for j, r := range rates {
				if r.u > 0 {
					with, log := one.lots[j].withFeed(math.Exp(r.log+n.z*r.u), sigma)
					one.lots[j] = with
					one.logWeight += float64(with.times) * log
				}
			}
			out = append(out, one)
		}
	}
	return out
}

// timed tells whether the lot's feed is a second measurement beside its count.
func (e *evidence) timed() bool {
	return e.feed > 0 && e.count > 0 && e.half == 0 && e.x > 0 && e.in.coef == 0 && e.out.coef == 0
}

// feedSettings lists the timed lots of each machine setting that has enough of them.
func feedSettings(lots []evidence) (all [][]int) {
	order := make([]int, 0, len(lots))
	for j := range lots {
		if lots[j].timed() {
			order = append(order, j)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(lots[a].setting, lots[b].setting) })
	for from, to := 0, 0; from < len(order); from = to {
		for to = from; to < len(order) && lots[order[to]].setting == lots[order[from]].setting; to++ {
		}
		if to-from >= feedLeast {
			all = append(all, order[from:to])
		}
	}
	return all
}

// feedRate is what the counts say about the rate at one setting for a scatter: ln ρ and its standard uncertainty.
type feedRate struct{ log, u float64 }

// rateOfFeed finds it as the mean of ln(count/feed) by weight, each lot by the chance that its feed did not run on.
func rateOfFeed(lots []evidence, timed []int, sigma float64) (r feedRate) {
	weight := make([]float64, len(timed))
	for k := range weight {
		weight[k] = 1
	}
	for range feedRounds {
		var all, sum float64
		for k, j := range timed {
			e := &lots[j]
			w := weight[k] * float64(e.times) / (sigma*sigma + e.count/sq(e.near))
			all += w
			sum += w * (math.Log(e.near/e.feed) + (e.x-e.near)/e.near)
		}
		r = feedRate{sum / all, 1 / math.Sqrt(all)}
		for k, j := range timed {
			_, weight[k] = lots[j].feedLikelihood(math.Exp(r.log), sigma)
		}
	}
	return r
}

// feedLikelihood is the logarithm of the likelihood of count and feed together, but for what neither rate nor scatter moves, and
// the chance that feed did not run on. d = ln(ρ·f/y) with y by the count has the variance σ² + count/y².
func (e *evidence) feedLikelihood(rate, sigma float64) (log, straight float64) {
	d := math.Log(rate*e.feed/e.near) - (e.x-e.near)/e.near
	s := math.Sqrt(sigma*sigma + e.count/sq(e.near))
	right := (1 - feedRanOn) * density(d/s) / s
	ranOn := feedRanOn * (cdf(d/s) - cdf((d-feedMost)/s)) / feedMost
	all := math.Max(right+ranOn, 1e-12)
	return math.Log(all), right / all
}

// withFeed joins feed to the count as two readings of one mass. The feed's likelihood is taken as normal in the density about near:
// ln y ≈ ln near + (y − near)/near, so that it reads near·(1 + ln(ρ·f/near)) with the variance (σ·near)² over its chance of
// being straight.
func (e evidence) withFeed(rate, sigma float64) (with evidence, log float64) {
	log, straight := e.feedLikelihood(rate, sigma)
	reads := e.near * (1 + math.Log(rate*e.feed/e.near))
	v := sq(sigma*e.near) / math.Max(straight, 1e-3)
	joint := 1 / (1/e.count + 1/v)
	e.x = joint * (e.x/e.count + reads/v)
	e.v = math.Max(e.v-e.count+joint, leastVariance)
	e.count = joint
	return e, log
}
