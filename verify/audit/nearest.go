package audit

import (
	"math"
	"slices"

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
	usual         float64 // mean number that agree in the replays; NaN where none were made
	replays       int
	p             float64
	fresh         bool // some section starts each bay from an exact level
}

const (
	leastCounts  = 6      // counts in a section, below which nothing is looked at
	mostReplays  = 20_000 // p is not followed below 1 in so many
	enoughAgree  = 10     // replays that agree as well, after which p is known well enough (Besag and Clifford 1991)
	plainlyAgree = 5      // and so many within the first plainReplays: then nothing is unlikely
	plainReplays = 40
	screenMisses = 0.15  // share of counts that do not agree, above which no replay is made: p = 1
	spreadMedian = 0.035 // τ of an honest crew, relative to its mean: log-normal, the prior of rule process
	spreadLogSD  = 0.7
)

// nearestStep looks at a job's counts.
func nearestStep(f *verify.Findings, lots []lot) nearest {
	out := nearest{usual: math.NaN(), p: math.NaN()}
	var r replay
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
	for _, c := range r.runs {
		out.counts += len(c.count)
		out.fresh = out.fresh || c.counting == model.CountingFresh
		out.agree += c.agreeing(c.count, &r.room)
	}
	if out.p = 1; float64(out.counts-out.agree) > screenMisses*float64(out.counts) {
		return out
	}
	r.random.state = r.seed(f.Job.Name)
	out.p, out.usual, out.replays = r.chance(out.agree)
	return out
}

// counted is a section's counts, in bags, with the volumes of their lots.
type counted struct {
	count, volume []float64
	step          float64
	counting      model.Counting
	perVolume     float64 // bags per m³
	uPerVolume    float64 // relative standard uncertainty of it
}

// replay is the honest repetition of a job's counts.
type replay struct {
	runs   []counted
	room   edges
	seen   []float64
	random source
}

// take keeps a section's counts if they can tell anything: enough of them, and bays that need different counts.
func (r *replay) take(lots []lot) {
	c := counted{step: lots[0].step, counting: lots[0].counting}
	var bags, volume float64
	lo, hi := math.Inf(1), 0.0
	for i := range lots {
		if l := &lots[i]; l.bags > 0 && l.counting == c.counting {
			c.count, c.volume = append(c.count, l.bags), append(c.volume, l.volume)
			bags, volume = bags+l.bags, volume+l.volume
			lo, hi = math.Min(lo, l.volume), math.Max(hi, l.volume)
		}
	}
	n := float64(len(c.count))
	if len(c.count) < leastCounts || !(c.step > 0) {
		return
	}
	c.perVolume = bags / volume
	c.uPerVolume = math.Sqrt((spreadMedian*spreadMedian + c.step*c.step/6*n*n/(bags*bags)) / n)
	if (hi-lo)*c.perVolume >= c.step {
		r.runs = append(r.runs, c)
	}
}

// seed hangs on the job's content alone.
func (r *replay) seed(name string) uint64 {
	h := newHash().text(name)
	for _, c := range r.runs {
		for i := range c.count {
			h = h.float(c.count[i]).float(c.volume[i])
		}
	}
	return h.sum()
}

// agreeing is the largest number of counts that are consistent with one density: a sweep over the intervals
// (c ± q/2)/V, at whose beginnings most agree.
func (c *counted) agreeing(count []float64, r *edges) int {
	half := c.step/2 + 1e-9
	r.from, r.to = r.from[:0], r.to[:0]
	for i, n := range count {
		r.from, r.to = append(r.from, (n-half)/c.volume[i]), append(r.to, (n+half)/c.volume[i])
	}
	slices.Sort(r.from)
	slices.Sort(r.to)
	most, over := 0, 0
	for i, x := range r.from {
		for r.to[over] < x {
			over++
		}
		most = max(most, i+1-over)
	}
	return most
}

// edges are where densities begin and cease to be consistent with counts.
type edges struct{ from, to []float64 }

// chance is how often an honest crew's counts agree at least as well: sequential Monte Carlo, which stops once that is
// known well enough. The estimate is never below what was shown.
func (r *replay) chance(agree int) (p, usual float64, replays int) {
	hits, sum := 0, 0
	for replays < mostReplays && hits < enoughAgree && !(hits >= plainlyAgree && replays <= plainReplays) {
		replays++
		spread := spreadMedian * math.Exp(spreadLogSD*r.random.normal())
		k := 0
		for i := range r.runs {
			k += r.again(&r.runs[i], spread)
		}
		sum += k
		if k >= agree {
			hits++
		}
	}
	usual = float64(sum) / float64(replays)
	if hits >= plainlyAgree && replays < mostReplays {
		return float64(hits) / float64(replays), usual, replays
	}
	return float64(hits+1) / float64(replays+1), usual, replays
}

// again fills a section's bays anew with the given spread between them, reads the hopper as the job does, and returns how
// many counts agree.
func (r *replay) again(c *counted, spread float64) int {
	r.seen = r.seen[:0]
	mean := c.perVolume * (1 + c.uPerVolume*r.random.normal())
	level := 100 * r.random.uniform()
	before := nearStep(level, c.step)
	for _, v := range c.volume {
		need := math.Max(0, mean*v*(1+spread*r.random.normal()))
		switch c.counting {
		case model.CountingFresh:
			r.seen = append(r.seen, nearStep(need, c.step))
			continue
		case model.CountingRunning:
			level += need
		default:
			level = 100 * r.random.uniform()
			before = nearStep(level, c.step)
			level += need
		}
		after := nearStep(level, c.step)
		r.seen = append(r.seen, after-before)
		before = after
	}
	return c.agreeing(r.seen, &r.room)
}

func nearStep(x, step float64) float64 { return math.Round(x/step) * step }
