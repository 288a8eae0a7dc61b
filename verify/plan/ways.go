// Ways of counting: how well each knows what went into a bay, and what share of good bays a crew
// could close with it. Beside the present way the plan shows others, and what aim each asks for:
// mostly they cost less than the material that a higher aim takes.

package plan

import (
	"math"

	"bayproof/model"
	"bayproof/verify/measure"
	"bayproof/verify/stat"
)

// gauge is one way of knowing what went into a bay.
type gauge struct {
	bag      float64 // kg; NaN where no bags are counted
	step     float64 // bags
	weigh    float64 // kg, half-width; above 0 where the part bag or everything is weighed
	counting model.Counting
}

// newGauge returns the section's present way: bags by the step, or weighing where its log does so
// or the job gives no bag weight.
func newGauge(sec *Section) gauge {
	set := &sec.Section.Settings
	g := gauge{bag: BagWeight(set), step: set.BagStep, counting: sec.counting}
	if sec.weighed || math.IsNaN(g.bag) {
		g.weigh = set.WeighWithin
	}
	return g
}

// BagWeight returns the net bag weight in kg, the mean of weighed bags or else the label's; NaN
// where there is neither.
func BagWeight(set *model.Settings) float64 { return measure.Bag(set).Mass }

// uMass returns the standard uncertainty in kg of one bay's material: a/√3 weighed to ±a, else of
// the step times the bag weight q/√6 with both ends read, q/√12 with one (rectangular readings,
// JCGM 100, 4.3.7 and 4.3.9). A running counter read as the chain that it is lies between the two:
// q/√8, an approximation that serves forecasts only.
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

// uDensity returns the standard uncertainty in kg/m³ of the density ρ = m/V of a bay that holds
// mass, kg, by propagation of the parts (JCGM 100, 5.1.2): the count's and the volume's, and apart
// from it what all bays of the job share, the bag weight, whose relative standard uncertainty is
// bagShare.
//
//	own² = (u(m)/V)² + (ρ·u(V)/V)²,  common = ρ·bagShare
func (g gauge) uDensity(b *Bay, mass, bagShare float64) (own, common float64) {
	density := mass / b.Volume
	own = math.Hypot(g.uMass()/b.Volume, density*b.UVolume/b.Volume)
	if g.weigh > 0 && math.IsNaN(g.bag) {
		return own, 0
	}
	return own, density * bagShare
}

// bagShare returns the relative standard uncertainty of the net bag weight by its label:
// rectangular ±bag_within.
func bagShare(set *model.Settings) float64 { return set.BagWithin / math.Sqrt(3) }

// lookAt returns from which amount on a bay is above the ceiling, in whole steps of unit (kg a
// step): the first number of steps over ceiling·volume. It is the only count that stops anybody: a
// bay is blown to the stall, and the count is read after it.
func lookAt(b *Bay, ceiling, unit float64) (steps float64) {
	const near = 1e-9 // a share of a step: an amount that is the ceiling but for rounding is not above it
	return math.Floor(ceiling*b.Volume/unit+near) + 1
}

// WayCode is the stable name of a way of knowing what went in.
type WayCode string

const (
	WayNow     WayCode = "as-now"
	WayQuarter WayCode = "quarter-bags"
	WayRunning WayCode = "running-counter"
	WayPart    WayCode = "weigh-part-bags"
)

// Way is one way of counting and what it lets a crew close that packs well.
type Way struct {
	Code     WayCode
	Counting model.Counting // as-now and running-counter
	Step     float64        // bags; NaN where material is weighed
	Within   float64        // kg, where material is weighed; NaN otherwise
	Closed   float64        // share of good bays that close when packed to the plan's aim
	AimFor   float64        // kg/m³: least aim at which eight good bays in ten close; NaN where none below the ceiling does
	More     float64        // share of material more than at the plan's aim; 0 where the plan's aim will do
}

// waysOf compares the present way of counting with those that a crew could change to.
func waysOf(sec *Section, bays []Bay) []Way {
	set := &sec.Section.Settings
	now := newGauge(sec)
	ways := []Way{sec.way(WayNow, now, bays)}
	// Weighing the part bag makes the count of whole bags exact; what is left is the scale's ±.
	part := now
	part.weigh = set.WeighWithin
	if now.weigh == 0 {
		if now.step > 0.25 {
			quarter := now
			quarter.step = 0.25
			ways = append(ways, sec.way(WayQuarter, quarter, bays))
		}
		if now.counting != model.CountingRunning {
			running := now
			running.counting = model.CountingRunning
			ways = append(ways, sec.way(WayRunning, running, bays))
		}
		ways = append(ways, sec.way(WayPart, part, bays))
	}
	return ways
}

// way forecasts what the way g of counting would let the crew close, and which aim would let it
// close goodShare of its good bays.
func (sec *Section) way(code WayCode, g gauge, bays []Bay) Way {
	w := Way{Code: code, Counting: g.counting, Step: g.step, Within: math.NaN()}
	if g.weigh > 0 {
		w.Step, w.Within = math.NaN(), g.weigh
	}
	w.Closed = sec.closed(g, bays, sec.Aim)
	w.AimFor = sec.aimFor(g, bays)
	w.More = math.Max(w.AimFor/sec.Aim-1, 0)
	return w
}

// aimFor returns the least aim in kg/m³, in steps of aimStepLbFt3 from the plan's own on, at which
// goodShare of the good bays close; NaN where none up to the ceiling does.
func (sec *Section) aimFor(g gauge, bays []Bay) float64 {
	const step = aimStepLbFt3 * model.PoundPerCubicFoot
	for aim := sec.Aim; aim <= sec.Ceiling*(1+1e-12); {
		if sec.closed(g, bays, aim) >= goodShare {
			return aim
		}
		aim = (math.Floor(aim/step+1e-9) + 1) * step
	}
	return math.NaN()
}

// closed forecasts the share, 0 to 1, of good bays that close when the section is packed to aim,
// kg/m³, with the crew's spread: the mean of closeProb over its bays, of which there is at least
// one.
func (sec *Section) closed(g gauge, bays []Bay, aim float64) float64 {
	var sum float64
	for i := range bays {
		sum += sec.closeProb(g, &bays[i], aim)
	}
	return sum / float64(len(bays))
}

// closeProb forecasts how likely one good bay closes once the whole section is logged, packed to
// aim in kg/m³.
//
// A good bay's density scatters about the aim by τ, its reading by √(τ² + u²); common is what all
// readings have in common. With z = Φ⁻¹(confidence), rule guarded closes where the reading lies
// z·√(u² + common²) above the target:
//
//	P = Φ((aim − target − z·√(u² + common²)) / √(τ² + u² + common²))
//
// Rule process shrinks the reading towards the section's mean by w = s²/(s² + u²), where s² = τ² +
// u_μ² and u_μ² = (τ² + u²)/(n − 1) of n bays, and is left with a doubt: the posterior standard
// deviation of a normal density, √(w·u² + common²). It closes where what it then expects lies z
// doubts above the target:
//
//	P = Φ((aim − target − z·doubt) / scatter)
//	doubt = doubtShare·√(w·u² + common²)
//	scatter² = w²·(τ² + u²) + (1 − w)²·u_μ² + common² + learned²,  learned = learning·target·(1 − w)²
//
// Mean and spread are not known to the rule but learned from the same counts; doubtShare and
// learning, which stand for that, are fitted to it. An approximation: TestForecastAgainstTheRule
// holds it to 0.08 of the share that the rule itself closes.
func (sec *Section) closeProb(g gauge, b *Bay, aim float64) float64 {
	set := &sec.Section.Settings
	u, common := g.uDensity(b, aim*b.Volume, bagShare(set))
	above := aim - sec.Target
	z := stat.NormalQuantile(set.Confidence)
	if set.Rule == model.RuleGuarded {
		return stat.NormalCDF((above - z*math.Hypot(u, common)) / math.Sqrt(sec.SD*sec.SD+u*u+common*common))
	}
	reading := sec.SD*sec.SD + u*u
	uMean2 := reading / float64(max(sec.Bays, 2)-1)
	s2 := sec.SD*sec.SD + uMean2
	w := s2 / (s2 + u*u)
	doubt := doubtShare * math.Sqrt(w*u*u+common*common)
	learned := learning * sec.Target * (1 - w) * (1 - w)
	scatter := math.Sqrt(w*w*reading + (1-w)*(1-w)*uMean2 + common*common + learned*learned)
	return stat.NormalCDF((above - z*doubt) / scatter)
}
