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
	"slices"
)

// rowTable holds the measured rows of all jobs, in the order of the jobs.
type rowTable struct {
	jobs    [][]rowKey     // of each job, until all are known
	rows    []rowKey       // of all jobs one after the other, once they are joined
	first   []int          // the first row of each job, and the number of rows
	ofSizes map[uint32]int // how many rows have the same sizes
	counted int            // runs whose places were counted
}

// newRowTable returns a table without rows.
func newRowTable() *rowTable { return &rowTable{ofSizes: map[uint32]int{}, first: []int{0}} }

// add takes over the rows of the next job, which keeps none. They are joined when all are there: a
// list that grows to a million rows is copied over and over.
func (t *rowTable) add(j *Job) {
	job := len(t.first) - 1
	for i := range j.rows {
		j.rows[i].job = int32(job)
		t.ofSizes[j.rows[i].sizes]++
	}
	t.jobs, t.first = append(t.jobs, j.rows), append(t.first, t.first[job]+len(j.rows))
	j.rows = nil
}

// join puts the rows of all jobs into one list; afterwards no job is added.
func (t *rowTable) join() { t.rows, t.jobs = slices.Concat(t.jobs...), nil }

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
	best := make([]copied, len(t.first)-1)
	for i := range best {
		best[i] = copied{job: i, other: -1, p: 1}
		if t.first[i+1]-t.first[i] < 2 {
			best[i].p = math.NaN()
		}
	}
	windows := t.windows(math.Log2(float64(len(t.rows)+1)) + windowSpare)
	slices.SortFunc(windows, func(a, b window) int { return cmp.Or(cmp.Compare(a.hash, b.hash), cmp.Compare(a.row, b.row)) })
	for from := 0; from < len(windows); {
		to := from + 1
		for to < len(windows) && windows[to].hash == windows[from].hash {
			to++
		}
		// Each with the first only: of a block pasted many times every place is found as a copy of
		// the first.
		for k := from + 1; k < min(to, from+mostAlike); k++ {
			t.compare(int(windows[from].row), int(windows[k].row), best)
		}
		from = to
	}
	return best
}

// compare follows two equal places, rows a and b over all jobs with a before b, as far as they are
// equal, and keeps the run in best where it is the least likely of b's job. Its probability is at
// most
//
//	p = pairs of places with like sizes · 2^−Σ bits
//
// A run that begins further up is found there and left out here; a run may not overlap its copy.
func (t *rowTable) compare(a, b int, best []copied) {
	ja, jb := int(t.rows[a].job), int(t.rows[b].job)
	if a > t.first[ja] && b > t.first[jb] && t.rows[a-1].hash == t.rows[b-1].hash {
		return // the run begins further up and is found there
	}
	n, bits := 0, 0.0
	for a+n < t.first[ja+1] && b+n < t.first[jb+1] && t.rows[a+n].hash == t.rows[b+n].hash {
		if ja == jb && a+n == b {
			break // a run may not overlap its copy
		}
		bits += sharedBits(&t.rows[a+n], &t.rows[b+n])
		n++
	}
	// Counting places looks at every row, so it is done only for a run that could be a discovery:
	// one whose probability is not above what the false discovery rate leaves beside as many others
	// as the root of the number of jobs. How many places have such sizes is at first taken as if
	// sizes followed each other at random: rows · Π(share of the sizes), one at least.
	worth := FalseRate / math.Sqrt(float64(len(t.first)))
	all := float64(len(t.rows))
	places := all
	for _, k := range t.rows[b : b+n] {
		places *= float64(t.ofSizes[k.sizes]) / all
	}
	if n < 2 || math.Max(1, places)*math.Exp2(-bits) >= math.Min(worth, best[jb].p) {
		return
	}
	c := copied{job: jb, other: ja, from: t.rows[b].line, otherFrom: t.rows[a].line, rows: n, bits: bits}
	if c.p = math.Min(1, t.pairs(b, n, t.starts(a, b, n))*math.Exp2(-bits)); c.p < best[jb].p {
		best[jb] = c
	}
}

// starts returns how many runs of n rows could have begun where these two places have like sizes:
// one where only the run itself has them, many in twin houses, where a block may begin at any row.
func (t *rowTable) starts(a, b, n int) int {
	ja, jb := t.rows[a].job, t.rows[b].job
	from, to := 0, n
	for a-from > t.first[ja] && b-from > t.first[jb] && t.rows[a-from-1].sizes == t.rows[b-from-1].sizes {
		from++
	}
	for a+to < t.first[ja+1] && b+to < t.first[jb+1] && t.rows[a+to].sizes == t.rows[b+to].sizes {
		to++
	}
	return from + to - n + 1
}

// pairs returns how many pairs of places could have been equal: of the run's job times all rows,
// those that have its sizes row by row; the run may begin wherever its place has like sizes. Under
// like bays that is nearly every place; where no other house has such a run of sizes it is one.
// Where very many runs stand twice (mostCounted) the later ones are held against all places, which
// is never too little.
func (t *rowTable) pairs(b, n, starts int) float64 {
	job := t.rows[b].job
	if t.counted++; t.counted > mostCounted {
		return float64(t.first[job+1]-t.first[job]) * float64(len(t.rows))
	}
	likeSizes := func(a, b rowKey) bool { return a.sizes == b.sizes }
	own, all := 0, 0
	for i := range len(t.rows) - n + 1 {
		if t.rows[i].sizes != t.rows[b].sizes || t.rows[i+n-1].job != t.rows[i].job {
			continue
		}
		if slices.EqualFunc(t.rows[i:i+n], t.rows[b:b+n], likeSizes) {
			all++
			if t.rows[i].job == job {
				own++
			}
		}
	}
	return float64(max(own, starts)) * float64(all-1)
}

// window is a run of rows by the hash of their cells and the first of them.
type window struct {
	hash uint64
	row  int32 // over all jobs
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
	rare := make([]float64, len(t.rows)) // bits of a row with what its sizes add
	for i, k := range t.rows {
		ofSizes := math.Log2(float64(len(t.rows)) / float64(t.ofSizes[k.sizes]))
		rare[i] = float64(k.cut)/16 + math.Min(mostRare, ofSizes)
	}
	out := make([]window, 0, len(t.rows))
	for i, k := range t.rows {
		hash, bits := uint64(0), 0.0
		for end := i; end < min(t.first[k.job+1], i+mostWindow); end++ {
			hash = hash*markFactor + t.rows[end].hash
			if bits += rare[end]; bits >= enough && end > i {
				out = append(out, window{hash, int32(i)})
				break
			}
		}
	}
	return out
}
