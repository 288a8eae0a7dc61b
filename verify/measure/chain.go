package measure

import (
	"math"

	"bayproof/model"
)

// chain holds the standard uncertainties of a job's counter readings. Bags that are counted `running` without a counter
// share their readings with the rows before and after them in the same way and get numbers of their own behind those.
type chain struct {
	u     []float64 // bags, by number of the reading; 0 is the exact zero
	bags  []*model.Entry
	first []int // number of the reading before each of bags
}

// chainOf gathers the readings of the log. step is each section's step as used.
func chainOf(job *model.Job, sectionOf []int32, step []float64) *chain {
	c := &chain{u: []float64{0}}
	for i, b := range job.Bays {
		for _, e := range b.Rows {
			// In file order, so that an amended reading takes the old one's place; one of a struck bay stays a reading.
			if e.Material.Kind == model.MaterialCounter && !e.Material.Shared && !e.TopsUpNothing() {
				c.set(&e.Material, step[sectionOf[i]])
			}
		}
	}
	for i := range job.Log {
		if e := &job.Log[i]; e.Kind == model.EntryCount {
			c.set(&e.Material, job.Settings.BagStep)
		}
	}
	c.runOn(job, sectionOf, step)
	return c
}

// set notes one reading of the counter: q/√12, its own ± over √3, nothing for a counter at 0.
func (c *chain) set(g *model.Material, q float64) {
	for len(c.u) <= max(g.ReadAt, g.PrevAt) {
		c.u = append(c.u, q/sqrt12)
	}
	c.u[g.ReadAt] = readingU(g, q)
}

func readingU(g *model.Material, q float64) float64 {
	switch {
	case g.Bags == 0 || g.ReadAt == 0:
		return 0
	case !math.IsNaN(g.Within):
		return g.Within / sqrt3
	}
	return q / sqrt12
}

// runOn numbers the readings between rows of bags that run on from each other, in the order of the log.
func (c *chain) runOn(job *model.Job, sectionOf []int32, step []float64) {
	any := false
	for _, s := range job.Sections {
		any = any || s.Settings.Counting == model.CountingRunning
	}
	if !any {
		return
	}
	var rows []*model.Entry
	var steps []float64
	for i, b := range job.Bays {
		if b.Section.Settings.Counting != model.CountingRunning || b.Struck {
			continue
		}
		for _, e := range b.Moves {
			if e.Material.Kind == model.MaterialBags && !e.Material.Shared && !e.TopsUpNothing() {
				rows, steps = append(rows, e), append(steps, step[sectionOf[i]])
			}
		}
	}
	sortRows(rows, steps)
	for k, e := range rows {
		if k == 0 {
			c.u = append(c.u, steps[0]/sqrt12)
		}
		c.bags, c.first = append(c.bags, e), append(c.first, len(c.u)-1)
		c.u = append(c.u, endOf(e, steps[k]))
	}
}

// endOf is the standard uncertainty of where a row of bags ends. After a weighed part bag the hopper is known to be empty.
func endOf(e *model.Entry, q float64) float64 {
	switch {
	case e.Material.Part != 0:
		return 0
	case !math.IsNaN(e.Material.Within):
		return e.Material.Within / sqrt3
	}
	return q / sqrt12
}

// sortRows puts rows into the log's order; they nearly are.
func sortRows(rows []*model.Entry, steps []float64) {
	for i := 1; i < len(rows); i++ {
		for j := i; j > 0 && rows[j-1].Index > rows[j].Index; j-- {
			rows[j-1], rows[j] = rows[j], rows[j-1]
			steps[j-1], steps[j] = steps[j], steps[j-1]
		}
	}
}

// boundsOf returns the numbers of the readings before and after a row of bags that run on.
func (c *chain) boundsOf(e *model.Entry) (from, to int, ok bool) {
	lo, hi := 0, len(c.bags)
	for lo < hi {
		if mid := (lo + hi) / 2; c.bags[mid].Index < e.Index {
			lo = mid + 1
		} else {
			hi = mid
		}
	}
	if lo == len(c.bags) || c.bags[lo] != e {
		return 0, 0, false
	}
	return c.first[lo], c.first[lo] + 1, true
}
