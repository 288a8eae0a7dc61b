package crew

import "math"

const (
	phiReach = 8.0      // beyond so many standard deviations the normal distribution is 0 or 1 to 1e-15
	phiStep  = 1.0 / 16 // a cubic through values and slopes is good to 6e-8 at this step
	phiCount = 2*int(phiReach/phiStep) + 1
)

// normalTable holds a function as a cubic in the share of the way through each step, which meets values and slopes at
// both ends.
type normalTable [phiCount][4]float64

// phi is the standard normal distribution, bell its density; nothing writes to them.
var (
	phi  = newNormalTable(func(z float64) (float64, float64) { return 0.5 * math.Erfc(-z/math.Sqrt2), density(z) })
	bell = newNormalTable(func(z float64) (float64, float64) { return density(z), -z * density(z) })
)

// newNormalTable tabulates what f gives as value and slope.
func newNormalTable(f func(z float64) (value, slope float64)) *normalTable {
	t := new(normalTable)
	for i := range t {
		z := -phiReach + float64(i)*phiStep
		from, slope := f(z)
		to, next := f(z + phiStep)
		rise := to - from
		slope, next = slope*phiStep, next*phiStep
		t[i] = [4]float64{from, slope, 3*rise - 2*slope - next, slope + next - 2*rise}
	}
	return t
}

// cdf returns Φ(z) of the table phi, to 1e-7.
func (t *normalTable) cdf(z float64) float64 {
	if !(z > -phiReach) { // NaN goes to the cautious side
		return 0
	}
	if z >= phiReach {
		return 1
	}
	return t.at(z)
}

// density returns φ(z) of the table bell, to 1e-7.
func (t *normalTable) density(z float64) float64 {
	if !(z > -phiReach && z < phiReach) {
		return 0
	}
	return t.at(z)
}

// at is the cubic at a z within the table's reach.
func (t *normalTable) at(z float64) float64 {
	f := (z + phiReach) * (1 / phiStep)
	i := int(f)
	f -= float64(i)
	c := &t[i]
	return c[0] + f*(c[1]+f*(c[2]+f*c[3]))
}

// density is the standard normal density φ(z) = exp(−z²/2)/√(2π).
func density(z float64) float64 {
	return math.Exp(-0.5*z*z) * (1 / (math.Sqrt2 * 1.7724538509055160273))
}

// normalBoth holds Φ and φ side by side.
type normalBoth [phiCount][8]float64

var normal = newNormalBoth()

func newNormalBoth() *normalBoth {
	t := new(normalBoth)
	for i := range t {
		copy(t[i][:4], phi[i][:])
		copy(t[i][4:], bell[i][:])
	}
	return t
}

// at returns Φ(z) and φ(z), to 1e-7.
func (t *normalBoth) at(z float64) (cdf, density float64) {
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
	return c[0] + f*(c[1]+f*(c[2]+f*c[3])), c[4] + f*(c[5]+f*(c[6]+f*c[7]))
}

// normalIntegral is ∫ Φ up to z: z·Φ(z) + φ(z).
func normalIntegral(z float64) float64 {
	p, d := normal.at(z)
	return z*p + d
}
