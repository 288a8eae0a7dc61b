package plausible

import (
	"math"
	"math/rand/v2"
	"testing"

	"bayproof/model"
)

// TestReadingChance: the chances of all counts add up to one, and are those of hoppers read at both
// ends from anywhere in a step.
func TestReadingChance(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	for _, x := range []struct{ x, tau float64 }{{6.3, 0.001}, {6.5, 0.03}, {2.9, 0.1}, {18, 0.035}} {
		sum := 0.0
		for n := -20.0; n < 80; n++ {
			sum += readingChance(n, x.x, x.tau)
		}
		if math.Abs(sum-1) > 1e-6 { // beyond five standard deviations nothing is reckoned
			t.Errorf("%+v: the chances add up to %v", x, sum)
		}
		const draws = 200_000
		count := map[float64]int{}
		for range draws {
			start := r.Float64()
			count[math.Floor(start+x.x*(1+x.tau*r.NormFloat64()))]++
		}
		for n, k := range count {
			p := readingChance(n, x.x, x.tau)
			if sd := math.Sqrt(p * (1 - p) / draws); math.Abs(float64(k)/draws-p) > 4.5*sd+1e-5 { // of some thirty counts
				t.Errorf("%+v, %v steps: %v, drawn %v", x, n, p, float64(k)/draws)
			}
		}
	}
}

// TestHonestRatioMean: over honest crews of every evenness the mean of E is at most one, along a
// counter too; that is all that p rests on. A crew that works backwards is far above it.
func TestHonestRatioMean(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 8))
	const bag = 25 * model.Pound
	lots := func(tau float64, running, backward bool) (out []lot) {
		level := r.Float64()
		counting := model.CountingEnds
		if running {
			counting = model.CountingRunning
		}
		for range 24 {
			v := (6.9 + 6.9*r.Float64()) * model.CubicFoot
			steps := 4 * 3.8 * model.PoundPerCubicFoot * v / bag * (1 + tau*r.NormFloat64())
			if running {
				level -= math.Floor(level)
			} else {
				level = r.Float64()
			}
			level += steps
			n := math.Floor(level)
			if backward {
				n = math.Round(4 * 3.7 * model.PoundPerCubicFoot * v / bag)
			}
			out = append(out, lot{volume: v, bags: n / 4, mass: math.NaN(), step: 0.25, counting: counting})
		}
		return out
	}
	const jobs = 1500
	for _, running := range []bool{false, true} {
		for _, tau := range []float64{0, 0.005, 0.015, 0.03} {
			sum, most := 0.0, 0.0
			for range jobs {
				a := agreementOf(lots(tau, running, false), bag, true)
				if e := 1 / a.p; a.p < 1 {
					sum, most = sum+e, math.Max(most, e)
				} else {
					sum++ // p is 1 at most: what lies below counts for more than it is
				}
			}
			if mean := sum / jobs; mean > 1.3 { // at least one by how it is added up
				t.Errorf("running %v, spread %v: mean %v, most %v", running, tau, mean, most)
			}
		}
	}
	var crew crewCounts
	for i := range 6 {
		a := agreementOf(lots(0, false, true), bag, true)
		crew.add(i, &a)
	}
	if p := crew.p(); !(p < 1e-6) {
		t.Errorf("six jobs worked backwards: p %v", p)
	}
}
