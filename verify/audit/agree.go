package audit

import (
	"math"
	"slices"

	"bayproof/model"
)

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
