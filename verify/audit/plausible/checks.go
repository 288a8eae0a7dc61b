// What is looked at in one job: counts, weights, steps, totals, last digits, and what is counted
// for habits.

package plausible

import (
	"iter"
	"math"
	"slices"
	"strings"

	"bayproof/model"
	"bayproof/verify"
)

// checks is what was looked at in one job to tell whether it is plausible. A p-value of NaN was not
// looked at; 1 was, and nothing was found.
type checks struct {
	counts     agreement
	weights    closeness
	step       stepCheck
	bags       float64        // bags loaded and not left, against those logged: probability
	bought     float64        // bags that left the truck: loaded less left
	logged     float64        // bags in the log
	empties    []emptiesCheck // of the sections whose empties were counted
	over       totalDiff      // what the log holds more than the totals that were counted
	digits     *digits        // nil where nothing was looked at
	stalls, no int            // bays of which it is said whether the flow stalled, and those where it did not
	timed      int            // rows with a time, of a job with a date
	late       bool           // all of these lie after the day
	judged     int            // filled bays
	raised     int            // amended after a verdict that was not CLOSE, to a higher density
}

// stepCheck is what is known about the recording step: the stated one, and the one that the log
// shows. A crew that states quarter bags and reads halves looks surer than it is.
type stepCheck struct {
	stated, shown float64 // bags
	odd, counts   float64 // counts at odd multiples of the stated step, and all
	p             float64
	section       string
}

// emptiesCheck sets a section's empties against the bags logged for it.
type emptiesCheck struct {
	section         string
	counted, logged float64 // bags
	p               float64
}

// checksOf goes over what can be implausible in one job, alone or beside others.
func checksOf(f *verify.Findings) *checks {
	lots := lotsOf(f)
	unit := model.Pound
	if f.Job.Settings.Units == model.SI {
		unit = 1
	}
	c := &checks{counts: agreementOf(lots, f.Job.Settings.Bag(), f.Job.Settings.Crew != ""), weights: closenessOf(lots, unit), step: stepCheck{p: math.NaN()}, digits: lastDigits(f, lots)}
	if len(lots) > 0 {
		c.step.p = 1 // looked at; a section where the log speaks against the stated step makes it less
	}
	for i := range f.Warnings {
		w := &f.Warnings[i]
		if w.Code == verify.StepDoubled && value(w.Data, "prob") < c.step.p {
			c.step = stepCheck{value(w.Data, "stated"), value(w.Data, "used"), value(w.Data, "odd"), value(w.Data, "counts"), value(w.Data, "prob"), strings.Clone(w.Section)}
		}
	}
	c.bagsAndEmpties(f)
	c.total(f)
	c.habits(f)
	return c
}

// bagsAndEmpties sets bags loaded and not left against those logged, and empties counted against
// their section's. Where the readings do not explain a difference, a reason or a warning of the
// findings carries it in standard uncertainties, z, and p is two-sided; else p is 1.
func (c *checks) bagsAndEmpties(f *verify.Findings) {
	c.bags = math.NaN()
	if x := f.Totals.UnaccountedBags; !math.IsNaN(x) {
		c.bags, c.bought = 1, f.Job.Settings.BagsLoaded-f.Job.Settings.BagsLeft
		c.logged = c.bought - x
	}
	for _, r := range f.Totals.Reasons {
		if r.Code == verify.TotalsShort {
			c.bags = twoSided(value(r.Data, "z"))
		}
	}
	over := map[string][]verify.Datum{} // by section
	for i := range f.Warnings {
		if w := &f.Warnings[i]; w.Code == verify.TotalsOver && w.Section == "" && !math.IsNaN(c.bags) {
			c.bags = twoSided(value(w.Data, "z"))
		} else if w.Code == verify.TotalsOver {
			over[w.Section] = w.Data
		}
	}
	for i := range f.Sections {
		s := &f.Sections[i]
		if math.IsNaN(s.Emptied) {
			continue
		}
		data := over[s.Section.Name]
		for _, r := range s.Reasons {
			if r.Code == verify.TotalsShort {
				data = r.Data
			}
		}
		e := emptiesCheck{p: 1}
		if data != nil {
			e = emptiesCheck{strings.Clone(s.Section.Name), value(data, "counted"), value(data, "logged"), twoSided(value(data, "z"))}
		}
		c.empties = append(c.empties, e)
	}
}

// totalDiff is by how much a job's log exceeds what its totals say went in, with its variance uu.
type totalDiff struct {
	known        bool
	excess, uu   float64 // bags, bags²
	logged, bays float64 // bags, and bays that were counted
}

// total sets all counts of a job against its total: excess = logged − emptied, in bags. Its
// variance is q²/6 for every count read at both ends and q²/12 for one from a full hopper, q the
// stated step; 1/3 for the part bag of the total (rectangular ±1). From full hoppers like bays
// round the same way: 0.3 of half a step each, the prior's habit, is common to all, and the square
// of their sum over 3 is added. Counters add nothing but their total's.
func (c *checks) total(f *verify.Findings) {
	if math.IsNaN(f.Totals.Emptied) {
		return
	}
	d := totalDiff{known: true, uu: 1.0 / 3}
	common := 0.0
	for i := range f.Bays {
		b := &f.Bays[i]
		if !b.Judged() || b.Bay.Fill == nil {
			continue
		}
		q := b.Bay.Section.Settings.BagStep
		switch m := &b.Bay.Fill.Material; {
		case m.Kind != model.MaterialBags:
		case b.Bay.Section.Settings.Counting == model.CountingFresh:
			d.uu, common, d.bays = d.uu+q*q/12, common+0.3*q/2, d.bays+1
		default:
			d.uu, d.bays = d.uu+q*q/6, d.bays+1
		}
	}
	d.uu += common * common / 3
	d.logged = f.Totals.Bags
	d.excess = d.logged - f.Totals.Emptied
	c.over = d
}

// habits counts what is only telling beside other crews: stalls, late times, amendments after a
// verdict. A bay may honestly be amended upwards once, and a day's log be typed in the evening;
// what is looked for is a crew that does so more than others.
func (c *checks) habits(f *verify.Findings) {
	for i := range f.Bays {
		b := &f.Bays[i]
		if b.State != verify.Filled && b.State != verify.Closed {
			continue
		}
		c.judged++
		switch stallOf(b.Bay) {
		case model.Yes:
			c.stalls++
		case model.No:
			c.stalls++
			c.no++
		}
		for _, a := range b.Amended {
			if a.OldVerdict != verify.Close && a.NewDensity > a.OldDensity*(1+1e-6) {
				c.raised++
				break
			}
		}
	}
	day := f.Job.Settings.Date
	if day == "" {
		return
	}
	c.late = true
	for i := range f.Job.Log {
		if t := f.Job.Log[i].Time; !t.IsZero() {
			c.timed++
			c.late = c.late && t.Format("2006-01-02") > day
		}
	}
	c.late = c.late && c.timed > 0
}

// stallOf is No where any row said so: a later top-up that stalled does not unsay it.
func stallOf(b *model.Bay) model.Answer {
	said := model.Unsaid
	for _, e := range b.Rows {
		if e.Stall == model.No {
			return model.No
		}
		if e.Stall == model.Yes {
			said = model.Yes
		}
	}
	return said
}

// value returns the number of a key; NaN where there is none.
func value(data []verify.Datum, key string) float64 {
	for i := range data {
		if data[i].Key == key {
			return data[i].Value
		}
	}
	return math.NaN()
}

// twoSided returns the chance of a normal deviate at least as far from 0 as z: 2·Φ(−|z|) =
// erfc(|z|/√2).
func twoSided(z float64) float64 { return math.Erfc(math.Abs(z) / math.Sqrt2) }

// lot is one mass that one row brought, and the bays that it filled. Bays filled by several rows
// are left out: their readings hang together in ways that a replay would have to guess.
type lot struct {
	section  int     // its place among the findings'
	volume   float64 // m³, as measured
	bags     float64 // counted in steps; NaN where it was weighed or carries a part bag
	mass     float64 // kg as weighed, of a whole lot or of a part bag; NaN where nothing was weighed
	whole    float64 // kg of a whole lot that was weighed; 0 else
	tape     float64 // the sum of (tape's step over size)² over the sizes that vary from bay to bay, see tapeOf
	step     float64 // bags: the step that the log shows
	counting model.Counting
}

// lotsOf returns the lots that exactly one row filled, by section in fill order. Bays filled by
// several rows are left out: their readings hang together in ways that nobody could replay.
func lotsOf(f *verify.Findings) []lot {
	out := make([]lot, 0, len(f.Bays))
	var tapes []tapeSteps
	used := stepsUsed(f)
	for i := range f.Bays {
		b := &f.Bays[i]
		if b.State != verify.Filled && b.State != verify.Closed || b.Bay.Fill == nil || len(b.Bay.Moves) != 1 {
			continue
		}
		m := &b.Bay.Moves[0].Material
		if m.Shared || !math.IsNaN(m.Within) {
			continue
		}
		at := f.SectionAt(b.Bay.Section)
		l := lot{section: at, volume: b.Volume, bags: math.NaN(), mass: math.NaN(), step: used[at], counting: b.Bay.Section.Settings.Counting}
		for _, o := range b.Bay.SharedWith {
			l.volume += o.Volume()
		}
		byOneRow := !slices.ContainsFunc(b.Bay.SharedWith, func(o *model.Bay) bool { return len(o.Moves) > 1 })
		if l.take(m) && byOneRow && l.volume > 0 {
			if l.whole > 0 {
				if tapes == nil {
					tapes = tapesOf(f)
				}
				l.tape = tapes[at].of(b.Bay)
			}
			out = append(out, l)
		}
	}
	return out
}

// bySection goes through the lots section by section.
func bySection(lots []lot) iter.Seq[[]lot] {
	return func(yield func([]lot) bool) {
		for from := 0; from < len(lots); {
			to := from
			for to < len(lots) && lots[to].section == lots[from].section {
				to++
			}
			if !yield(lots[from:to]) {
				return
			}
			from = to
		}
	}
}

// take reads a row's material, and tells whether there is any. A part bag that was weighed is no
// count in steps: only the part's mass is kept, for its digits.
func (l *lot) take(m *model.Material) bool {
	switch m.Kind {
	case model.MaterialBags:
		l.bags = m.Bags
		if m.Part != 0 {
			l.bags, l.mass = math.NaN(), math.Abs(m.Part)
		}
	case model.MaterialCounter:
		l.bags, l.counting = m.Bags-m.Prev, model.CountingRunning
	case model.MaterialWeight:
		l.mass, l.whole = m.Mass, m.Mass
	}
	return l.bags > 0 || l.mass > 0
}

// tapeSteps is the step in m to which a section's widths and depths were read, where they vary so
// that reading them to a step leaves an error: three values or more. 0 where they do not: sawn
// timber is what it is.
type tapeSteps [2]float64

// tapesOf finds the steps from the first readings of the sections' bays: the coarsest of 1/2 to
// 1/16 in of which all are multiples.
func tapesOf(f *verify.Findings) []tapeSteps {
	out := make([]tapeSteps, len(f.Sections))
	values := make([][2][]float64, len(f.Sections))
	for i := range f.Bays {
		b := f.Bays[i].Bay
		if len(b.Pieces) == 0 {
			continue
		}
		at := f.SectionAt(b.Section)
		for d, r := range [...]*model.Reading{&b.Pieces[0].Width, &b.Pieces[0].Depth} {
			if r.State == model.Measured && len(r.Values) == 1 && !slices.Contains(values[at][d], r.Values[0]) {
				values[at][d] = append(values[at][d], r.Values[0])
			}
		}
	}
	for i := range out {
		for d, list := range values[i] {
			if len(list) < 3 {
				continue
			}
			inches := make([]float64, len(list))
			for k, v := range list {
				inches[k] = v / model.Inch
			}
			for _, step := range [...]float64{0.5, 0.25, 0.125, 0.0625} {
				if !slices.ContainsFunc(inches, func(x float64) bool { return math.Abs(x/step-math.Round(x/step)) > 1e-4 }) {
					out[i][d] = step * model.Inch
					break
				}
			}
		}
	}
	return out
}

// of returns the sum of (step/size)² over width and depth of a bay: twelve times the relative
// variance that rounding leaves in its volume. 0 where a size is missing.
func (t tapeSteps) of(b *model.Bay) float64 {
	p := b.Pieces[0]
	w, d := t[0]/p.Width.Mean(), t[1]/p.Depth.Mean()
	if !(w*w+d*d >= 0) {
		return 0
	}
	return w*w + d*d
}

// stepsUsed returns the steps of the sections as the log shows them, in bags: the stated one, or
// the coarser one that the measurement used where the counts spoke against the stated one.
func stepsUsed(f *verify.Findings) []float64 {
	out := make([]float64, len(f.Sections))
	for i := range f.Sections {
		out[i] = f.Sections[i].Section.Settings.BagStep
	}
	for i := range f.Warnings {
		w := &f.Warnings[i]
		if w.Code != verify.StepDoubled {
			continue
		}
		for s := range f.Sections {
			if f.Sections[s].Section.Name == w.Section {
				out[s] = value(w.Data, "used")
			}
		}
	}
	return out
}

// Last digits are looked at in weighed masses only: a scale has no favorites, so its digits are
// even where masses scatter by several of its steps. Of no other reading can that be said of an
// honest crew:
//
//   - width, depth and length are made, not drawn: sawn timber has one depth, framing keeps to a
//     module, rafters are cut by one pattern. Their fractions are the builder's, and a tape read by
//     eye falls on halves and quarters before eighths. Beside other crews a crew that works in one
//     kind of house would stand out as honestly as one that invents;
//   - repeats of one size agree wherever the timber is even or the second reading is taken at the
//     same place, and how often that is so differs from crew to crew with nothing to bound it;
//   - bags and counters in fractions are read by eye: halves before quarters is what coarse-step
//     looks at, with a stated step of its own. In hundredths they are masses divided by the bag's
//     weight, whose digits lie on that lattice.
//
// What can be said of these is said by the steps that the log shows (coarse-step), by counts that
// agree with one density (nearest-step) and by rows that stand twice (copied-rows).

// digits are the last digits of a job's weighed masses, in units of the step that they were
// recorded to. The step is read off the values: zeros at the end that a file drops are no digits,
// and a scale that shows fifths has no odd ones.
type digits struct {
	step   float64 // in the job's unit of mass
	values int     // how many digits
	of     [10]int // by digit
}

const (
	leastWeighed = 5   // values in a job below which their step cannot be read off
	evenSpread   = 5.0 // steps that the masses must scatter by for last digits to be even: then the first harmonic is below 1 %
)

// lastDigits gathers a job's last digits, each mass over its step modulo 10, if honest ones would
// be even; nil where they would not, or where there are too few masses. They are even where masses
// scatter by several steps: the k-th harmonic of their distribution, period ten steps, is
// exp(−2π²·k²·σ²/(10·step)²) of the mean for a normal spread σ.
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

// recordedStep returns the coarsest of the steps that scales show of which every value is a
// multiple; 0 where none is.
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

// scatter returns the root mean square, in the job's unit of mass, of what the weighed masses m
// differ by from one density ρ times the volume V, √(Σ (m − ρ·V)²/n); density in the job's unit per
// m³. Part bags may be anything and scatter by more.
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
