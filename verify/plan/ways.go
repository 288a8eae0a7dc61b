package plan

import (
	"math"

	"bayproof/model"
	"bayproof/verify/stat"
)

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
	now := newGauge(set, sec.counting)
	ways := []Way{sec.way(WayNow, now, bays)}
	part := now
	part.weigh = set.WeighWithin
	if now.bag > 0 {
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

func (sec *Section) way(code WayCode, g gauge, bays []Bay) Way {
	w := Way{Code: code, Counting: g.counting, Step: g.step, Within: math.NaN()}
	if g.weigh > 0 {
		w.Step, w.Within = math.NaN(), g.weigh
		if math.IsNaN(g.bag) {
			w.Code = WayNow
		}
	}
	w.Closed = sec.closed(g, bays, sec.Aim)
	w.AimFor = sec.aimFor(g, bays)
	w.More = math.Max(w.AimFor/sec.Aim-1, 0)
	return w
}

// aimFor returns the least aim, in steps of 0.05 lb/ft³ from the plan's own on, at which eight good bays in ten close;
// NaN where none up to the ceiling does.
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

// closed forecasts the share of good bays that close when the section is packed to aim with the crew's spread, as the
// mean over its bays.
func (sec *Section) closed(g gauge, bays []Bay, aim float64) float64 {
	var sum float64
	for i := range bays {
		sum += sec.closeProb(g, &bays[i], aim)
	}
	return sum / float64(len(bays))
}

// closeProb forecasts how likely one good bay closes once the whole section is logged. The readings scatter around the
// aim by √(τ² + u²). Rule guarded closes where the reading lies z·u above the target. Rule process shrinks the reading
// towards the section's mean by w = s²/(s² + u²), s² = τ² + u_μ², and closes where what it then expects lies
// z·√(w·u² + common²) above the target (normal theory). Two figures are fitted to the rule, which learns mean and spread
// from the same counts: it is left with 0.85 of that doubt, and all bays of a section move together by 0.074·(1 − w)² of
// the target. An approximation: the tests hold it against the rule itself.
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
