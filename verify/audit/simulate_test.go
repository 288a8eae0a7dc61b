package audit_test

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"bayproof/verify"
	"bayproof/verify/audit"
	"bayproof/verify/audit/plausible"
)

var simulate = flag.Bool("simulate", false, "run the simulations of SIMULATION.md in full")

// honestHouses are forty jobs of eight crews, half of them weighing, unlike in evenness and in how
// far their jobs differ.
func honestHouses(r *rand.Rand) (houses []*houseOf, crews []*crewOf) {
	for c := range 8 {
		crew := &crewOf{name: fmt.Sprint("crew ", c+1), mean: 3.85, spread: 0.035 * 3.5 * math.Exp(0.5*r.NormFloat64()), between: 0.06, voids: 0.06,
			way: []string{"ends", "weight"}[c%2], counted: c != 3, day: 1 + c}
		crews = append(crews, crew)
		for j := range 5 {
			houses = append(houses, crew.newHouse(r, fmt.Sprintf("job %d-%d", c+1, j+1), 20+r.IntN(9)))
		}
	}
	return houses, crews
}

// fake is one kind of fabrication: what a crew does to its jobs, or to one of them, and how many of
// them.
type fake struct {
	name string
	way  string // of counting of the crew that does it
	jobs int
	do   func(r *rand.Rand, h *houseOf, all []*houseOf) // all: the honest jobs, of which some are copied
	code []verify.Code                                  // what may find it
}

// nearest is the quarter of a bag that is nearest to 3.72 lb/ft³.
func nearest(h *houseOf, i int) float64 { return math.Round(3.72*h.volume(i)/bagPounds*4) / 4 }

// like gives a job the first n rows of another one: sizes, amounts and tube.
func like(h, other *houseOf, n int) int {
	n = min(n, len(h.lengths), len(other.lengths))
	copy(h.lengths[:n], other.lengths)
	copy(h.depths[:n], other.depths)
	copy(h.amount[:n], other.amount)
	copy(h.reach[:n], other.reach)
	return n
}

// weighing picks an honest job of a weighing crew.
func weighing(r *rand.Rand, all []*houseOf) *houseOf {
	for {
		if h := all[r.IntN(len(all))]; h.crew.way == "weight" {
			return h
		}
	}
}

func fakes() []fake {
	return []fake{
		{"counts worked backwards", "ends", 5, func(_ *rand.Rand, h *houseOf, _ []*houseOf) {
			for i := range h.amount {
				h.amount[i] = nearest(h, i)
			}
		}, []verify.Code{plausible.NearestStep, plausible.NearestOften}},
		{"the same with jitter: one count in eight moved by a step", "ends", 5, func(r *rand.Rand, h *houseOf, _ []*houseOf) {
			for i := range h.amount {
				if h.amount[i] = nearest(h, i); r.IntN(8) == 0 {
					h.amount[i] += 0.25 * float64(2*r.IntN(2)-1)
				}
			}
		}, []verify.Code{plausible.NearestStep, plausible.NearestOften}},
		{"weights made from sizes", "weight", 5, func(r *rand.Rand, h *houseOf, _ []*houseOf) {
			for i := range h.amount {
				h.amount[i] = math.Round(3.72*h.volume(i)*10) / 10
			}
		}, []verify.Code{plausible.MadeWeights}},
		{"15 rows copied", "weight", 1, func(r *rand.Rand, h *houseOf, all []*houseOf) { like(h, weighing(r, all), 15) }, []verify.Code{plausible.CopiedRows}},
		{"15 rows copied within 0.2 lb", "weight", 1, func(r *rand.Rand, h *houseOf, all []*houseOf) {
			for i := range like(h, weighing(r, all), 15) {
				h.amount[i] = math.Round((h.amount[i]+0.4*r.Float64()-0.2)*10) / 10
				h.reach[i] = h.lengths[i] - float64(r.IntN(5))/4
			}
		}, []verify.Code{plausible.CopiedNear}},
		{"15 rows copied in another order", "weight", 1, func(r *rand.Rand, h *houseOf, all []*houseOf) {
			n := like(h, weighing(r, all), 15)
			r.Shuffle(n, func(a, b int) {
				h.lengths[a], h.lengths[b] = h.lengths[b], h.lengths[a]
				h.depths[a], h.depths[b] = h.depths[b], h.depths[a]
				h.amount[a], h.amount[b] = h.amount[b], h.amount[a]
				h.reach[a], h.reach[b] = h.reach[b], h.reach[a]
			})
		}, []verify.Code{plausible.CopiedShuffled, plausible.CopiedRows}},
		{"a job copied with its bays renamed", "ends", 1, func(r *rand.Rand, h *houseOf, all []*houseOf) {
			for { // of bags read to a quarter, and the tube's marks
				if o := all[r.IntN(len(all))]; o.crew.way == "ends" {
					n := like(h, o, 100)
					h.lengths, h.depths, h.amount, h.reach, h.times, h.looks = h.lengths[:n], h.depths[:n], h.amount[:n], h.reach[:n], h.times[:n], h.looks[:n]
					return
				}
			}
		}, []verify.Code{plausible.CopiedRows}},
		{"a photo saved anew", "ends", 1, func(r *rand.Rand, h *houseOf, all []*houseOf) {
			o := all[r.IntN(len(all))]
			h.looks[3] = o.looks[5]
			for range 6 { // signs that saving anew turns
				k := r.IntN(256)
				h.looks[3][k/64] ^= 1 << (k % 64)
			}
		}, []verify.Code{plausible.PhotoAlike}},
		{"a day in eight minutes", "ends", 1, func(_ *rand.Rand, h *houseOf, _ []*houseOf) {
			first, all := h.times[0], h.times[len(h.times)-1].Sub(h.times[0])
			for i := range h.times {
				h.times[i] = first.Add(time.Duration(float64(8*time.Minute) * float64(h.times[i].Sub(first)) / float64(all)))
			}
		}, []verify.Code{plausible.TooFast}},
		{"overlapping clocks", "ends", 2, func(_ *rand.Rand, h *houseOf, _ []*houseOf) {
			days := 200 - h.times[0].YearDay() // both of its jobs on one day
			for i := range h.times {
				h.times[i] = h.times[i].AddDate(0, 0, days)
			}
		}, []verify.Code{plausible.TwoPlaces}},
		{"a quarter too much per bay", "ends", 5, func(_ *rand.Rand, h *houseOf, _ []*houseOf) {
			for i := range h.amount {
				h.amount[i] += 0.25
			}
		}, []verify.Code{plausible.BagsBought, plausible.CrewTotals}},
		{"an own pass mark", "ends", 5, func(_ *rand.Rand, h *houseOf, _ []*houseOf) { h.settings = "target,3.0 lb/ft3\nconfidence,0.6\n" }, []verify.Code{plausible.OwnTerms}},
	}
}

// TestSimulatedFakes holds how many of twelve kinds of fabrication are found, all twelve in one
// programme beside forty honest jobs, and that no finding speaks about an honest job alone more
// often than is promised.
func TestSimulatedFakes(t *testing.T) {
	n := 4
	if *simulate {
		n = 20
	}
	kinds := fakes()
	found := make([]int, len(kinds))
	wrong, all := 0, 0
	for p := range n {
		r := rand.New(rand.NewPCG(uint64(p), 2020))
		houses, _ := honestHouses(r)
		honest := slices.Clone(houses)
		of := map[int]int{} // kind by job
		for k, kind := range kinds {
			crew := &crewOf{name: fmt.Sprint("fake ", k+1), mean: 3.85, spread: 0.12, between: 0.06, voids: 0.06, way: kind.way, counted: true, day: 20 + 7*k}
			if kind.name == "an own pass mark" {
				crew.mean = 3.4
			}
			for j := range kind.jobs {
				h := crew.newHouse(r, fmt.Sprintf("fake %d-%d", k+1, j+1), 24)
				kind.do(r, h, honest)
				of[len(houses)] = k + 1
				houses = append(houses, h)
			}
		}
		rev := review(t, houses, audit.Options{}, nil)
		hit := map[int]bool{}
		for i := range rev.Findings {
			f := &rev.Findings[i]
			all++
			right := false
			for _, j := range f.Jobs {
				if k := of[j]; k > 0 {
					right = true
					if slices.Contains(kinds[k-1].code, f.Code) {
						hit[k] = true
					}
				}
			}
			if !right {
				wrong++
				t.Logf("programme %d: %s about honest jobs: %v %v", p, f.Code, f.Jobs, f.Data)
			}
		}
		for k, kind := range kinds {
			if hit[k+1] {
				found[k]++
			} else {
				t.Logf("programme %d: %s: not found", p, kind.name)
			}
		}
	}
	good := 0
	for k, kind := range kinds {
		t.Logf("%-60s found in %2d of %d", kind.name, found[k], n)
		if 5*found[k] >= 4*n {
			good++
		}
	}
	t.Logf("%d of %d kinds found in four programmes of five; %d of %d findings speak about no fake", good, len(kinds), wrong, all)
	if good < 10 {
		t.Errorf("%d of %d kinds found in four programmes of five, want 10", good, len(kinds))
	}
}

// TestSimulatedHonestProgrammes: no finding at all in nineteen of twenty.
func TestSimulatedHonestProgrammes(t *testing.T) {
	n := 10
	if *simulate {
		n = 200
	}
	any := 0
	for p := range n {
		r := rand.New(rand.NewPCG(uint64(p), 2021))
		houses, _ := honestHouses(r)
		rev := review(t, houses, audit.Options{}, nil)
		if len(rev.Findings) > 0 {
			any++
			for _, f := range rev.Findings {
				t.Logf("programme %d: %s %s %v p %.2g", p, f.Code, f.Crew, f.Data, f.P)
			}
		}
	}
	t.Logf("%d of %d honest programmes of 40 jobs with a finding", any, n)
	if limit := 0.05*float64(n) + 3*math.Sqrt(0.05*0.95*float64(n)); float64(any) > limit {
		t.Errorf("%d of %d, at most %.1f expected", any, n, limit)
	}
}
