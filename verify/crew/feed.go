// Feed time as a second measurement of what went into a lot.
//
// Observed are the seconds f that material ran into a lot, and its count. Unknown are the rate ρ of
// the machine (kg/s, one at every machine setting), flat in its logarithm, and the scatter σ of ln
// f:
//
//	ln f ~ N(ln(m/ρ), σ²), m the mass
//
// Neither is assumed: both are found by how feed and counts agree, and integrated; σ over six
// values, ln ρ over the three Gauss–Hermite nodes of its posterior given σ. In some bays feed ran
// on after the stall, which makes f too long: so the likelihood of ln f is a mixture,
//
//	(1 − feedRanOn)·N + feedRanOn·(N moved by 0 to feedMost, all equally likely)
//
// and a lot's feed counts with the chance that it did not run on. For each state feed and count
// become one reading (withFeed): after that the rest of the rule knows nothing of feed.
//
// The form is derived here. A count's error is taken relative to a smoothed density (near), not to
// the count itself: a count that is too low would then seem the surer one, and bias the rate low.
// TestFeed: feed that is good to 5 % closes more bays, feed that is good to 40 % hardly any, and
// its unit does not matter.

package crew

import (
	"cmp"
	"math"
	"slices"
)

const (
	// Prior share of the lots in which feed ran on.
	feedRanOn = 0.10
	// By how much ln f may be too long there.
	feedMost = 0.50
	// Relative standard deviation about the median to which counts are drawn before feed is
	// compared with them (see compareFeed).
	feedNear = 0.10
	// Least number of timed lots of one machine setting from which feed says something.
	feedLeast = 4
	// Rounds of finding the rate with the lots that did not run on.
	feedRounds = 4
)

// feedScatters returns the nodes of σ, all equally likely: even steps of its logarithm.
func feedScatters() []float64 { return []float64{0.03, 0.05, 0.083, 0.139, 0.23, 0.39} }

// byFeed makes of a state one for each of the six scatters and three rates; the state itself where
// no machine setting has feedLeast timed lots.
//
// ln ρ is flat, so that its posterior given σ is normal about rateOfFeed's value r.log with
// standard uncertainty r.u. At the node z = (ln ρ − r.log)/r.u the state's weight is the rule's
// weight times exp(z²/2)·r.u, which turns the rule's normal density into a flat one, times the
// lots' feed likelihoods. The rates of several settings are taken to be off together, at the same
// z. Sizes are left out: they are one and the same error in the density by count and by feed. Lots
// on a counter, and intervals, stay as they are.
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

// timed tells whether the lot's feed is a second measurement beside its count: it was timed and
// counted in steps with readings of its own.
func (e *evidence) timed() bool {
	return e.feed > 0 && e.count > 0 && e.half == 0 && e.x > 0 && e.in.coef == 0 && e.out.coef == 0
}

// feedSettings returns the indexes of the timed lots of each machine setting that has feedLeast of
// them or more.
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

// feedRate is what the counts say about the rate at one setting for a given scatter: ln ρ, ρ in
// kg/s, and its standard uncertainty. u is 0 for a lot without feed.
type feedRate struct{ log, u float64 }

// rateOfFeed returns the weighted mean of ln(y/f) over the timed lots, y the density by the count
// and f the feed, and its standard uncertainty 1/√Σw. The weight of a lot is w = P(feed did not run
// on)·times/(σ² + count/near²); that chance is taken from the rate of the round before, in
// feedRounds rounds. ln y is linearized about near.
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

// feedLikelihood returns the logarithm of the likelihood of the lot's feed given its count, for a
// rate in kg/s and a scatter σ, and straight, the posterior chance that its feed did not run on. d
// = ln(ρ·f/y), y the density by the count, has the variance s² = σ² + count/near², and
//
//	likelihood = (1 − feedRanOn)·φ(d/s)/s + feedRanOn·(Φ(d/s) − Φ((d − feedMost)/s))/feedMost
//
// kept from falling below 1e-12, so that one absurd feed does not rule out every state.
func (e *evidence) feedLikelihood(rate, sigma float64) (log, straight float64) {
	d := math.Log(rate*e.feed/e.near) - (e.x-e.near)/e.near
	s := math.Sqrt(sigma*sigma + e.count/sq(e.near))
	right := (1 - feedRanOn) * density(d/s) / s
	ranOn := feedRanOn * (cdf(d/s) - cdf((d-feedMost)/s)) / feedMost
	all := math.Max(right+ranOn, 1e-12)
	return math.Log(all), right / all
}

// withFeed returns the lot with its feed joined to its count, and the logarithm of the feed's
// likelihood. The feed's likelihood is taken as normal in the density about near, ln y ≈ ln near +
// (y − near)/near: it reads near·(1 + ln(ρ·f/near)) with the variance (σ·near)²/straight. Count and
// feed are two readings of one mass, joined by their weights 1/variance; the part of v that comes
// of sizes stays.
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
