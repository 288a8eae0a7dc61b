// Runs of rows that stand twice, cell for cell.
//
// Such a run is pasted or chance. The chance that one given place agrees with another by accident
// is 2^−bits, where bits is what the run's rows tell together (rowkey.go). By Boole's inequality,
// that times the number of pairs of places that could have agreed bounds the chance that honest
// logs hold such a run anywhere: that is p.
//
// Comparing every place with every other would take the square of a million rows. Instead a window
// is cut at every row: the shortest run from it on that is rarer than one match by chance among all
// rows. Windows are hashed, those with equal hashes compared, and followed as far as they are
// equal. TestWindowsAreShortest, TestCopies and TestCopiesOfLittle hold it; TestSimulatedCopies
// counts what is found.

package plausible

import (
	"cmp"
	"math"
	"math/bits"
	"slices"
)

// rowTable holds the measured rows of all jobs, in the order of the jobs.
type rowTable struct {
	jobs    [][]rowKey
	first   []int32        // by job: the line of its log at which it begins
	total   int            // rows
	ofSizes map[uint32]int // how many rows have the same sizes
	counted int            // runs whose places were counted
}

func newRowTable() *rowTable { return &rowTable{ofSizes: map[uint32]int{}} }

// add takes over the rows of the next job, which keeps none.
func (t *rowTable) add(j *Job) {
	for i := range j.rows {
		t.ofSizes[j.rows[i].sizes]++
	}
	t.jobs, t.first, t.total = append(t.jobs, j.rows), append(t.first, j.first), t.total+len(j.rows)
	j.rows = nil
}

// copied is a run of rows that stands in two places.
type copied struct {
	job, other      int     // places of the jobs, the later one first
	from, otherFrom int32   // lines
	rows            int     // of the run
	bits            float64 // −log₂ of the chance that two honest places agree so
	p               float64 // bound on the chance that any two do
}

const (
	windowSpare = 10.0 // bits by which a window's own chance lies below one match by chance
	mostWindow  = 64   // rows
	mostAlike   = 32   // windows of one hash that are compared with the first
	mostCounted = 500  // runs whose places are counted over all rows
	mostRare    = 4.0  // bits that rare sizes add to where a window is cut, never to what it proves
)

// findCopies returns, for each job, the least likely run that it shares with an earlier place; p is
// NaN for a job with fewer than two measured rows and 1 where nothing is shared. Of windows with
// one hash mostAlike at most are compared, each with the first.
func (t *rowTable) findCopies() []copied {
	best := make([]copied, len(t.jobs))
	for i, rows := range t.jobs {
		best[i] = copied{job: i, other: -1, p: 1}
		if len(rows) < 2 {
			best[i].p = math.NaN()
		}
	}
	eachAlike(t.windows(math.Log2(float64(t.total+1))+windowSpare), func(alike []window) {
		for k := 1; k < min(len(alike), mostAlike); k++ {
			t.compare(alike[0].at, alike[k].at, best)
		}
	})
	return best
}

// compare follows two equal places, a before b, as far as they are equal, and keeps the run in best
// where it is the least likely of b's job. Its probability is at most
//
//	p = pairs of places with like sizes · 2^−Σ bits
//
// by Boole's inequality: the sum over all pairs bounds the chance that any of them agrees.
func (t *rowTable) compare(a, b place, best []copied) {
	ra, rb := t.jobs[a.job], t.jobs[b.job]
	if a.row > 0 && b.row > 0 && ra[a.row-1].hash == rb[b.row-1].hash {
		return // the run begins further up and is found there
	}
	ra, rb = ra[a.row:], rb[b.row:]
	n, bits := 0, 0.0
	for n < min(len(ra), len(rb)) && ra[n].hash == rb[n].hash {
		if a.job == b.job && int(a.row)+n == int(b.row) {
			break // a run may not overlap its copy
		}
		bits += sharedBits(&ra[n], &rb[n])
		n++
	}
	// Counting places looks at every row, so it is done only for a run that could be a discovery:
	// one whose probability is not above what the false discovery rate leaves beside as many others
	// as the root of the number of jobs. How many places have such sizes is at first taken as if
	// sizes followed each other at random: rows · Π(share of the sizes), one at least.
	worth := FalseRate / math.Sqrt(float64(len(t.jobs)+1))
	all := float64(t.total)
	places := all
	for _, k := range rb[:n] {
		places *= float64(t.ofSizes[k.sizes]) / all
	}
	if n < 2 || math.Max(1, places)*math.Exp2(-bits) >= math.Min(worth, best[b.job].p) {
		return
	}
	c := copied{job: int(b.job), other: int(a.job), from: t.first[b.job] + int32(rb[0].line), otherFrom: t.first[a.job] + int32(ra[0].line), rows: n, bits: bits}
	if c.p = math.Min(1, t.pairs(int(b.job), rb[:n], t.starts(a, b, n))*math.Exp2(-bits)); c.p < best[b.job].p {
		best[b.job] = c
	}
}

// starts is how many runs of n rows could have begun where these two places have like sizes: one
// where only the run itself has them, many in twin houses, where a block may begin at any row.
func (t *rowTable) starts(a, b place, n int) int {
	ra, rb := t.jobs[a.job], t.jobs[b.job]
	like := func(by int) bool { // rows so far from the run's beginning
		i, k := int(a.row)+by, int(b.row)+by
		return i >= 0 && k >= 0 && i < len(ra) && k < len(rb) && ra[i].sizes == rb[k].sizes
	}
	from, to := 0, n
	for like(from - 1) {
		from--
	}
	for like(to) {
		to++
	}
	return to - from - n + 1
}

// pairs is how many pairs of places could have been equal: of the run's job, and of all rows, those
// that have its sizes row by row; the run may begin wherever its place has like sizes. Under like
// bays that is nearly every place; where no other house has such a run of sizes it is one. Where
// very many runs stand twice the later ones are held against all places, which is never too little.
func (t *rowTable) pairs(job int, run []rowKey, starts int) float64 {
	if t.counted++; t.counted > mostCounted {
		return float64(len(t.jobs[job])) * float64(t.total)
	}
	own, all := 0, 0
	for i, rows := range t.jobs {
		n := alikeRuns(rows, run, func(a, b *rowKey) bool { return a.sizes == b.sizes })
		if all += n; i == job {
			own = n
		}
	}
	return float64(max(own, starts)) * float64(all-1)
}

// alikeRuns is in how many places a job's rows have such a run.
func alikeRuns[T any](rows, run []T, like func(a, b *T) bool) (n int) {
next:
	for i := 0; i+len(run) <= len(rows); i++ {
		for k := range run {
			if !like(&rows[i+k], &run[k]) {
				continue next
			}
		}
		n++
	}
	return n
}

// place is a row of a job.
type place struct{ job, row int32 }

// window is a run of rows by the hash of their cells and the first of them.
type window struct {
	hash uint64
	at   place
}

// eachAlike hands windows of one hash to meet, two or more, the earlier first and the hashes in
// order. Nearly all windows stand alone: those whose hash shares its first bits with no other's are
// not sorted.
func eachAlike(list []window, meet func(alike []window)) {
	shift := 62 - bits.Len(uint(len(list)))
	seen := make([]uint8, 1<<(64-shift)) // how many hashes begin with these bits, 2 at most
	for _, w := range list {
		if n := &seen[w.hash>>shift]; *n < 2 {
			*n++
		}
	}
	list = slices.DeleteFunc(list, func(w window) bool { return seen[w.hash>>shift] < 2 })
	slices.SortFunc(list, func(a, b window) int {
		return cmp.Or(cmp.Compare(a.hash, b.hash), cmp.Compare(a.at.job, b.at.job), cmp.Compare(a.at.row, b.at.row))
	})
	for from := 0; from < len(list); {
		to := from + 1
		for to < len(list) && list[to].hash == list[from].hash {
			to++
		}
		if to > from+1 {
			meet(list[from:to])
		}
		from = to
	}
}

// markFactor is odd and has its bits all over: the multiplier of Knuth's 64-bit congruential
// generator MMIX. The hash of a window is the polynomial in it with the rows' hashes as
// coefficients, modulo 2⁶⁴ (Karp and Rabin 1987).
const markFactor = 6364136223846793005

// windows cuts from every row on the shortest run of its job, of two rows at least and mostWindow
// at most, that is rare by so many bits of what amounts tell by themselves and, up to mostRare bits
// a row, how rare its sizes are. What the job's other rows add or take is not counted: it would cut
// a copy elsewhere than its original. Rows from which no run is rare enough have no window.
func (t *rowTable) windows(enough float64) []window {
	out := make([]window, 0, t.total)
	rare := map[uint32]float64{} // bits that sizes add
	for sizes, rows := range t.ofSizes {
		rare[sizes] = math.Min(mostRare, math.Log2(float64(t.total)/float64(rows)))
	}
	bitsOf := make([]float64, 0, mostRows)
	for job, rows := range t.jobs {
		bitsOf = bitsOf[:0]
		for i := range rows {
			bitsOf = append(bitsOf, float64(rows[i].cut)/16+rare[rows[i].sizes])
		}
		for i := range rows {
			hash, bits := uint64(0), 0.0
			for end := i; end < min(len(rows), i+mostWindow); end++ {
				hash = hash*markFactor + rows[end].hash
				if bits += bitsOf[end]; bits >= enough && end > i {
					out = append(out, window{hash, place{int32(job), int32(i)}})
					break
				}
			}
		}
	}
	return out
}
