package audit

import (
	"math"

	"bayproof/model"
	"bayproof/verify/crew"
)

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
