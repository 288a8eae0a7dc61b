// What a way of counting can show at all.

package compare

import (
	"math"

	"bayproof/verify/crew"
	"bayproof/verify/stat"
)

// Reach says what share of well-packed bays a way of counting can show at all: it depends on how
// uncertain a bay's reading is, and not on the crew. A bay packed to the aim, N(aim, τ²), read with
// standard uncertainty u, is CLOSE where its reading lies above a threshold x*: that at which the
// target is shown with the confidence,
//
//	by its own:       x* = target + z·u
//	with crew's help: P(ρ ≥ target | x*) = confidence, ρ of a share 1 − r from N(aim, τ²), of r bad (crew.BadBays)
//
// so that its chance is Φ((aim − x*)/√(u² + τ²)). τ is the median and r the mean of the priors of
// rule process: mean and spread are taken as known here, which makes the forecast a little too
// good. The shares are computed once for a row of u, and interpolated.
type Reach struct {
	target, aim float64             // kg/m³
	z           float64             // normal quantile of the confidence
	ratio       float64             // ln reachRatio
	own, helped [reachSteps]float64 // shares closed, by step of u: by its own count, with the crew's help
}

const (
	reachSteps = 60
	reachFirst = 0.002 // u over the target of the first step; the others rise by reachRatio each, the last is 0.35
	reachRatio = 1.0915
)

// NewReach computes the shares for a target and an aim in kg/m³ and a confidence between 0 and 1.
func NewReach(target, aim, confidence float64) *Reach {
	r := &Reach{target: target, aim: aim, z: stat.NormalQuantile(confidence), ratio: math.Log(reachRatio)}
	tau := crew.SpreadMedian * target
	u := reachFirst * target
	for i := range reachSteps {
		own := target + r.z*u
		r.own[i] = stat.NormalCDF((aim - own) / math.Hypot(u, tau))
		// The posterior probability rises with the reading: halve between the target less and the
		// aim plus six of both.
		lo, hi := target-6*math.Hypot(u, tau), aim+6*math.Hypot(u, tau)
		for range 50 {
			if mid := (lo + hi) / 2; atTarget(mid, u, tau, target, aim) < confidence {
				lo = mid
			} else {
				hi = mid
			}
		}
		r.helped[i] = stat.NormalCDF((aim - hi) / math.Hypot(u, tau))
		u *= reachRatio
	}
	return r
}

// atTarget returns P(ρ ≥ target | x) for a reading x of standard uncertainty u of a bay packed to
// aim with standard deviation tau, all in kg/m³. A good bay has the posterior N(m, v) with v =
// u²τ²/(u² + τ²), m = v·(x/u² + aim/τ²); the bad component is a sum over 60 steps of its density.
func atTarget(x, u, tau, target, aim float64) float64 {
	normal := func(d, s float64) float64 { return math.Exp(-d*d/(2*s*s)) / s }
	v := u * u * tau * tau / (u*u + tau*tau)
	mean := v * (x/(u*u) + aim/(tau*tau))
	rate, most, rise := crew.BadBays()
	good := (1 - rate) * normal(x-aim, math.Hypot(u, tau))
	goodAt := good * stat.NormalCDF((mean-target)/math.Sqrt(v))
	bad, badAt := 0.0, 0.0
	const steps = 60
	for i := range steps {
		share := (float64(i) + 0.5) / steps
		rho := share * most * aim
		p := rate * (1 - rise + 2*rise*share) / steps * normal(x-rho, u)
		if bad += p; rho >= target {
			badAt += p
		}
	}
	return (goodAt + badAt) / (good + bad)
}

// Of returns the share of bays of standard uncertainty u, in kg/m³, that can be CLOSE; helped where
// the crew's other bays are evidence. Interpolated linearly in ln u; beyond the ends of the table
// it is the end's. 0 where u is not known.
func (r *Reach) Of(u float64, helped bool) float64 {
	table := &r.own
	if helped {
		table = &r.helped
	}
	switch at := math.Log(u/r.target/reachFirst) / r.ratio; {
	case at >= reachSteps-1:
		return table[reachSteps-1]
	case at <= 0:
		return table[0]
	case at > 0:
		i := int(at)
		return table[i] + (at-float64(i))*(table[i+1]-table[i])
	}
	return 0
}

// Stopped returns that share for bays of which nobody says that they were blown to the stall: what
// went in may then fall short of the count by anything up to a step, here in kg/m³. The reading is
// taken for half a step less, with the variance step²/12 more, and the crew's other bays are no
// evidence. 0 where u is not known.
func (r *Reach) Stopped(u, step float64) float64 {
	wide := math.Sqrt(u*u + step*step/12)
	tau := crew.SpreadMedian * r.target
	if p := stat.NormalCDF((r.aim - step/2 - r.target - r.z*wide) / math.Hypot(u, tau)); p >= 0 {
		return p
	}
	return 0
}
