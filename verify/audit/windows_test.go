package audit

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// cutOneByOne cuts a window from every row on as the definition says.
func cutOneByOne(d *desk, enough float64) []window {
	var out []window
	for j := range len(d.first) - 1 {
		from, to := int(d.first[j]), int(d.first[j+1])
		for i := from; i < to; i++ {
			bits := 0.0
			for k := i; k < min(to, i+mostWindow); k++ {
				key := d.key(k)
				bits += float64(key.bits + float32(math.Min(mostRare, math.Log2(float64(d.rows)/float64(d.alike[key.sizes])))))
				if bits >= enough && k > i {
					out = append(out, window{d.hashOf(i, k-i+1), int32(i)})
					break
				}
			}
		}
	}
	return out
}

// TestWindowsComeAgain: of all windows those are kept, at least, whose hash stands twice, in their order; and hardly others.
func TestWindowsComeAgain(t *testing.T) {
	jobs := copiedJobs(300, 20, 6)
	copy(jobs[20].rows[4:10], jobs[5].rows[2:8])
	copy(jobs[299].rows[4:20], jobs[0].rows[4:20])
	d := deskOf(jobs)
	all, count := cutOneByOne(d, 20), map[uint64]int{}
	for _, w := range all {
		count[w.hash]++
	}
	alone := func(w window) bool { return count[w.hash] < 2 }
	want, kept := slices.DeleteFunc(slices.Clone(all), alone), d.windows(20)
	got := slices.DeleteFunc(slices.Clone(kept), alone)
	// One mark in 8 to 16 meets a bit that another set.
	if !slices.Equal(got, want) || len(want) < 20 || len(kept) > len(all)/5 {
		t.Errorf("%d windows that come again, want %d; %d of %d kept", len(got), len(want), len(kept), len(all))
	}
}

// TestWindowsAsDefined: windows of rows that tell much, little and nothing begin and end where the definition says.
func TestWindowsAsDefined(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 11))
	for _, most := range []float64{0.1, 0.8, 3, 12, 60} {
		var jobs []*Job
		for range 50 {
			j := new(Job)
			for range r.IntN(3 * mostWindow) {
				bits := max(0, most*(r.Float64()-0.2))
				j.rows = append(j.rows, rowKey{hash: r.Uint64(), sizes: uint32(r.IntN(40)), bits: float32(bits)})
			}
			jobs = append(jobs, j, new(Job))
		}
		d := deskOf(jobs)
		const enough = 30
		lengths := d.lengths(enough)
		var got []window
		for i, n := range lengths {
			if n > 0 {
				got = append(got, window{d.hashOf(i, int(n)), int32(i)})
			}
		}
		if want := cutOneByOne(d, enough); !slices.Equal(got, want) || most > 1 && len(want) < 1000 {
			t.Errorf("bits up to %v: %d windows, want %d", most, len(got), len(want))
		}
	}
}
