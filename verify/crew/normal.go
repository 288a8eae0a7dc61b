package crew

import "math"

const (
	phiReach = 8.0      // beyond so many standard deviations the normal distribution is 0 or 1 to 1e-15
	phiStep  = 1.0 / 16 // a cubic through values and slopes is good to 6e-8 at this step
	phiCount = 2*int(phiReach/phiStep) + 2
)

// normalTable holds the standard normal distribution: its value, and its density times the step, at equal steps.
type normalTable struct {
	at [phiCount]struct{ value, slope float64 }
}

func newNormalTable() *normalTable {
	t := new(normalTable)
	for i := range t.at {
		z := -phiReach + float64(i)*phiStep
		t.at[i].value = 0.5 * math.Erfc(-z/math.Sqrt2)
		t.at[i].slope = density(z) * phiStep
	}
	return t
}

// cdf returns Φ(z) by cubic Hermite interpolation, to 1e-7.
func (t *normalTable) cdf(z float64) float64 {
	if !(z > -phiReach) { // NaN goes to the cautious side
		return 0
	}
	if z >= phiReach {
		return 1
	}
	f := (z + phiReach) * (1 / phiStep)
	i := int(f)
	f -= float64(i)
	a, b := &t.at[i], &t.at[i+1]
	d := b.value - a.value
	return a.value + f*(a.slope+f*((3*d-2*a.slope-b.slope)+f*(a.slope+b.slope-2*d)))
}

// both returns Φ(z), to 1e-7, and φ(z), to 1e-5: value and slope of the same cubic.
func (t *normalTable) both(z float64) (cdf, density float64) {
	if !(z > -phiReach) {
		return 0, 0
	}
	if z >= phiReach {
		return 1, 0
	}
	f := (z + phiReach) * (1 / phiStep)
	i := int(f)
	f -= float64(i)
	a, b := &t.at[i], &t.at[i+1]
	d := b.value - a.value
	c2, c3 := 3*d-2*a.slope-b.slope, a.slope+b.slope-2*d
	return a.value + f*(a.slope+f*(c2+f*c3)), (a.slope + f*(2*c2+3*f*c3)) * (1 / phiStep)
}

// density is the standard normal density φ(z) = exp(−z²/2)/√(2π).
func density(z float64) float64 {
	return math.Exp(-0.5*z*z) * (1 / (math.Sqrt2 * 1.7724538509055160273))
}

// integral is ∫ Φ up to z: z·Φ(z) + φ(z).
func (t *normalTable) integral(z float64) float64 {
	if z < -phiReach {
		return 0
	}
	return z*t.cdf(z) + density(z)
}
