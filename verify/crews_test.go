package verify_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"bayproof/verify"
	"bayproof/verify/stat"
)

// crewWorld is a crew whose bays are known: how it packs, counts and logs. Bays of 22½ × 5½ in, 9
// to 15 ft, quarter bags of 25 lb, both ends read. One bay in ten has a void of up to a third.
type crewWorld struct {
	name     string
	mean     float64 // lb/ft³
	settings string
	stops    bool    // the man stops at the least count that reads the target
	extra    float64 // bags booked too much for every bay
	total    bool    // empties are counted, to ± 1 bag
	feed     float64 // scatter of the feed time; 0 for none
	least    float64 // good bays closed, at least
	short    float64 // of the closed, at most; 1 for no limit
	closed   float64 // of all bays, at most; 1 for no limit
}

// fill makes the log of one job and its true densities in lb/ft³.
func (w *crewWorld) fill(r *rand.Rand, bays int) (settings, log string, truth []float64) {
	log = "section,bay,width,depth,length,bags,feed\n"
	hook, label, used := 0.25*(2*r.Float64()-1)/2, 1+0.015*(2*r.Float64()-1), 0.0
	rate := 0.1 * math.Exp(0.2*r.NormFloat64())
	for i := range bays {
		length := []float64{9, 12, 12, 15}[r.IntN(4)]
		volume := 22.5 * 5.5 / 144 * length
		rho := w.mean + 0.1225*r.NormFloat64()
		if r.Float64() < 0.1 {
			rho *= 1 - r.Float64()/3
		}
		start := 4 + 4*r.Float64()
		read := func(x float64) float64 { return math.Round(x*4) / 4 }
		bags := read(start+rho*volume/25/label) - read(start)
		if w.stops {
			bags = math.Ceil(3.5*volume/25*4-1e-9) / 4
			rho = (read(start) + bags - 0.125 - start) * 25 * label / volume
		}
		truth, used = append(truth, rho), used+rho*volume/25/label
		depth := 5.5 + hook + 0.125*(2*r.Float64()-1)
		feed := ""
		if w.feed > 0 {
			feed = fmt.Sprintf("%.0f s", rho*volume/rate*math.Exp(w.feed*r.NormFloat64()))
		}
		log += fmt.Sprintf("s,b%d,22.5,%.3f,%g,%g,%s\n", i+1, depth, length, bags+w.extra, feed)
	}
	if w.total {
		settings = fmt.Sprintf("bags_loaded,%g\nbags_left,10\n", 10+math.Round(4*(used+2*r.Float64()-1))/4)
	}
	return settings + w.settings, log, truth
}

// Crews whose bays are known, through the whole program from the cells on: what closes, and what of
// it is short.
func TestCrewsThroughTheProgram(t *testing.T) {
	jobs := 30
	if *runSimulation {
		jobs = *simulationJobs
	}
	const said = "to_stall,yes\n"
	for k, w := range []crewWorld{
		{name: "honest, stall said", mean: 3.85, settings: said, least: 0.60, short: 0.02, closed: 1},
		{name: "honest, stall said, with a total", mean: 3.85, settings: said, total: true, least: 0.60, short: 0.02, closed: 1},
		{name: "honest, feed to 5 %", mean: 3.85, settings: said, feed: 0.05, least: 0.72, short: 0.02, closed: 1},
		{name: "honest, stall not said", mean: 3.85, least: 0.01, short: 0.03, closed: 0.4},
		{name: "stops at the least count, stall not said", mean: 3.85, stops: true, short: 1, closed: 0.06},
		{name: "stops at the least count, stall said, with a total", mean: 3.85, settings: said, stops: true, total: true, short: 1, closed: 0.15},
		{name: "a quarter too much per bay at 3.4, with a total", mean: 3.4, settings: said, extra: 0.25, total: true, short: 1, closed: 0.05},
	} {
		r := stat.Rand(uint64(20261129 + k))
		var good, goodClosed, closed, shortClosed, all float64
		for range jobs {
			settings, log, truth := w.fill(r, 24)
			f := verify.Check(readJob(t, map[string]string{"job.csv": "name,value\nbag_weight,25 lb\n" + settings, "bays.csv": log}), verify.Options{})
			for i := range f.Bays {
				is := f.Bays[i].Verdict == verify.Close
				all++
				if truth[i] >= 3.5 {
					good++
				}
				if is {
					closed++
					if truth[i] >= 3.5 {
						goodClosed++
					} else {
						shortClosed++
					}
				}
			}
		}
		short := shortClosed / math.Max(closed, 1)
		t.Logf("| %s | %d | %.3f | %.1f %% | %.3f | %.1f %% |", w.name, 20261129+k, goodClosed/math.Max(good, 1), 100*short, closed/all, 100*shortClosed/all)
		slack := 1.0 // few jobs scatter
		if !*runSimulation {
			slack = 1.5
		}
		if goodClosed/math.Max(good, 1) < w.least/slack || short > w.short*slack || closed/all > w.closed*slack {
			t.Errorf("%s: misses closed ≥ %.2f, short ≤ %.2f, all closed ≤ %.2f", w.name, w.least, w.short, w.closed)
		}
	}
}
