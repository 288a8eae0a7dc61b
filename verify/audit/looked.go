package audit

import (
	"math"
	"slices"
	"strings"

	"bayproof/model"
	"bayproof/verify"
	"bayproof/verify/stat"
)

// looked is what was looked at in one job. A probability of NaN was not looked at; 1 was, and nothing was found.
type looked struct {
	nearest    nearest
	step       steps
	bags       float64 // bags loaded and not left, against those logged: probability; NaN where nobody counted
	bought     float64
	logged     float64
	stalls, no int // bays of which it is said whether the flow stalled, and those where it did not
	timed      int // rows with a time, of a job with a date
	late       bool
	judged     int     // filled bays
	raised     int     // amended after a verdict that was not CLOSE, to a higher density
	digits     *digits // nil where nothing was looked at
	empties    []emptied
}

// steps is what is known about the recording step: the stated one, and the one that the log shows.
type steps struct {
	stated, shown float64 // bags
	odd, counts   float64
	p             float64
	section       string
}

// emptied is a section whose empties were counted.
type emptied struct {
	section         string
	counted, logged float64
	p               float64
}

// look goes over what can be implausible in one job alone, and keeps what is compared with others.
func (j *Job) look(f *verify.Findings) {
	l := &j.looked
	l.bags = math.NaN()
	l.step.p = math.NaN()
	room := scratches.Get().(*scratch)
	defer scratches.Put(room)
	room.lots = lotsOf(room.lots[:0], f)
	lots := room.lots
	l.nearest = room.replay.nearestStep(f, lots)
	l.digits = lastDigits(f, lots)
	j.lookSteps(f, lots)
	j.lookBags(f)
	j.lookHabits(f)
	j.rows = room.rows.measuredRows(f)
	j.photos = photosOf(f)
}

// lookSteps takes what the measurement found out about the stated step.
func (j *Job) lookSteps(f *verify.Findings, lots []lot) {
	if len(lots) == 0 {
		return
	}
	s := steps{p: 1}
	for i := range f.Warnings {
		w := &f.Warnings[i]
		if w.Code == verify.StepDoubled && value(w.Data, "prob") < s.p {
			s = steps{value(w.Data, "stated"), value(w.Data, "used"), value(w.Data, "odd"), value(w.Data, "counts"), value(w.Data, "prob"), cloned(w.Section)}
		}
	}
	j.looked.step = s
}

// lookBags sets bags loaded and not left against those logged, and empties counted against their section's.
func (j *Job) lookBags(f *verify.Findings) {
	l := &j.looked
	if x := f.Totals.UnaccountedBags; !math.IsNaN(x) {
		l.bags, l.bought = 1, f.Job.Settings.BagsLoaded-f.Job.Settings.BagsLeft
		l.logged = l.bought - x
	}
	for i := range f.Warnings {
		if w := &f.Warnings[i]; w.Code == verify.BagsUnaccounted {
			l.bags = twoSided(value(w.Data, "z"))
		}
	}
	for i := range f.Sections {
		s := &f.Sections[i]
		if math.IsNaN(s.Section.BagsUsed) {
			continue
		}
		e := emptied{p: 1}
		for _, r := range s.Reasons {
			if r.Code == verify.EmptiesDiffer {
				e = emptied{cloned(s.Section.Name), value(r.Data, "counted"), value(r.Data, "logged"), twoSided(value(r.Data, "z"))}
			}
		}
		l.empties = append(l.empties, e)
	}
}

// lookHabits counts what is only telling beside other crews: stalls, late times, amendments after a verdict.
func (j *Job) lookHabits(f *verify.Findings) {
	l := &j.looked
	for i := range f.Bays {
		b := &f.Bays[i]
		if b.State != verify.Filled && b.State != verify.Closed {
			continue
		}
		l.judged++
		switch stallOf(b.Bay) {
		case model.Yes:
			l.stalls++
		case model.No:
			l.stalls++
			l.no++
		}
		for _, a := range b.Amended {
			if a.OldVerdict != verify.Close && a.NewDensity > a.OldDensity*(1+1e-6) {
				l.raised++
				break
			}
		}
	}
	l.late = l.timesAfter(f.Job)
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

// timesAfter tells whether every time of the log lies after the job's day.
func (l *looked) timesAfter(job *model.Job) bool {
	day := job.Settings.Date
	if day == "" {
		return false
	}
	late := true
	for i := range job.Log {
		if t := job.Log[i].Time; !t.IsZero() {
			l.timed++
			late = late && t.Format("2006-01-02") > day
		}
	}
	return late && l.timed > 0
}

func value(data []verify.Datum, key string) float64 {
	for i := range data {
		if data[i].Key == key {
			return data[i].Value
		}
	}
	return math.NaN()
}

// twoSided is the chance of a normal deviate at least as far from nought as z.
func twoSided(z float64) float64 { return math.Erfc(math.Abs(z) / math.Sqrt2) }

// lot is one mass that one row brought, and the bays that it filled.
type lot struct {
	section  int
	volume   float64 // m³, as measured
	bags     float64 // counted in steps; NaN where it was weighed or carries a part bag
	mass     float64 // kg as weighed, of a whole lot or of a part bag; NaN where nothing was weighed
	step     float64 // bags: the step that the log shows
	counting model.Counting
	follows  bool // its count starts where the one before ended
	order    int
}

// lotsOf adds the lots that exactly one row filled, by section in fill order.
func lotsOf(out []lot, f *verify.Findings) []lot {
	out = slices.Grow(out, len(f.Bays))
	used := stepsUsed(f)
	last := 0
	for i := range f.Bays {
		b := &f.Bays[i]
		if b.State != verify.Filled && b.State != verify.Closed || b.Bay.Fill == nil || len(b.Bay.Moves) != 1 {
			continue
		}
		m := &b.Bay.Moves[0].Material
		if m.Shared || !math.IsNaN(m.Within) {
			continue
		}
		last = sectionAt(f, b.Bay.Section, last)
		l := lot{section: last, volume: b.Volume, bags: math.NaN(), mass: math.NaN(), step: used[last], counting: b.Bay.Section.Settings.Counting, order: b.Bay.Order}
		if !l.take(m) || !l.gather(f, b) {
			continue
		}
		out = append(out, l)
	}
	return out
}

// take reads a row's material.
func (l *lot) take(m *model.Material) bool {
	switch m.Kind {
	case model.MaterialBags:
		l.bags = m.Bags
		if m.Part != 0 {
			l.bags, l.mass = math.NaN(), math.Abs(m.Part)
		}
	case model.MaterialCounter:
		l.bags, l.counting, l.follows = m.Bags-m.Prev, model.CountingRunning, true
	case model.MaterialWeight:
		l.mass = m.Mass
	}
	return l.bags > 0 || l.mass > 0
}

// gather adds the volumes of the bays that share the count.
func (l *lot) gather(f *verify.Findings, b *verify.Bay) bool {
	for _, o := range b.SharedWith {
		l.volume += o.Volume()
		if len(o.Moves) > 1 {
			return false
		}
	}
	return l.volume > 0
}

// stepsUsed are the steps of the sections as the log shows them.
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

func cloned(s string) string { return strings.Clone(s) }

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

// A habit is only telling beside the habits of others: k in n of one crew against what the other crews' rates, fitted
// without it, let expect (beta-binomial).
type habit struct {
	names []string // crews
	jobs  [][]int
	k, n  []int
	all   *stat.BetaPrior // fitted to all groups, where they are too many to leave each out in turn
}

// fewCrews is the number below which jobs stand for themselves.
const fewCrews = 3

// mostFitted is the number of groups up to which each is left out in turn.
const mostFitted = 400

// habitOf counts over crews, or over jobs where there are only a few crews.
func habitOf(jobs []*Job, of func(*looked) (k, n int)) habit {
	crews := map[string]int{}
	for _, j := range jobs {
		crews[j.Crew] = 0
	}
	delete(crews, "")
	byCrew := len(crews) >= fewCrews
	clear(crews)
	var h habit
	for i, j := range jobs {
		k, n := of(&j.looked)
		if n == 0 || byCrew && j.Crew == "" {
			continue
		}
		at, known := crews[j.Crew]
		if !byCrew || !known {
			at = len(h.k)
			crews[j.Crew] = at
			name := ""
			if byCrew {
				name = j.Crew
			}
			h.names, h.jobs, h.k, h.n = append(h.names, name), append(h.jobs, nil), append(h.k, 0), append(h.n, 0)
		}
		h.jobs[at] = append(h.jobs[at], i)
		h.k[at], h.n[at] = h.k[at]+k, h.n[at]+n
	}
	return h
}

// chances: atLeast is the chance of k or more in n of group i, and others that of nought; rate is the others' mean.
func (h *habit) chances(i int) (atLeast, none, rate float64) {
	prior := h.without(i)
	rate = prior.Alpha / (prior.Alpha + prior.Beta)
	below := 0.0
	for x := range h.k[i] {
		below += betaBinomial(prior, x, h.n[i])
	}
	return math.Max(0, 1-below), betaBinomial(prior, 0, h.n[i]), rate
}

// without fits the rates of all groups but one.
func (h *habit) without(i int) stat.BetaPrior {
	if len(h.k) > mostFitted {
		if h.all == nil {
			prior := stat.FitRates(h.k, h.n)
			h.all = &prior
		}
		return *h.all
	}
	k := append(append([]int(nil), h.k[:i]...), h.k[i+1:]...)
	n := append(append([]int(nil), h.n[:i]...), h.n[i+1:]...)
	return stat.FitRates(k, n)
}

// betaBinomial is the probability of k in n where the rate has the beta distribution b.
func betaBinomial(b stat.BetaPrior, k, n int) float64 {
	x, m := float64(k), float64(n)
	return math.Exp(lgamma(m+1) - lgamma(x+1) - lgamma(m-x+1) +
		lgamma(x+b.Alpha) + lgamma(m-x+b.Beta) - lgamma(m+b.Alpha+b.Beta) -
		lgamma(b.Alpha) - lgamma(b.Beta) + lgamma(b.Alpha+b.Beta))
}

func lgamma(x float64) float64 {
	v, _ := math.Lgamma(x)
	return v
}
