package plausible

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestWindowsAreShortest: of rows that tell much, little and nothing, a window is cut wherever the
// next rows of the job tell enough, and it is one row longer than what does not; equal rows give
// equal windows, others do not.
func TestWindowsAreShortest(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 11))
	const enough = 30
	cut, none := 0, 0
	for _, most := range []float64{0.1, 0.8, 3, 12, 60} {
		var jobs []*Job
		for range 50 {
			j := new(Job)
			for range r.IntN(3 * mostWindow) {
				bits := max(0, most*(r.Float64()-0.2))
				j.rows = append(j.rows, rowKey{hash: r.Uint64(), sizes: uint32(r.IntN(40)), cut: sixteenths(bits)})
			}
			jobs = append(jobs, j, new(Job))
		}
		table := rowsOf(jobs)
		hashes := map[place]uint64{} // by first row
		for _, w := range table.windows(enough) {
			hashes[w.at] = w.hash
		}
		for job, rows := range table.jobs {
			for i := range rows {
				n, bits := 0, 0.0
				for n < mostWindow && i+n < len(rows) && (bits < enough || n < 2) {
					row := rows[i+n]
					bits += float64(row.cut)/16 + math.Min(mostRare, math.Log2(float64(table.total)/float64(table.ofSizes[row.sizes])))
					n++
				}
				got, ok := hashes[place{int32(job), int32(i)}]
				if bits < enough || n < 2 {
					if none++; ok {
						t.Fatalf("row %d: a window where %d rows tell %v bits", i, n, bits)
					}
					continue
				}
				want := uint64(0)
				for _, row := range rows[i : i+n] {
					want = want*markFactor + row.hash
				}
				if cut++; got != want {
					t.Fatalf("row %d: not the window of %d rows that tell %v bits", i, n, bits)
				}
			}
		}
	}
	if cut < 1000 || none < 1000 {
		t.Errorf("%d windows and %d rows without: one is hardly tried", cut, none)
	}
}
