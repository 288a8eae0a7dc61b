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

// window is the shortest run of rows from a place on that tells enough to be looked up.
type window struct {
	hash uint64
	row  int32 // over all jobs
}

const (
	windowSpare = 10.0 // bits by which a window's own chance lies below one match by chance
	mostWindow  = 64   // rows
	mostAlike   = 32   // windows of one hash that are compared with the first
	mostCounted = 500  // runs whose places are counted over all rows
	mostRare    = 4.0  // bits that rare sizes add to where a window is looked for, never to what it proves
)

// desk is all rows of all jobs in one row.
type desk struct {
	counted int              // runs whose places were counted
	alike   map[uint32]int32 // rows with the same sizes
	keys    []rowKey
	job     []int32
	first   []int32 // first row of each job, and the end
}

// findCopies returns, for each job, the least likely run that it shares with another place, and how likely that is by
// chance; p is NaN for a job without measured rows and 1 where nothing is shared.
func findCopies(jobs []*Job) []copied {
	d := layOut(jobs)
	best := make([]copied, len(jobs))
	for i := range best {
		best[i] = copied{job: i, other: -1, p: 1}
		if d.first[i+1]-d.first[i] < 2 {
			best[i].p = math.NaN()
		}
	}
	windows := d.windows(math.Log2(float64(len(d.keys)+1)) + windowSpare)
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

// layOut puts all rows side by side and takes them from the jobs, which have no further use for them.
func layOut(jobs []*Job) *desk {
	n := 0
	for _, j := range jobs {
		n += len(j.rows)
	}
	d := &desk{
		first: make([]int32, 0, len(jobs)+1), alike: map[uint32]int32{},
		keys: make([]rowKey, 0, n), job: make([]int32, 0, n),
	}
	for i, j := range jobs {
		d.first = append(d.first, int32(len(d.keys)))
		for _, k := range j.rows {
			d.keys, d.job = append(d.keys, k), append(d.job, int32(i))
			d.alike[k.sizes]++
		}
		j.rows = nil
	}
	d.first = append(d.first, int32(len(d.keys)))
	return d
}

// windows cuts a window from every row on that is rare by at least so many bits within its job.
func (d *desk) windows(enough float64) []window {
	out := make([]window, 0, len(d.keys)/4)
	rare := d.rarities()
	for i := range d.keys {
		h, bits := newHash(), 0.0
		end := min(int(d.first[d.job[i]+1]), i+mostWindow)
		for k := i; k < end; k++ {
			h = h.number(d.keys[k].hash)
			bits += float64(rare[k])
			if bits >= enough && k > i {
				out = append(out, window{h.sum(), int32(i)})
				break
			}
		}
	}
	return out
}

// rarities is what each row tells where a run is looked for.
func (d *desk) rarities() []float32 {
	all := float64(len(d.keys))
	ofSizes := make(map[uint32]float32, len(d.alike))
	for sizes, n := range d.alike {
		ofSizes[sizes] = float32(math.Min(mostRare, math.Log2(all/float64(n))))
	}
	out := make([]float32, len(d.keys))
	for i := range d.keys {
		out[i] = d.keys[i].bits + ofSizes[d.keys[i].sizes]
	}
	return out
}

// compare follows two equal places as far as they are equal and keeps the run where it is the least likely of its jobs.
func (d *desk) compare(a, b int, best []copied) {
	ja, jb := d.job[a], d.job[b]
	if a > int(d.first[ja]) && b > int(d.first[jb]) && d.keys[a-1].hash == d.keys[b-1].hash {
		return // seen from its beginning
	}
	n, bits := 0, 0.0
	for a+n < int(d.first[ja+1]) && b+n < int(d.first[jb+1]) && d.keys[a+n].hash == d.keys[b+n].hash {
		if ja == jb && a+n == b {
			break // a run may not overlap its copy
		}
		bits += math.Min(float64(d.keys[a+n].bits), float64(d.keys[b+n].bits)) + tubeBits(&d.keys[a+n], &d.keys[b+n])
		n++
	}
	c := copied{job: int(jb), other: int(ja), from: d.keys[b].line, otherFrom: d.keys[a].line, rows: n, bits: bits}
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
	all := float64(len(d.keys))
	expected := all
	for k := range n {
		expected *= float64(d.alike[d.keys[b+k].sizes]) / all
	}
	return math.Max(1, expected)
}

// starts is how many runs of n rows could have begun where these two places have like sizes: one where only the run itself
// has them, many in twin houses.
func (d *desk) starts(a, b, n int) int {
	ja, jb := d.job[a], d.job[b]
	from, to := 0, n
	for a-from > int(d.first[ja]) && b-from > int(d.first[jb]) && d.keys[a-from-1].sizes == d.keys[b-from-1].sizes {
		from++
	}
	for a+to < int(d.first[ja+1]) && b+to < int(d.first[jb+1]) && d.keys[a+to].sizes == d.keys[b+to].sizes {
		to++
	}
	return from + to - n + 1
}

// pairs is how many pairs of places could have been equal: of the run's job, and of all rows, those that have its sizes row
// by row; the run may begin wherever its place has like sizes. Under like bays that is nearly every place; where no other house has such a run of sizes it is one. Counting looks
// at every row, so where very many runs stand twice the later ones are held against all places, which is never too little.
func (d *desk) pairs(b, n, starts int) float64 {
	if d.counted++; d.counted > mostCounted {
		j := d.job[b]
		return float64(d.first[j+1]-d.first[j]) * float64(len(d.keys))
	}
	job, all := 0, 0
	for i := range d.keys {
		if d.keys[i].sizes != d.keys[b].sizes || !d.likeSizes(i, b, n) {
			continue
		}
		all++
		if d.job[i] == d.job[b] {
			job++
		}
	}
	return float64(max(job, starts)) * float64(all-1)
}

func (d *desk) likeSizes(a, b, n int) bool {
	if a+n > int(d.first[d.job[a]+1]) {
		return false
	}
	for k := range n {
		if d.keys[a+k].sizes != d.keys[b+k].sizes {
			return false
		}
	}
	return true
}
