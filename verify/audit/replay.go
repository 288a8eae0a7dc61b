package audit

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"bayproof/model"
	"bayproof/verify/crew"
	"bayproof/verify/stat"
)

// Bags worked backwards from a density are each the nearest step to one density times the bay's volume. The statistic is
// the largest number of lots of a section whose counts, each taken as within half a step, agree on one density. An honest
// crew's bays scatter, and a count read at both ends falls to either side of what went in: fewer agree. How often honest
// readings agree as well is found by replaying the same bays with the job's own way of counting. Like bays replayed agree
// with one another too: they prove nothing.
//
// From a full hopper there is no reading error that would part an even crew from one that works backwards: it packs evenly in
// job after job, so its jobs are one piece of evidence and not many. Such jobs stand for themselves, never for a habit.

// agreement tells how many of a job's counts agree on one density a section, and how often an honest crew's would.
type agreement struct {
	counts, agree int
	usual         float64 // mean number that agree in the replays; NaN where p is too great to be told
	replays       int
	p             float64 // of honest counts that agree as well; NaN where there is nothing to look at
	fresh         bool    // some section starts each bay from an exact level
}

const (
	leastCounts  = 6    // counts in a section, below which nothing is looked at
	usualReplays = 100  // replays that tell what is usual, to a fifth of a count
	screenMisses = 0.15 // share of counts that do not agree, above which no replay is made: p = 1
)

// agreementOf replays the counts of the job of the name, lots by section.
//
// Sections are replayed together, as one crew worked them with one evenness: the spread is drawn once a replay. A job in
// which many counts miss is no suspect, and its replays would be for nothing.
func agreementOf(name string, lots []lot) agreement {
	out := agreement{usual: math.NaN(), p: math.NaN()}
	var r replay
	for from := 0; from < len(lots); {
		to := from
		for to < len(lots) && lots[to].section == lots[from].section {
			to++
		}
		if c, ok := sectionCountsOf(lots[from:to]); ok {
			r.sections = append(r.sections, c)
			out.counts += len(c.count)
			out.fresh = out.fresh || c.counting == model.CountingFresh
		}
		from = to
	}
	if len(r.sections) == 0 {
		return out
	}
	most, missed := int(screenMisses*float64(out.counts)), 0
	for i := range r.sections {
		missed += r.sections[i].missing(r.sections[i].count, most-missed)
	}
	if out.p = 1; missed > most {
		return out
	}
	out.agree = out.counts - missed
	seed := r.seed(name)
	r.random = stat.Rand(seed)
	out.p, out.replays = sequential(func() bool { return r.misses(missed) <= missed })
	if out.p <= FalseRate { // it may come to be told
		r.random = stat.Rand(seed) // the same replays once more
		replays := min(out.replays, usualReplays)
		sum := 0
		for range replays {
			sum += out.counts - r.misses(out.counts)
		}
		out.usual = float64(sum) / float64(replays)
	}
	return out
}

// sectionCounts is a section's counts, in bags, with the volumes of their lots.
type sectionCounts struct {
	count, volume []float64 // bags, m³
	step          float64   // bags
	counting      model.Counting
	perVolume     float64 // bags per m³
	uPerVolume    float64 // relative standard uncertainty of it
}

// sectionCountsOf keeps a section's counts if they can tell anything: enough of them, and bays that need different counts.
// The mean's relative variance is (τ² + q²/6/m²)/n: the spread between bays at the prior's median, and the reading of a
// step q at both ends, for n counts of m bags in the mean.
func sectionCountsOf(lots []lot) (c sectionCounts, ok bool) {
	c = sectionCounts{step: lots[0].step, counting: lots[0].counting}
	var bags, volume float64
	for i := range lots {
		if l := &lots[i]; l.bags > 0 && l.counting == c.counting {
			c.count, c.volume = append(c.count, l.bags), append(c.volume, l.volume)
			bags, volume = bags+l.bags, volume+l.volume
		}
	}
	n := float64(len(c.count))
	if len(c.count) < leastCounts || !(c.step > 0) {
		return c, false
	}
	c.perVolume = bags / volume
	c.uPerVolume = math.Sqrt((crew.SpreadMedian*crew.SpreadMedian + c.step*c.step/6*n*n/(bags*bags)) / n)
	return c, (slices.Max(c.volume)-slices.Min(c.volume))*c.perVolume >= c.step
}

// replay is the honest repetition of a job's counts: the same bays, mean density and way of counting, and a stream of numbers.
type replay struct {
	sections []sectionCounts
	random   *rand.Rand
}

// seed hangs on the job's content alone: the same job has the same p in every review, in whatever order and among whatever
// others it is read.
func (r *replay) seed(name string) uint64 {
	content := []byte(name)
	for i := range r.sections {
		c := &r.sections[i]
		for k := range c.count {
			content = appendFloat(appendFloat(content, c.count[k]), c.volume[k])
		}
	}
	return hashOf(content)
}

// misses fills all sections' bays anew and returns how many counts do not agree, or more than most where more do not. How
// far an honest crew's bays scatter is drawn anew each time from the prior of rule process.
func (r *replay) misses(most int) int {
	spread := crew.SpreadMedian * math.Exp(crew.SpreadLogSD*r.random.NormFloat64())
	missed := 0
	for i := range r.sections {
		c := &r.sections[i]
		missed += c.missing(r.fill(c, spread), most-missed)
	}
	return missed
}

// fill fills a section's bays anew with the given relative spread between them and returns what the hopper reads, in bags,
// the job's way of counting. Levels are in steps above one that reads as none; where a count starts, its level lies
// anywhere within a step.
func (r *replay) fill(c *sectionCounts, spread float64) []float64 {
	counts := make([]float64, len(c.volume))
	mean := c.perVolume / c.step * (1 + c.uPerVolume*r.random.NormFloat64())
	level := r.random.Float64()
	for i, v := range c.volume {
		need := max(0, mean*v*(1+spread*r.random.NormFloat64()))
		switch c.counting {
		case model.CountingFresh:
			level = 0.5 // that of an exact beginning: it is read to the nearest step
		case model.CountingRunning:
			level -= math.Floor(level)
		default:
			level = r.random.Float64()
		}
		level += need
		counts[i] = c.step * math.Floor(level)
	}
	return counts
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

// missing is the number of counts that do not agree with one density, as long as it is at most so many; else it is greater,
// no matter by how much. A count of n in a volume V is consistent with the densities from (n − q/2)/V to (n + q/2)/V. Most
// agree where one of these intervals begins. Of the beginnings only the last most + 1 can be where at most so many miss,
// and of the ends only the first most + 1 can lie before them, so nothing else need be sorted.
func (c *sectionCounts) missing(count []float64, most int) int {
	if most = min(most, len(count)-1); most < 0 {
		return len(count)
	}
	half := c.step/2 + 1e-9                                                // like bays whose intervals touch agree, whatever rounding says
	begins, ends := make([]float64, 0, most+2), make([]float64, 0, most+2) // the beginnings negative, so that the least are the last
	for i, n := range count {
		begins = keepLeast(begins, (half-n)/c.volume[i], most+1, cmp.Compare)
		ends = keepLeast(ends, (half+n)/c.volume[i], most+1, cmp.Compare)
		if len(ends) > most && -begins[most] > ends[most] {
			return most + 1 // every density misses more
		}
	}
	least, ended := most+1, len(ends)
	for above, x := range begins { // from the last beginning down: so many lie above, and so many have ended below
		for ended > 0 && ends[ended-1] >= -x {
			ended--
		}
		least = min(least, above+ended)
	}
	return least
}

// keepLeast puts x in its place among the n least seen, in rising order.
//
// Draws keep their lowest tickets, and replays the densities that count, by the same rule.
func keepLeast[T any](list []T, x T, n int, compare func(a, b T) int) []T {
	if len(list) == n && (n == 0 || compare(x, list[n-1]) >= 0) {
		return list
	}
	at, _ := slices.BinarySearchFunc(list, x, compare)
	list = slices.Insert(list, at, x)
	return list[:min(n, len(list))]
}
