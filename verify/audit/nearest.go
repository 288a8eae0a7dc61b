package audit

import (
	"math"
	"slices"

	"bayproof/model"
	"bayproof/verify"
	"bayproof/verify/crew"
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
	leastCounts  = 6      // counts in a section, below which nothing is looked at
	mostReplays  = 20_000 // p is not followed below 1 in so many
	enoughAgree  = 10     // replays that agree as well, after which p is known well enough (Besag and Clifford 1991)
	plainlyAgree = 5      // and so many within the first plainReplays: then nothing is unlikely
	plainReplays = 40
	screenMisses = 0.15 // share of counts that do not agree, above which no replay is made: p = 1
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
	out.p, out.replays = r.chance(missed)
	if out.p <= FalseRate { // it may come to be told
		r.random = source{state: seed}
		out.usual = r.usual(out.replays)
	}
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
	if len(lots) < leastCounts {
		return
	}
	c := counted{step: lots[0].step, counting: lots[0].counting}
	c.count, c.volume = make([]float64, 0, len(lots)), make([]float64, 0, len(lots))
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
	c.uPerVolume = math.Sqrt((crew.SpreadMedian*crew.SpreadMedian + c.step*c.step/6*n*n/(bags*bags)) / n)
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

// missing is the number of counts that do not agree, as long as it is at most so many; else it is greater, no matter by how
// much. Then of the beginnings only the last most + 1 can be where most agree, and of the ends only the first most + 1 can
// lie before them: nothing else need be sorted.
func (c *counted) missing(count []float64, most int, r *edges) int {
	switch {
	case most < 0:
		return len(count)
	case most > mostKept:
		return len(count) - c.agreeing(count, r)
	}
	half := c.step/2 + 1e-9
	r.from, r.to = r.from[:0], r.to[:0]
	for i, n := range count {
		if x := (half - n) / c.volume[i]; len(r.from) <= most || x < r.from[most] {
			r.from = keepLeast(r.from, x, most+1)
		}
		if x := (n + half) / c.volume[i]; len(r.to) <= most || x < r.to[most] {
			r.to = keepLeast(r.to, x, most+1)
		}
	}
	least, ended := most+1, len(r.to)
	for above, x := range r.from { // from the last beginning down
		for ended > 0 && r.to[ended-1] >= -x {
			ended--
		}
		least = min(least, above+ended)
	}
	return least
}

// mostKept is the number of edges above which sorting all of them takes no longer.
const mostKept = 32

// keepLeast puts x in its place among the n least seen, in rising order.
func keepLeast(list []float64, x float64, n int) []float64 {
	if len(list) < n {
		list = append(list, x)
	}
	at := len(list) - 1
	for ; at > 0 && x < list[at-1]; at-- {
		list[at] = list[at-1]
	}
	list[at] = x
	return list
}

// edges are where densities begin and cease to be consistent with counts. missing keeps the beginnings negative.
type edges struct{ from, to []float64 }

// chance is how often an honest crew's counts agree at least as well: sequential Monte Carlo, which stops once that is
// known well enough. The estimate is never below what was shown.
func (r *replay) chance(missed int) (p float64, replays int) {
	hits := 0
	for replays < mostReplays && hits < enoughAgree && !(hits >= plainlyAgree && replays <= plainReplays) {
		replays++
		if r.again(missed) <= missed {
			hits++
		}
	}
	if hits >= plainlyAgree && replays < mostReplays {
		return float64(hits) / float64(replays), replays
	}
	return float64(hits+1) / float64(replays+1), replays
}

// usual is how many counts agree in the mean of so many replays.
func (r *replay) usual(replays int) float64 {
	sum := 0
	for range replays {
		spread := r.spread()
		for i := range r.runs {
			r.fill(&r.runs[i], spread)
			sum += r.runs[i].agreeing(r.seen, &r.room)
		}
	}
	return float64(sum) / float64(replays)
}

// again fills all sections' bays anew and returns how many counts do not agree, or more than most where more do not.
func (r *replay) again(most int) int {
	spread, missed := r.spread(), 0
	for i := range r.runs {
		r.fill(&r.runs[i], spread)
		missed += r.runs[i].missing(r.seen, most-missed, &r.room)
	}
	return missed
}

// spread draws how far an honest crew's bays scatter.
func (r *replay) spread() float64 {
	return crew.SpreadMedian * math.Exp(crew.SpreadLogSD*r.random.normal())
}

// fill fills a section's bays anew with the given spread between them and reads the hopper as the job does.
func (r *replay) fill(c *counted, spread float64) {
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
}

func nearStep(x, step float64) float64 { return math.Round(x/step) * step }
