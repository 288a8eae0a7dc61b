package audit

import (
	"math"

	"bayproof/model"
	"bayproof/verify"
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
