package audit

import "sort"

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
