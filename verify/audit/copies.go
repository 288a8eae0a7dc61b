package audit

import (
	"math"
	"math/bits"
	"slices"
	"sort"
)

// desk is all rows of all jobs, in the order of the jobs: 24 bytes a row in blocks that are filled and never moved. Jobs put
// their rows down as they come, so that nothing is held twice.
type desk struct {
	counted int              // runs whose places were counted
	alike   map[uint32]int32 // rows with the same sizes
	blocks  [][]rowKey
	rows    int
	first   []int32 // first row of each job, and the end
}

const blockRows = 1 << 12

func newDesk() *desk { return &desk{alike: map[uint32]int32{}, first: []int32{0}} }

// put takes over the rows of the next job.
func (d *desk) put(j *Job) {
	for _, k := range j.rows {
		if d.rows%blockRows == 0 {
			d.blocks = append(d.blocks, make([]rowKey, 0, blockRows))
		}
		last := &d.blocks[len(d.blocks)-1]
		*last = append(*last, k)
		d.alike[k.sizes]++
		d.rows++
	}
	j.rows = nil
	d.first = append(d.first, int32(d.rows))
}

// key is row i over all jobs.
func (d *desk) key(i int) *rowKey { return &d.blocks[i/blockRows][i%blockRows] }

// jobOf is the job of row i.
func (d *desk) jobOf(i int) int {
	return sort.Search(len(d.first), func(j int) bool { return int(d.first[j]) > i }) - 1
}

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

// window is the shortest run of rows from a place on that tells enough to be looked up.
type window struct {
	hash uint64
	row  int32 // over all jobs
}

// windows cuts a window from every row on that is rare by at least so many bits within its job, and keeps those that come
// again. Which do is found in a first pass with one bit for every window seen and one for every window seen twice; a few
// that stand alone pass with them and are compared with nothing.
func (d *desk) windows(enough float64) []window {
	size := uint64(64)
	for size < 8*uint64(d.rows) {
		size *= 2
	}
	lengths := d.lengths(enough)
	seen, again := make([]uint64, size/64), make([]uint64, size/64)
	d.eachWindow(lengths, func(_ int, mark uint64) {
		at, bit := mark%size/64, uint64(1)<<(mark%64)
		again[at] |= seen[at] & bit
		seen[at] |= bit
	})
	var out []window
	d.eachWindow(lengths, func(row int, mark uint64) {
		if again[mark%size/64]&(1<<(mark%64)) != 0 {
			out = append(out, window{d.hashOf(row, int(lengths[row])), int32(row)})
		}
	})
	return out
}

// hashOf is the hash of n rows.
func (d *desk) hashOf(row, n int) uint64 {
	h := newHash()
	for k := range n {
		h = h.number(d.key(row + k).hash)
	}
	return h.sum()
}

// lengths are how many rows the window from each row on has: two at least, at most mostWindow; 0 where there is none. No row
// tells less than nothing, so no window ends before that of the row above.
func (d *desk) lengths(enough float64) []uint8 {
	all, ofSizes := float64(d.rows), make(map[uint32]float32, len(d.alike))
	for sizes, n := range d.alike {
		ofSizes[sizes] = float32(math.Min(mostRare, math.Log2(all/float64(n))))
	}
	out := make([]uint8, d.rows)
	var rare []float32
	for j := range len(d.first) - 1 {
		from, to := int(d.first[j]), int(d.first[j+1])
		rare = rare[:0]
		for i := from; i < to; i++ {
			k := d.key(i)
			rare = append(rare, k.bits+ofSizes[k.sizes])
		}
		bits, end := 0.0, 0
		for i := range rare {
			for end < len(rare) && (bits < enough || end < i+2) {
				bits += float64(rare[end])
				end++
			}
			if bits < enough || end < i+2 {
				break // and none below
			}
			if n := end - i; n <= mostWindow {
				out[from+i] = uint8(n)
			}
			bits -= float64(rare[i])
		}
	}
	return out
}

// markFactor is odd and has its bits all over: the multiplier of Knuth's 64-bit congruential generator MMIX.
const markFactor = 6364136223846793005

// eachWindow gives the first row of every window and a number that is the same for like windows: a polynomial in the hashes
// of its rows, as the difference of two that begin where the job does (Karp and Rabin 1987).
func (d *desk) eachWindow(lengths []uint8, give func(row int, mark uint64)) {
	var power [mostWindow + 1]uint64
	power[0] = 1
	for n := range mostWindow {
		power[n+1] = power[n] * markFactor
	}
	var sums []uint64 // of the rows above
	for j := range len(d.first) - 1 {
		from, to := int(d.first[j]), int(d.first[j+1])
		sums = append(sums[:0], 0)
		for i := from; i < to; i++ {
			sums = append(sums, sums[i-from]*markFactor+d.key(i).hash)
		}
		for i := from; i < to; i++ {
			if n := int(lengths[i]); n > 0 {
				give(i, sums[i-from+n]-sums[i-from]*power[n])
			}
		}
	}
}

// keyCounts counts how often keys come: a table with open addressing that is emptied and used again for every job.
type keyCounts struct {
	slots []keyCount
	shift int
}

type keyCount struct {
	key uint64
	n   int32 // 0 where the slot is free
}

// start empties the table and makes room for so many different keys.
func (c *keyCounts) start(keys int) {
	size := bits.Len(uint(2 * keys)) // half of the slots stay free at least
	if cap(c.slots) < 1<<size {
		c.slots = make([]keyCount, 1<<size)
	}
	c.slots, c.shift = c.slots[:1<<size], 64-size
	clear(c.slots)
}

// at is the count of a key.
func (c *keyCounts) at(key uint64) *int32 {
	i := key * 0x9e3779b97f4a7c15 >> c.shift // Fibonacci hashing (Knuth, The Art of Computer Programming, 6.4)
	for c.slots[i].n > 0 && c.slots[i].key != key {
		i = (i + 1) & uint64(len(c.slots)-1)
	}
	c.slots[i].key = key
	return &c.slots[i].n
}
