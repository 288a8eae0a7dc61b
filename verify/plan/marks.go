package plan

import (
	"math"

	"bayproof/model"
	"bayproof/verify/measure"
	"bayproof/verify/stat"
)

// Marks are the amounts at which a bay changes, by its own count alone: with the crew's other bays as evidence some
// close at less. Bags in whole steps of the count, or kg. NaN where no amount will do.
type Marks struct {
	ShortBelow float64 // below it the bay is shown to be short
	FineFrom   float64 // from it on the target is shown; NaN where that is not before LookAt
	LookAt     float64 // from it on the density is above the ceiling: stop and look
}

// gauge is one way of knowing what went into a bay.
type gauge struct {
	bag      float64 // kg; NaN where no bags are counted
	step     float64 // bags
	weigh    float64 // kg, half-width; above 0 where the part bag or everything is weighed
	counting model.Counting
}

// newGauge returns the section's present way: bags by the step, or weighing where the job gives no bag weight.
func newGauge(set *model.Settings, counting model.Counting) gauge {
	g := gauge{bag: BagWeight(set), step: set.BagStep, counting: counting}
	if math.IsNaN(g.bag) {
		g.weigh = set.WeighWithin
	}
	return g
}

// BagWeight returns the net bag weight in kg, the mean of weighed bags or else the label's; NaN where there is neither.
func BagWeight(set *model.Settings) float64 { return measure.Bag(set).Mass }

// uMass returns the standard uncertainty in kg of one bay's material: q/√6 of a bag with both ends read, q/√12 with
// one (rectangular readings, JCGM 100 4.3.7), a/√3 weighed. A running counter read as the chain that it is lies
// between the two: q/√8, an approximation that serves forecasts only.
func (g gauge) uMass() float64 {
	if g.weigh > 0 {
		return g.weigh / math.Sqrt(3)
	}
	switch g.counting {
	case model.CountingFresh:
		return g.step * g.bag / math.Sqrt(12)
	case model.CountingRunning:
		return g.step * g.bag / math.Sqrt(8)
	default:
		return g.step * g.bag / math.Sqrt(6)
	}
}

// uDensity returns the standard uncertainty in kg/m³ of the density of a bay that holds mass: the count's and the
// volume's part, and apart from it what all bays of the job share, the bag weight.
func (g gauge) uDensity(b *Bay, mass, bagShare float64) (own, common float64) {
	density := mass / b.Volume
	own = math.Hypot(g.uMass()/b.Volume, density*b.UVolume/b.Volume)
	if g.weigh > 0 && math.IsNaN(g.bag) {
		return own, 0
	}
	return own, density * bagShare
}

// bagShare returns the relative standard uncertainty of the net bag weight: rectangular ±bag_within.
func bagShare(set *model.Settings) float64 { return set.BagWithin / math.Sqrt(3) }

// probAt returns P(density ≥ target) for a bay that holds mass, from the measurement alone.
func (g gauge) probAt(b *Bay, mass float64, set *model.Settings) float64 {
	own, common := g.uDensity(b, mass, bagShare(set))
	return stat.NormalCDF((mass/b.Volume - set.Target) / math.Hypot(own, common))
}

// marks returns the amounts in steps of unit (kg a step): the first step not shown short, the first shown to hold the
// target, the first above the ceiling, each in steps. conf is the job's confidence.
func (g gauge) marks(b *Bay, set *model.Settings, unit float64) Marks {
	conf := set.Confidence
	most := int(math.Ceil(3 * set.Ceiling * b.Volume / unit))
	first := func(holds func(mass float64) bool) float64 {
		lo, hi := 0, most // holds is monotonic in mass as far as it matters here
		for lo < hi {
			mid := (lo + hi) / 2
			if holds(float64(mid) * unit) {
				hi = mid
			} else {
				lo = mid + 1
			}
		}
		if lo == most {
			return math.NaN()
		}
		return float64(lo)
	}
	m := Marks{
		ShortBelow: first(func(mass float64) bool { return g.probAt(b, mass, set) > 1-conf }),
		FineFrom:   first(func(mass float64) bool { return g.probAt(b, mass, set) >= conf }),
		LookAt:     first(func(mass float64) bool { return mass > set.Ceiling*b.Volume }),
	}
	if !(m.FineFrom < m.LookAt) {
		m.FineFrom = math.NaN()
	}
	return m
}

func (m Marks) times(unit float64) Marks {
	return Marks{m.ShortBelow * unit, m.FineFrom * unit, m.LookAt * unit}
}
