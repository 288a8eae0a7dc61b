package crew

import (
	"math"
	"math/rand/v2"

	"bayproof/model"
	"bayproof/verify/measure"
)

// lb is one lb/ft³ in kg/m³: worlds are written in the units of the trade.
const lb = model.PoundPerCubicFoot

// world is a crew, its bays and its way of measuring, with known truth. Densities in lb/ft³, sizes
// in inches.
type world struct {
	bays       int
	mean       func(i, n int, job *rand.Rand) float64 // what bay i of n is packed to
	spread     float64
	voids      float64 // rate of bays with an empty part of 5 to 40 %
	voidLow    float64
	voidHigh   float64
	weak       float64 // rate of bays at 2.6 to 3.3
	depth      float64
	within     float64 // half-width of the depth tape
	scatter    float64 // standard deviation of one depth reading about its bay's mean
	readings   int
	counting   model.Counting
	step       float64 // bags, as the crew reads
	stated     float64 // bags, as the job says; 0 is the same
	weighed    float64 // ± lb of a weighed mass; 0 counts bags
	weighFirst int     // the first bays are weighed, ± weighed
	bias       float64 // in: half-width of the tape's shared error; the rule allows `within` for it
	shareTape  bool    // one tape error in all bays of the job instead of one a bay
	length     func(i int) float64
	asFilled   bool // verdicts are taken as the bays are filled
	like       bool // all bays of a job alike: 1.4 to 1.6 bags at the crew's mean
	over       bool // bay 8 of each job is over-full by a third
	swap       bool // 0.6 bag of bay 12 is booked to bay 13
}

func steady(mean float64) func(int, int, *rand.Rand) float64 {
	return func(int, int, *rand.Rand) float64 { return mean }
}

// quarter is the standard world: 24 bays, 3.85 ± 0.12, bags to a quarter, 5½ in, one depth reading.
func quarter() world {
	return world{bays: 24, mean: steady(3.85), spread: 0.12, voids: 0.10, voidLow: 0.05, voidHigh: 0.40, weak: 0.05,
		depth: 5.5, within: 0.25, scatter: 0.125, readings: 1, counting: model.CountingEnds, step: 0.25, bias: 0.09,
		length: func(i int) float64 { return [4]float64{9, 12, 12, 15}[i%4] }}
}

// truth is what nobody sees about a bay.
type truth struct {
	density float64 // lb/ft³
	empty   float64
	touched bool // the bay was made over-full or lost material to its neighbour on purpose
}

const (
	bagPounds  = 25.0
	bagLimit   = 0.015
	widthIn    = 22.5
	widthHalf  = 0.125
	lengthHalf = 0.5
)

// fill makes one section: the lots as they are measured, and the truth.
func (w *world) fill(rng *rand.Rand) ([]measure.Lot, []truth) {
	bag := bagPounds * (1 + bagLimit*(2*rng.Float64()-1))
	tape := w.bias * (2*rng.Float64() - 1)
	lots, truths := make([]measure.Lot, w.bays), make([]truth, w.bays)
	scatter := w.pooled(rng)
	order := rng.Perm(w.bays)
	counter := 0.0
	alike := (1.4 + 0.2*rng.Float64()) * bagPounds / w.mean(0, 1, rng) / (widthIn * w.depth / 144)
	for i := range lots {
		truths[i] = w.pack(i, rng)
		if w.over && i == 7 {
			truths[i] = truth{density: truths[i].density * 4 / 3, touched: true}
		}
		feet := w.length(order[i])
		if w.like {
			feet = alike
		}
		volume := widthIn * w.depth / 144 * feet
		mass := truths[i].density * volume
		booked := mass
		if w.swap && (i == 11 || i == 12) {
			booked += 0.6 * bag * float64(2*i-23)
			truths[i].touched = true
		}
		if !w.shareTape {
			tape = w.bias * (2*rng.Float64() - 1)
		}
		seen, uVolume, dof := w.measure(volume, feet, tape, scatter, rng)
		lots[i] = measure.Lot{Volume: seen * model.CubicFoot, Bags: math.NaN()}
		w.count(&lots[i], i, booked/bag, &counter, seen, rng)
		w.finish(&lots[i], uVolume, dof)
	}
	return lots, truths
}

// pack draws a bay's true density.
func (w *world) pack(i int, rng *rand.Rand) truth {
	t := truth{density: w.mean(i, w.bays, rng) + w.spread*rng.NormFloat64()}
	switch u := rng.Float64(); {
	case u < w.voids:
		t.empty = w.voidLow + (w.voidHigh-w.voidLow)*rng.Float64()
		t.density *= 1 - t.empty
	case u < w.voids+w.weak:
		t.density = 2.6 + 0.7*rng.Float64()
	}
	return t
}

// pooled is the scatter of depth readings as the section's repeats show it; 0 where nothing was
// read twice.
func (w *world) pooled(rng *rand.Rand) float64 {
	nu := w.bays * (w.readings - 1)
	if nu == 0 {
		return 0
	}
	sum := 0.0
	for range nu {
		sum += sq(rng.NormFloat64())
	}
	return w.scatter * math.Sqrt(sum/float64(nu))
}

// measure returns a bay's volume as measured, its relative standard uncertainty and degrees of
// freedom.
func (w *world) measure(volume, feet, tape, scatter float64, rng *rand.Rand) (seen, u, dof float64) {
	either := func(half float64) float64 { return half * (2*rng.Float64() - 1) }
	n := float64(w.readings)
	depth := w.depth + tape + w.scatter/math.Sqrt(n)*rng.NormFloat64()
	seen = volume * depth / w.depth * (1 + either(widthHalf)/widthIn) * (1 + either(lengthHalf)/12/feet)
	repeats := sq(scatter/depth) / n
	v := repeats + sq(w.within/depth)/3 + sq(widthHalf/widthIn)/3 + sq(lengthHalf/12/feet)/3
	dof = math.Inf(1)
	if repeats > 0 {
		dof = float64(w.bays*(w.readings-1)) * sq(v/repeats)
	}
	return seen, math.Sqrt(v), dof
}

// count reads the mass of a bay of so many bags.
func (w *world) count(lot *measure.Lot, i int, bags float64, counter *float64, volume float64, rng *rand.Rand) {
	perBag := bagPounds / volume * lb
	if w.weighed > 0 && (w.weighFirst == 0 || i < w.weighFirst) {
		pounds := bags*bagPounds + w.weighed*(2*rng.Float64()-1)
		lot.Density = pounds / volume * lb
		lot.Own = w.weighed / math.Sqrt(3) / volume * lb
		return
	}
	stated := w.step
	if w.stated > 0 {
		stated = w.stated
	}
	near := func(x float64) float64 { return math.Round(x/w.step) * w.step }
	switch w.counting {
	case model.CountingRunning:
		before := near(*counter)
		*counter += bags
		lot.Bags = near(*counter) - before
		u := stated / math.Sqrt(12)
		lot.Terms = []measure.Term{{Reading: i, Coef: -perBag, U: u}, {Reading: i + 1, Coef: perBag, U: u}}
		if i == 0 {
			lot.Terms[0].U = 0
		}
	case model.CountingFresh:
		lot.Bags = near(bags)
		lot.Count = stated / math.Sqrt(12) * perBag
		lot.Interval = stated / 2 * perBag
	default:
		start := 10 * rng.Float64()
		lot.Bags = near(start+bags) - near(start)
		lot.Count = stated / math.Sqrt(6) * perBag
	}
	lot.Density = lot.Bags * perBag
	lot.Common = lot.Density * bagLimit / math.Sqrt(3)
	lot.CommonDOF = math.Inf(1)
}

// finish puts the parts together as the measurement does.
func (w *world) finish(lot *measure.Lot, uVolume, dof float64) {
	sizes := lot.Density * uVolume
	weighing := lot.Own
	lot.Own = math.Hypot(weighing, sizes)
	lot.OwnDOF = dof
	if weighing > 0 && sizes > 0 {
		lot.OwnDOF = dof * sq(sq(lot.Own/sizes))
	}
	v := sq(lot.Own) + sq(lot.Count) + sq(lot.Common)
	for _, t := range lot.Terms {
		v += sq(t.Coef * t.U)
	}
	lot.U = math.Sqrt(v)
	lot.DOF = lot.OwnDOF * sq(v/sq(lot.Own))
	lot.Mass = lot.Density * lot.Volume
}
