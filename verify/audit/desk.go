package audit

import (
	"math"
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

// window is the shortest run of rows from a place on that tells enough to be looked up.
type window struct {
	hash uint64
	row  int32 // over all jobs
}

// windows cuts a window from every row on that is rare by at least so many bits within its job, and keeps those whose hash
// comes again. Which do is found in a first pass with one bit for every hash seen and one for every hash seen twice; a few
// that stand alone pass with them and are compared with nothing.
func (d *desk) windows(enough float64) []window {
	size := uint64(64)
	for size < 8*uint64(d.rows) {
		size *= 2
	}
	seen, again := make([]uint64, size/64), make([]uint64, size/64)
	d.eachWindow(enough, func(w window) {
		at, bit := w.hash%size/64, uint64(1)<<(w.hash%64)
		again[at] |= seen[at] & bit
		seen[at] |= bit
	})
	var out []window
	d.eachWindow(enough, func(w window) {
		if again[w.hash%size/64]&(1<<(w.hash%64)) != 0 {
			out = append(out, w)
		}
	})
	return out
}

func (d *desk) eachWindow(enough float64, give func(window)) {
	all, ofSizes := float64(d.rows), make(map[uint32]float32, len(d.alike))
	for sizes, n := range d.alike {
		ofSizes[sizes] = float32(math.Min(mostRare, math.Log2(all/float64(n))))
	}
	var rare []float32
	for j := range len(d.first) - 1 {
		from, to := int(d.first[j]), int(d.first[j+1])
		rare = rare[:0]
		for i := from; i < to; i++ {
			k := d.key(i)
			rare = append(rare, k.bits+ofSizes[k.sizes])
		}
		for i := from; i < to; i++ {
			h, bits := newHash(), 0.0
			for k := i; k < min(to, i+mostWindow); k++ {
				h = h.number(d.key(k).hash)
				bits += float64(rare[k-from])
				if bits >= enough && k > i {
					give(window{h.sum(), int32(i)})
					break
				}
			}
		}
	}
}
