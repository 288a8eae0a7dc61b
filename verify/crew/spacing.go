package crew

import "math"

// spacing is the scale along which the nodes of τ lie evenly: t = flat·ln τ + rise·½·ln(1 + τ²/v), so that dt/d ln τ = flat +
// rise·τ²/(v + τ²). Lots whose own variance is v say little of a τ far below √v and more and more of one above it: with rise²
// twice the number of lots a step of 1 is no wider than the narrowest standard deviation that they leave ln τ there.
type spacing struct{ flat, rise, v float64 }

// flatSpacing is how many steps of 1 a standard deviation of the prior of ln τ has: where the lots begin to say something the
// posterior is no bell, and one step would be too wide.
const flatSpacing = 2.0

// logarithmic is the scale of ln τ itself.
func logarithmic() spacing { return spacing{1, 0, 1} }

// at returns t and dt/d ln τ.
func (s *spacing) at(log float64) (t, slope float64) {
	by := math.Exp(2*log) / s.v
	return s.flat*log + s.rise/2*math.Log1p(by), s.flat + s.rise*by/(1+by)
}

// length is how long a span of ln τ is.
func (s *spacing) length(over span) float64 {
	low, _ := s.at(over.logLow)
	high, _ := s.at(over.logHigh)
	return high - low
}

// after returns ln τ at a place a step behind another, and dt/d ln τ there: by Newton's method, the slope being close to even.
func (s *spacing) after(log, step float64) (next, slope float64) {
	t, slope := s.at(log)
	next = log + step/slope
	for range 20 {
		at, by := s.at(next)
		off := t + step - at
		if slope = by; math.Abs(off) < 1e-9*step {
			break
		}
		next += off / by
	}
	return next, slope
}
