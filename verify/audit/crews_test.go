package audit_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"bayproof/model"
	"bayproof/verify/audit"
)

// likeCrews are crews that are all alike but for how they count, three jobs each.
func likeCrews(r *rand.Rand, crews, jobs int) (houses []*houseOf) {
	for c := range crews {
		crew := &crewOf{name: fmt.Sprintf("crew %02d", c+1), mean: 3.85, spread: 0.12, between: 0.08, voids: 0.06,
			way: []string{"ends", "weight", "ends"}[c%3], stopped: c%3 == 2, counted: true, day: c}
		for j := range jobs {
			h := crew.newHouse(r, fmt.Sprintf("job %d-%d", c+1, j+1), 18+r.IntN(13))
			h.looks = nil
			houses = append(houses, h)
		}
	}
	return houses
}

// shortTruth is the share of bays of such a crew that are short, and the mean of their densities:
// by a million bays.
func shortTruth(c *crewOf) (short, mean float64) {
	r := rand.New(rand.NewPCG(1, 1))
	const n = 1_000_000
	for range n {
		rho := c.mean + c.between*r.NormFloat64() + c.spread*r.NormFloat64()
		if r.Float64() < c.voids {
			rho *= 1 - 0.05 - 0.4*r.Float64()
		}
		mean += rho / n
		if rho < 3.5 {
			short += 1.0 / n
		}
	}
	return short, mean
}

// TestSimulatedLikeCrews reviews whole logs of crews that are all alike but for their way of
// counting: how many lie outside the limits, and how often the intervals hold the truth.
func TestSimulatedLikeCrews(t *testing.T) {
	n := 8
	if *simulate {
		n = 200
	}
	short, mean := shortTruth(&crewOf{mean: 3.85, spread: 0.12, between: 0.08, voids: 0.06})
	var looked, outside, wayOutside, held, shares, shortHeld, shortOutside int
	var shortSum, meanSum [3]float64
	var reached [3]float64
	for p := range n {
		r := rand.New(rand.NewPCG(uint64(p), 2022))
		rev := review(t, likeCrews(r, 20, 3), audit.Options{Figures: true}, nil)
		for c := range rev.Crews {
			g := &rev.Crews[c]
			looked++
			if g.Outside() != 0 {
				outside++
			}
			if g.Outside() == 2 || g.Outside() == -2 {
				wayOutside++
			}
			unit := model.PoundPerCubicFoot
			if g.Density.Lo <= mean*unit && mean*unit <= g.Density.Hi {
				held++
			}
			if c%3 < 2 {
				shares++
				if g.Short.Lo <= short && short <= g.Short.Hi {
					shortHeld++
				}
				if g.Short.Outside != 0 {
					shortOutside++
				}
			}
			k := float64(n) * float64([]int{7, 7, 6}[c%3])
			shortSum[c%3] += g.Short.Share / k
			meanSum[c%3] += g.Density.Mean / unit / k
			reached[c%3] += g.Reached.Share / k
		}
	}
	share := func(k int) float64 { return 100 * float64(k) / float64(looked) }
	t.Logf("%d programmes of 20 like crews: %.1f %% outside 95 %%, %.2f %% outside 99.8 %%; intervals of the mean hold the truth in %.1f %%, of the share short in %.1f %% (%.1f %% outside)",
		n, share(outside), share(wayOutside), share(held), 100*float64(shortHeld)/float64(shares), 100*float64(shortOutside)/float64(shares))
	t.Logf("truth: %.3f lb/ft³, %.1f %% short; by way (ends, weight, ends without stall): means %.3f, short %.3f, CLOSE of reachable %.2f", mean, 100*short, meanSum, shortSum, reached)
	sd := func(p float64) float64 { return 3 * math.Sqrt(p*(1-p)*float64(looked)) }
	if float64(outside) > 0.06*float64(looked)+sd(0.06) || float64(wayOutside) > 0.004*float64(looked)+sd(0.004) {
		t.Errorf("%d and %d of %d outside the limits", outside, wayOutside, looked)
	}
	if float64(held) < 0.93*float64(looked)-sd(0.93) {
		t.Errorf("intervals hold the truth in %d of %d", held, looked)
	}
}

// TestSimulatedOwnPassMark: a crew that packs to 3.4 lb/ft³ and sets its own pass mark is last,
// outside the limits, and named.
func TestSimulatedOwnPassMark(t *testing.T) {
	n := 3
	if *simulate {
		n = 20
	}
	last, out, named := 0, 0, 0
	for p := range n {
		r := rand.New(rand.NewPCG(uint64(p), 2023))
		houses := likeCrews(r, 9, 5)
		crew := &crewOf{name: "own mark", mean: 3.4, spread: 0.12, between: 0.08, voids: 0.06, way: "ends", counted: true, day: 3}
		for j := range 5 {
			h := crew.newHouse(r, fmt.Sprint("own ", j), 24)
			h.looks, h.settings, h.close = nil, "target,3.0 lb/ft3\nconfidence,0.6\n", true
			houses = append(houses, h)
		}
		rev := review(t, houses, audit.Options{}, nil)
		lowest, most := 0, 0
		for i := range rev.Crews {
			if rev.Crews[i].Density.Mean < rev.Crews[lowest].Density.Mean {
				lowest = i
			}
			if rev.Crews[i].Short.Share > rev.Crews[most].Short.Share {
				most = i
			}
		}
		if rev.Crews[lowest].Name == "own mark" && lowest == most {
			last++
			if rev.Crews[lowest].Outside() == -2 {
				out++
			}
		}
		jobs := map[int]bool{}
		for _, f := range rev.Findings {
			if f.Code == "own-terms" {
				jobs[f.Jobs[0]] = true
			}
		}
		if len(jobs) == 5 {
			named++
		}
		if rev.Needs.Bays[audit.ShortClosed] == 0 || rev.Jobs[rev.Ranked()[0]].Crew != "own mark" {
			t.Errorf("programme %d: its short and closed bays do not come first", p)
		}
	}
	t.Logf("own pass mark: last in mean and share short in %d of %d, outside the outer limits in %d, all five jobs named in %d", last, n, out, named)
	if last < n || named < n {
		t.Errorf("last in %d, named in %d of %d", last, named, n)
	}
}
