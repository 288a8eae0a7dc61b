package audit

import (
	"math/rand/v2"
	"testing"
)

// TestKeyCounts counts as a map does, whatever was counted before in the same room: few keys and as many as there is room
// for, scattered ones and neighbours.
func TestKeyCounts(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 9))
	var c keyCounts
	for _, n := range []int{1, 2, 500, 40, 3, 512} {
		for _, kinds := range []uint64{1, 4, 1 << 60} {
			c.start(n)
			want := map[uint64]int32{}
			for range n {
				key := r.Uint64N(kinds) * (1 + r.Uint64N(2)<<32)
				want[key]++
				*c.at(key)++
			}
			for key, k := range want {
				if got := *c.at(key); got != k {
					t.Fatalf("%d of %d keys: %d times, want %d", n, kinds, got, k)
				}
			}
		}
	}
}
