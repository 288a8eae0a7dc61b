package audit

import (
	"math"

	"bayproof/model"
	"bayproof/verify"
)

// Last digits are looked at in weighed masses only: a scale has no favourites, so its digits are even where masses scatter
// by several of its steps. Of no other reading can that be said of an honest crew:
//
//   - width, depth and length are made, not drawn: sawn timber has one depth, framing keeps to a module, rafters are cut by
//     one pattern. Their fractions are the builder's, and a tape read by eye falls on halves and quarters before eighths.
//     Beside other crews a crew that works in one kind of house would stand out as honestly as one that invents;
//   - repeats of one size agree wherever the timber is even or the second reading is taken at the same place, and how often
//     that is so differs from crew to crew with nothing to bound it;
//   - bags and counters in fractions are read by eye: halves before quarters is what coarse-step looks at, with a stated
//     step of its own. In hundredths they are masses divided by the bag's weight, whose digits lie on that lattice.
//
// What can be said of these is said by the steps that the log shows (coarse-step), by counts that agree with one density
// (nearest-step) and by rows that stand twice (copied-rows).

// digits are the last digits of a job's weighed masses, in units of the step that they were recorded to. The step is read
// off the values: zeros at the end that a file drops are no digits, and a scale that shows fifths has no odd ones.
type digits struct {
	step   float64 // in the job's unit of mass
	values int
	of     [10]int
}

const (
	leastWeighed = 5   // values in a job below which their step cannot be read off
	evenSpread   = 5.0 // steps that the masses must scatter by for last digits to be even: then the first harmonic is below 1 %
)

// lastDigits gathers a job's last digits if honest ones would be even.
func lastDigits(f *verify.Findings, lots []lot) *digits {
	unit := model.Pound
	if f.Job.Settings.Units == model.SI {
		unit = 1
	}
	var values []float64
	var volume, mass float64
	for i := range lots {
		if l := &lots[i]; l.mass > 0 {
			values = append(values, l.mass/unit)
			volume, mass = volume+l.volume, mass+l.mass/unit
		}
	}
	if len(values) < leastWeighed {
		return nil
	}
	d := &digits{step: recordedStep(values), values: len(values)}
	if d.step == 0 || scatter(lots, unit, mass/volume) < evenSpread*d.step {
		return nil
	}
	for _, v := range values {
		d.of[int(math.Round(v/d.step))%10]++
	}
	return d
}

// recordedStep is the coarsest of the steps that scales show of which every value is a multiple; 0 where none is.
func recordedStep(values []float64) float64 {
	for _, step := range [...]float64{5, 2, 1, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01} {
		all := true
		for _, v := range values {
			n := v / step
			all = all && math.Abs(n-math.Round(n)) < 1e-4
		}
		if all {
			return step
		}
	}
	return 0
}

// scatter is how far the weighed masses lie from one density times the volume; part bags, which may be anything, from
// their mean.
func scatter(lots []lot, unit, density float64) float64 {
	sum, n := 0.0, 0
	for i := range lots {
		if l := &lots[i]; l.mass > 0 {
			d := l.mass/unit - density*l.volume
			sum, n = sum+d*d, n+1
		}
	}
	return math.Sqrt(sum / float64(n))
}
