package audit

import (
	"math"
	"slices"
)

// copied is a run of rows that stands in two places.
type copied struct {
	job, other      int
	from, otherFrom int32 // lines
	rows            int
	bits            float64
	p               float64
}

const (
	windowSpare = 10.0 // bits by which a window's own chance lies below one match by chance
	mostWindow  = 64   // rows
	mostAlike   = 32   // windows of one hash that are compared with the first
	mostCounted = 500  // runs whose places are counted over all rows
	mostRare    = 4.0  // bits that rare sizes add to where a window is looked for, never to what it proves
)

// findCopies returns, for each job, the least likely run that it shares with another place, and how likely that is by
// chance; p is NaN for a job without measured rows and 1 where nothing is shared.
func (d *desk) findCopies() []copied {
	best := make([]copied, len(d.first)-1)
	for i := range best {
		best[i] = copied{job: i, other: -1, p: 1}
		if d.first[i+1]-d.first[i] < 2 {
			best[i].p = math.NaN()
		}
	}
	windows := d.windows(math.Log2(float64(d.rows+1)) + windowSpare)
	slices.SortFunc(windows, func(a, b window) int {
		switch {
		case a.hash < b.hash:
			return -1
		case a.hash > b.hash:
			return 1
		}
		return int(a.row - b.row)
	})
	for from := 0; from < len(windows); {
		to := from + 1
		for to < len(windows) && windows[to].hash == windows[from].hash {
			to++
		}
		for k := from + 1; k < min(to, from+mostAlike); k++ {
			d.compare(int(windows[from].row), int(windows[k].row), best)
		}
		from = to
	}
	return best
}

// compare follows two equal places as far as they are equal and keeps the run where it is the least likely of its jobs.
func (d *desk) compare(a, b int, best []copied) {
	ja, jb := d.jobOf(a), d.jobOf(b)
	if a > int(d.first[ja]) && b > int(d.first[jb]) && d.key(a-1).hash == d.key(b-1).hash {
		return // seen from its beginning
	}
	n, bits := 0, 0.0
	for a+n < int(d.first[ja+1]) && b+n < int(d.first[jb+1]) && d.key(a+n).hash == d.key(b+n).hash {
		if ja == jb && a+n == b {
			break // a run may not overlap its copy
		}
		bits += math.Min(float64(d.key(a+n).bits), float64(d.key(b+n).bits)) + tubeBits(d.key(a+n), d.key(b+n))
		n++
	}
	c := copied{job: int(jb), other: int(ja), from: d.key(b).line, otherFrom: d.key(a).line, rows: n, bits: bits}
	if n < 2 || d.guess(b, n)*math.Exp2(-bits) >= math.Min(d.worth(), best[jb].p) {
		return
	}
	if c.p = math.Min(1, d.pairs(b, n, d.starts(a, b, n))*math.Exp2(-bits)); c.p < best[jb].p {
		best[jb] = c
	}
}

// worth is the probability above which a run is not counted out: it could only be a discovery beside more of them than the
// root of the number of jobs.
func (d *desk) worth() float64 { return FalseRate / math.Sqrt(float64(len(d.first))) }

// guess is about how many places have the sizes of a run, were they to follow each other at random: one at least. It saves
// counting them for runs that cannot be rare.
func (d *desk) guess(b, n int) float64 {
	all := float64(d.rows)
	expected := all
	for k := range n {
		expected *= float64(d.alike[d.key(b+k).sizes]) / all
	}
	return math.Max(1, expected)
}

// starts is how many runs of n rows could have begun where these two places have like sizes: one where only the run itself
// has them, many in twin houses.
func (d *desk) starts(a, b, n int) int {
	ja, jb := d.jobOf(a), d.jobOf(b)
	from, to := 0, n
	for a-from > int(d.first[ja]) && b-from > int(d.first[jb]) && d.key(a-from-1).sizes == d.key(b-from-1).sizes {
		from++
	}
	for a+to < int(d.first[ja+1]) && b+to < int(d.first[jb+1]) && d.key(a+to).sizes == d.key(b+to).sizes {
		to++
	}
	return from + to - n + 1
}

// pairs is how many pairs of places could have been equal: of the run's job, and of all rows, those that have its sizes row
// by row; the run may begin wherever its place has like sizes. Under like bays that is nearly every place; where no other house has such a run of sizes it is one. Counting looks
// at every row, so where very many runs stand twice the later ones are held against all places, which is never too little.
func (d *desk) pairs(b, n, starts int) float64 {
	if d.counted++; d.counted > mostCounted {
		j := d.jobOf(b)
		return float64(d.first[j+1]-d.first[j]) * float64(d.rows)
	}
	own, all, sizes := 0, 0, d.key(b).sizes
	for j := range len(d.first) - 1 {
		before := all
		for i := int(d.first[j]); i+n <= int(d.first[j+1]); i++ {
			if d.key(i).sizes == sizes && d.likeSizes(i, b, n) {
				all++
			}
		}
		if b >= int(d.first[j]) && b < int(d.first[j+1]) {
			own = all - before
		}
	}
	return float64(max(own, starts)) * float64(all-1)
}

func (d *desk) likeSizes(a, b, n int) bool {
	for k := range n {
		if d.key(a+k).sizes != d.key(b+k).sizes {
			return false
		}
	}
	return true
}
