package audit

import (
	"math"
	"math/rand/v2"
	"testing"

	"bayproof/model"
	"bayproof/verify/stat"
)

// TestFillReadsAsHoppersAre holds the replayed counts, whose levels are drawn within a step, against levels drawn anywhere
// in a hopper and read to the nearest step at both ends.
func TestFillReadsAsHoppersAre(t *testing.T) {
	const bays, spread = 40_000, 0.2
	for _, counting := range []model.Counting{model.CountingEnds, model.CountingFresh, model.CountingRunning} {
		c := sectionCounts{step: 0.25, counting: counting, perVolume: 1.3 * 0.25}
		for range bays {
			c.volume = append(c.volume, 1)
		}
		r := replay{random: stat.Rand(5)}
		got, want := moments(r.fill(&c, spread)), moments(hopper(&c, spread))
		for k := range got {
			// Four standard deviations of a difference; neighbours hang together, but not so much that it doubles.
			limit := 4 * math.Hypot(got[k].sd, want[k].sd) / math.Sqrt(bays)
			if !(math.Abs(got[k].mean-want[k].mean) <= limit) {
				t.Errorf("%v, moment %d: %v, want %v ± %.2g", counting, k, got[k].mean, want[k].mean, limit)
			}
		}
	}
}

// hopper fills bays from a hopper as full as may be and reads it.
func hopper(c *sectionCounts, spread float64) []float64 {
	r := rand.New(rand.NewPCG(6, 6))
	read := func(x float64) float64 { return math.Round(x/c.step) * c.step }
	level, out := 100*r.Float64(), []float64(nil)
	for _, v := range c.volume {
		switch c.counting {
		case model.CountingFresh:
			level = 0
		case model.CountingEnds:
			level = 100 * r.Float64()
		}
		before := read(level)
		level += c.perVolume * v * (1 + spread*r.NormFloat64())
		out = append(out, read(level)-before)
	}
	return out
}

type moment struct{ mean, sd float64 }

// moments are those of the counts, their squares, and the products of neighbours.
func moments(x []float64) [3]moment {
	var of [3][]float64
	for i, n := range x[:len(x)-1] {
		of[0], of[1], of[2] = append(of[0], n), append(of[1], n*n), append(of[2], n*x[i+1])
	}
	var out [3]moment
	for k := range out {
		out[k].mean, out[k].sd = stat.MeanSD(of[k])
	}
	return out
}
