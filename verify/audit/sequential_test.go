package audit

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestSequentialIsValid: an honest job is one more replay, so what share of the replays agrees as well is anything between
// none and all; then the estimate is at most x in at most a share x of the jobs.
func TestSequentialIsValid(t *testing.T) {
	const jobs = 40_000
	r := rand.New(rand.NewPCG(4, 4))
	levels := [...]float64{0.01, 0.05, 0.1, 0.125, 0.2, 0.25, 0.3, 0.34, 0.5, 0.75, 1}
	var low [len(levels)]int
	replays := 0
	for range jobs {
		share := r.Float64()
		p, n := sequential(func() bool { return r.Float64() < share })
		replays += n
		for i, x := range levels {
			if p <= x {
				low[i]++
			}
		}
	}
	for i, x := range levels {
		got := float64(low[i]) / jobs
		if limit := x + 3*math.Sqrt(x*(1-x)/jobs); got > limit { // three standard deviations
			t.Errorf("p ≤ %v in a share of %v", x, got)
		}
		if x <= 0.05 && got < 0.8*x { // it stops early hardly ever where that would hide something
			t.Errorf("p ≤ %v in a share of %v only", x, got)
		}
	}
	t.Logf("%.1f replays a job; shares of p at most %v: %v of %d", float64(replays)/jobs, levels, low, jobs)
}

// TestSequentialStopsEarly: where all replays agree as well it takes three, where none does all of them.
func TestSequentialStopsEarly(t *testing.T) {
	if p, n := sequential(func() bool { return true }); p != 1 || n != 3 {
		t.Errorf("p %v after %d", p, n)
	}
	if p, n := sequential(func() bool { return false }); n != mostReplays || p != 1/float64(mostReplays+1) {
		t.Errorf("p %v after %d", p, n)
	}
}
