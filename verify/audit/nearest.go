package audit

import (
	"math"

	"bayproof/model"
	"bayproof/verify"
)

// Bags worked backwards from a density are each the nearest step to one density times the bay's volume. The statistic is
// the largest number of lots of a section whose counts, each taken as within half a step, agree on one density. An honest
// crew's bays scatter, and a count read at both ends falls to either side of what went in: fewer agree. How often honest
// readings agree as well is found by replaying the same bays with the job's own way of counting. Like bays replayed agree
// with one another too: they prove nothing.
//
// From a full hopper there is no reading error that would part an even crew from one that works backwards: it packs evenly in
// job after job, so its jobs are one piece of evidence and not many. Such jobs stand for themselves, never for a habit.

// nearest is the outcome for one job.
type nearest struct {
	counts, agree int
	usual         float64 // mean number that agree in the replays; NaN where p is too great to be told
	replays       int
	p             float64
	fresh         bool // some section starts each bay from an exact level
}

const (
	leastCounts  = 6    // counts in a section, below which nothing is looked at
	usualReplays = 100  // replays that tell what is usual, to a fifth of a count
	screenMisses = 0.15 // share of counts that do not agree, above which no replay is made: p = 1
)

// nearestStep looks at a job's counts.
func (r *replay) nearestStep(f *verify.Findings, lots []lot) nearest {
	out := nearest{usual: math.NaN(), p: math.NaN()}
	r.start(len(lots))
	for from := 0; from < len(lots); {
		to := from
		for to < len(lots) && lots[to].section == lots[from].section {
			to++
		}
		r.take(lots[from:to])
		from = to
	}
	if len(r.runs) == 0 {
		return out
	}
	for i := range r.runs {
		out.counts += len(r.runs[i].count)
		out.fresh = out.fresh || r.runs[i].counting == model.CountingFresh
	}
	most, missed := int(screenMisses*float64(out.counts)), 0
	for i := range r.runs {
		missed += r.runs[i].missing(r.runs[i].count, most-missed, &r.room)
	}
	if out.p = 1; missed > most {
		return out
	}
	out.agree = out.counts - missed
	seed := r.seed(f.Job.Name)
	r.random.state = seed
	out.p, out.replays = sequential(func() bool { return r.again(missed) <= missed })
	if out.p <= FalseRate { // it may come to be told
		r.random.state = seed
		out.usual = r.usual(min(out.replays, usualReplays))
	}
	return out
}
