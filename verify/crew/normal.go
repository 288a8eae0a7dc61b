package crew

import "math"

const (
	phiReach = 8.0      // beyond so many standard deviations the normal distribution is 0 or 1 to 1e-15
	phiStep  = 1.0 / 16 // a cubic through values and slopes is good to 6e-8 at this step
	phiCount = 2*int(phiReach/phiStep) + 1
)

// normalTable holds the standard normal distribution as a cubic in the share of the way through each step: it meets
// values and slopes at both ends.
type normalTable [phiCount][4]float64

// phi is the one table; nothing writes to it.
var phi = newNormalTable()

func newNormalTable() *normalTable {
	t := new(normalTable)
	for i := range t {
		z := -phiReach + float64(i)*phiStep
		from, to := 0.5*math.Erfc(-z/math.Sqrt2), 0.5*math.Erfc(-(z+phiStep)/math.Sqrt2)
		rise, slope, next := to-from, density(z)*phiStep, density(z+phiStep)*phiStep
		t[i] = [4]float64{from, slope, 3*rise - 2*slope - next, slope + next - 2*rise}
	}
	return t
}

// cdf returns Φ(z) to 1e-7.
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
	c := &t[i]
	return c[0] + f*(c[1]+f*(c[2]+f*c[3]))
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
	c := &t[i]
	return c[0] + f*(c[1]+f*(c[2]+f*c[3])), (c[1] + f*(2*c[2]+3*f*c[3])) * (1 / phiStep)
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
