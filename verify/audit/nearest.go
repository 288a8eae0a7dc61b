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

// replay is the honest repetition of a job's counts. It may be started again with another job.
type replay struct {
	runs    []counted
	numbers []float64 // counts and volumes of the runs
	seen    []float64
	room    edges
	random  source
}

// start makes room for so many lots.
func (r *replay) start(lots int) {
	if cap(r.numbers) < 2*lots {
		r.numbers = make([]float64, 0, 2*lots)
	}
	r.runs, r.numbers = r.runs[:0], r.numbers[:0]
}

// take keeps a section's counts if they can tell anything: enough of them, and bays that need different counts.
func (r *replay) take(lots []lot) {
	if len(lots) < leastCounts {
		return
	}
	c := counted{step: lots[0].step, counting: lots[0].counting}
	c.count, c.volume = r.empty(len(lots)), r.empty(len(lots))
	var bags, volume float64
	lo, hi := math.Inf(1), 0.0
	for i := range lots {
		if l := &lots[i]; l.bags > 0 && l.counting == c.counting {
			c.count, c.volume = append(c.count, l.bags), append(c.volume, l.volume)
			bags, volume = bags+l.bags, volume+l.volume
			lo, hi = min(lo, l.volume), max(hi, l.volume)
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

// empty is room for n numbers, none of them there yet.
func (r *replay) empty(n int) []float64 {
	from := len(r.numbers)
	r.numbers = r.numbers[:from+n]
	return r.numbers[from : from : from+n]
}

// seed hangs on the job's content alone.
func (r *replay) seed(name string) uint64 {
	h := newHash().text(name)
	for i := range r.runs {
		c := &r.runs[i]
		for k := range c.count {
			h = h.float(c.count[k]).float(c.volume[k])
		}
	}
	return h.sum()
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

// fill fills a section's bays anew with the given spread between them and reads the hopper as the job does. Levels are in
// steps above one that reads as none; where a count starts, its level lies anywhere within a step.
func (r *replay) fill(c *counted, spread float64) {
	r.seen = r.seen[:0]
	mean := c.perVolume / c.step * (1 + c.uPerVolume*r.random.normal())
	level := r.random.uniform()
	for _, v := range c.volume {
		need := max(0, mean*v*(1+spread*r.random.normal()))
		switch c.counting {
		case model.CountingFresh:
			level = 0.5 // that of an exact beginning: it is read to the nearest step
		case model.CountingRunning:
			level -= math.Floor(level)
		default:
			level = r.random.uniform()
		}
		level += need
		r.seen = append(r.seen, c.step*math.Floor(level))
	}
}

const (
	mostReplays = 20_000 // p is not followed below 1 in so many
	enoughAgree = 10     // replays that agree as well, after which p is known well enough
	// Nothing is unlikely once h replays agree as well among the first plainReplays·(h − plainlyAgree): three in ten, four
	// in twenty. Then p is 0.125 at least.
	plainlyAgree = 2
	plainReplays = 10
)

// sequential estimates how often a replay agrees at least as well as what is looked at, and stops once that is known well
// enough. Honest data are one more replay, so for every x the estimate is at most x in a share of at most x of honest jobs:
// whichever rule stops it, p ≤ x says that the h-th hit came no sooner than after h/x replays, for an h that hangs on x
// alone, and so late it comes in such a share (Besag and Clifford 1991).
func sequential(hit func() bool) (p float64, replays int) {
	hits := 0
	for replays < mostReplays {
		replays++
		if !hit() {
			continue
		}
		if hits++; hits == enoughAgree || replays <= plainReplays*(hits-plainlyAgree) {
			return float64(hits) / float64(replays), replays
		}
	}
	return float64(hits+1) / float64(replays+1), replays
}

// counted is a section's counts, in bags, with the volumes of their lots.
type counted struct {
	count, volume []float64
	step          float64
	counting      model.Counting
	perVolume     float64 // bags per m³
	uPerVolume    float64 // relative standard uncertainty of it
}

// edges are where densities begin and cease to be consistent with counts. missing keeps the beginnings negative.
type edges struct{ from, to []float64 }

// between is where the densities begin and end that are consistent with a count: (n ± q/2)/V.
func (c *counted) between(n, volume float64) (from, to float64) {
	half, per := c.step/2+1e-9, 1/volume
	return (n - half) * per, (n + half) * per
}

// agreeing is the largest number of counts that are consistent with one density: a sweep over their intervals, at whose
// beginnings most agree.
func (c *counted) agreeing(count []float64, r *edges) int {
	r.from, r.to = r.from[:0], r.to[:0]
	for i, n := range count {
		from, to := c.between(n, c.volume[i])
		r.from, r.to = append(r.from, from), append(r.to, to)
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
// lie before them: nothing else need be sorted. Where the first of those beginnings lies above the last of those ends, every
// density misses more.
func (c *counted) missing(count []float64, most int, r *edges) int {
	switch {
	case most < 0:
		return len(count)
	case most > mostKept:
		return len(count) - c.agreeing(count, r)
	}
	r.from, r.to = r.from[:0], r.to[:0]
	lastFrom, lastTo := math.Inf(1), math.Inf(1) // what is beyond them need not be kept
	for i, n := range count {
		from, to := c.between(n, c.volume[i])
		if -from >= lastFrom && to >= lastTo {
			continue
		}
		if -from < lastFrom {
			r.from, lastFrom = keepLeast(r.from, -from, most+1)
		}
		if to < lastTo {
			r.to, lastTo = keepLeast(r.to, to, most+1)
		}
		if -lastFrom > lastTo {
			return most + 1
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

// keepLeast puts x in its place among the n least seen, in rising order. What is not below limit need not come again.
func keepLeast(list []float64, x float64, n int) (kept []float64, limit float64) {
	if len(list) < n {
		list = append(list, x)
	}
	at := len(list) - 1
	for ; at > 0 && x < list[at-1]; at-- {
		list[at] = list[at-1]
	}
	list[at] = x
	if len(list) < n {
		return list, math.Inf(1)
	}
	return list, list[n-1]
}

// source is a reproducible stream of random numbers: splitmix64.
type source struct{ state uint64 }

func (s *source) next() uint64 {
	z := mix(s.state)
	s.state += 0x9e3779b97f4a7c15
	return z
}

// uniform is in [0, 1).
func (s *source) uniform() float64 { return fraction(s.next()) }

// fraction is the upper 53 bits as a number in [0, 1).
func fraction(z uint64) float64 { return float64(z>>11) / (1 << 53) }

// normal is standard normal, by the ziggurat (Marsaglia and Tsang 2000, as Doornik 2005 lays it out): the bell is covered
// by layers of one area, and nearly every point of a layer lies below the bell.
func (s *source) normal() float64 {
	for {
		z := s.next()
		i, u := z%layers, 2*fraction(z)-1
		if math.Abs(u) < bell.within[i] {
			return u * bell.edge[i]
		}
		if i == 0 {
			return math.Copysign(s.tail(), u)
		}
		x := u * bell.edge[i]
		below, above := heightBy(bell.edge[i], x), heightBy(bell.edge[i+1], x)
		if above+s.uniform()*(below-above) < 1 {
			return x
		}
	}
}

// tail is a normal number above the base of the ziggurat.
func (s *source) tail() float64 {
	for {
		x, y := -math.Log(1-s.uniform())/base, -math.Log(1-s.uniform())
		if 2*y > x*x {
			return base + x
		}
	}
}

// heightBy is the bell's height at edge by that at x.
func heightBy(edge, x float64) float64 { return math.Exp((x*x - edge*edge) / 2) }

const (
	layers    = 128
	base      = 3.442619855899      // where the tail begins
	layerArea = 9.91256303526217e-3 // of each layer under exp(−x²/2), the lowest with the tail
)

// ziggurat are the right edges of the layers from the lowest up, and the share of each that lies below the bell for sure.
type ziggurat struct {
	edge   [layers + 1]float64
	within [layers]float64
}

var bell = newZiggurat()

func newZiggurat() *ziggurat {
	var z ziggurat
	height := math.Exp(-base * base / 2)
	z.edge[0], z.edge[1] = layerArea/height, base
	for i := 2; i < layers; i++ {
		z.edge[i] = math.Sqrt(-2 * math.Log(layerArea/z.edge[i-1]+height))
		height = math.Exp(-z.edge[i] * z.edge[i] / 2)
	}
	for i := range z.within {
		z.within[i] = z.edge[i+1] / z.edge[i]
	}
	return &z
}
