package audit

import (
	"math"
	"strings"

	"bayproof/model"
	"bayproof/verify"
)

// Opened is a bay that an inspector opened or looked into after it was judged: a core, or a probe logged after the bay
// was closed.
type Opened struct {
	Section, Bay string
	Before       verify.Verdict // without what the inspector found
	Core         float64        // kg/m³, mean of its cores; NaN where none was taken
	Soft         bool           // a probe found it soft, empty, moving or cold
	Short        bool           // the cores' mean lies below the target, or a probe was not good
}

// OpenedSum sets inspectors' findings against the verdicts.
type OpenedSum struct {
	Bays  int  // opened
	Close Rate // of those that were CLOSE, how many were short
	Hold  Rate // of those that were not CLOSE, how many were short
}

// openedBays finds what inspectors found in a job.
func openedBays(f *verify.Findings) []Opened {
	if !inspected(f) {
		return nil
	}
	blind := *f.Job
	blind.Cores = nil
	before := verify.Check(&blind, verify.Options{Closings: true})
	var out []Opened
	for i := range f.Bays {
		b := &f.Bays[i]
		if b.State != verify.Filled && b.State != verify.Closed {
			continue
		}
		o := Opened{Section: b.Bay.Section.Name, Bay: b.Bay.Name, Before: closedAs(&before.Bays[i]), Core: meanCore(f.Job, b.Bay)}
		probed := false
		probed, o.Soft = probedLater(b.Bay)
		o.Short = o.Soft || o.Core < b.Bay.Section.Settings.Target
		if probed || !math.IsNaN(o.Core) {
			o.Section, o.Bay = strings.Clone(o.Section), strings.Clone(o.Bay)
			out = append(out, o)
		}
	}
	return out
}

// inspected tells whether anyone came back to the job.
func inspected(f *verify.Findings) bool {
	if len(f.Job.Cores) > 0 {
		return true
	}
	for i := range f.Bays {
		if probed, _ := probedLater(f.Bays[i].Bay); probed {
			return true
		}
	}
	return false
}

// probedLater tells whether a `seen` row with a probe stands after the bay was closed, and whether any of them was bad.
func probedLater(b *model.Bay) (probed, soft bool) {
	if len(b.Closed) == 0 {
		return false, false
	}
	for _, e := range b.Rows {
		if e.Kind != model.EntrySeen || e.Probe == model.ProbeNone || e.Index < b.Closed[0].Index {
			continue
		}
		probed = true
		switch e.Probe {
		case model.RodSoft, model.RodEmpty, model.SmokeMoves, model.IRCold:
			soft = true
		}
	}
	return probed, soft
}

// meanCore is the mean density of a bay's cores; test boxes are filled apart from any bay. NaN where there is none.
func meanCore(job *model.Job, b *model.Bay) float64 {
	sum, n := 0.0, 0.0
	for i := range job.Cores {
		c := &job.Cores[i]
		if !strings.EqualFold(c.Bay, b.Name) || !strings.EqualFold(c.Section, b.Section.Name) || strings.Contains(strings.ToLower(c.Kind), "box") {
			continue
		}
		volume := c.Volume
		if math.IsNaN(volume) || volume == 0 {
			volume = math.Pi / 4 * c.Diameter * c.Diameter * c.Depth
		}
		sum, n = sum+c.Mass/volume, n+1
	}
	return sum / n
}

// sumOpened counts over all jobs.
func sumOpened(jobs []*Job) OpenedSum {
	var s OpenedSum
	var short, n [2]int
	for _, j := range jobs {
		for i := range j.Opened {
			k := 0
			if j.Opened[i].Before != verify.Close {
				k = 1
			}
			n[k]++
			if j.Opened[i].Short {
				short[k]++
			}
			s.Bays++
		}
	}
	s.Close, s.Hold = newRate(short[0], n[0]), newRate(short[1], n[1])
	return s
}
