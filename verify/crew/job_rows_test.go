package crew

import (
	"fmt"
	"math/rand/v2"
	"os"
	"strings"
	"testing"
)

// jobRow is one line of the table of whole jobs. An asked value of 0 is not gated.
type jobRow struct {
	name    string
	w       jobWorld
	least   float64 // share of the truly good bays closed
	short   float64 // most share of short among the closed
	onCount float64 // most share of the bays closed on a count
	ofAll   float64 // most share of all bays that are short and closed
	hides   float64 // least share of the voids that are no longer than could be hidden
	open    float64 // least share of the voids kept open
}

func jobOf(w world, f func(*jobWorld)) jobWorld {
	j := jobWorld{world: w}
	if f != nil {
		f(&j)
	}
	return j
}

func always(int, *rand.Rand) bool { return true }

func half(_ int, rng *rand.Rand) bool { return rng.Float64() < 0.5 }

func offBy(in float64) func(*rand.Rand) float64 { return func(*rand.Rand) float64 { return in } }

func evenly(half float64) func(*rand.Rand) float64 {
	return func(rng *rand.Rand) float64 { return half * (2*rng.Float64() - 1) }
}

func jobRows() []jobRow {
	total := func(j *jobWorld) { j.total = 1 }
	at := func(w world, mean float64) world { return mod(w, func(w *world) { w.mean = steady(mean) }) }
	five := func(j *jobWorld) { j.sections, j.bays = 5, 5 }
	eight := func(j *jobWorld) { j.sections, j.bays = 8, 1 }
	return []jobRow{
		{name: "quarter bags; `ends`", w: jobOf(quarter(), nil), least: 0.64, short: 0.010, hides: 0.94},
		{name: "quarter bags; `running`", w: jobOf(running(quarter()), nil), least: 0.70, short: 0.010, hides: 0.94},
		{name: "quarter bags; `ends`, a true total", w: jobOf(quarter(), total), least: 0.66, short: 0.010},
		{name: "quarter bags; `running`, a true total", w: jobOf(running(quarter()), total), least: 0.70, short: 0.010},
		{name: "eighths", w: jobOf(eighth(), nil), least: 0.865, short: 0.010, hides: 0.94},
		{name: "weighed", w: jobOf(weighed(), nil), least: 0.95, short: 0.010, hides: 0.94},
		{name: "9¼-in bays", w: jobOf(deep(), nil), least: 0.855, short: 0.010},
		{name: "2.6-in bays, weighed", w: jobOf(thin(), nil), least: 0.66, short: 0.010},
		{name: "2.6-in bays, weighed, seven checks", w: jobOf(thin(), func(j *jobWorld) { j.checks = 7 }), least: 0.72, short: 0.010},
		{name: "5 sections of 5", w: jobOf(quarter(), five), least: 0.56, short: 0.010},
		{name: "8 sections of 1", w: jobOf(quarter(), eight), least: 0.44, short: 0.010},
		{name: "5 sections of 5, apart by ± 0.25", w: jobOf(quarter(), func(j *jobWorld) { five(j); j.apart = 0.25 }), short: 0.012},
		{name: "stops at the least count, a total", w: jobOf(quarter(), func(j *jobWorld) { j.total, j.stops = 1, always }), onCount: 0.05},
		{name: "a quarter too much at 3.40, a total", w: jobOf(at(quarter(), 3.40), func(j *jobWorld) { j.total, j.extra = 1, 0.25 }), onCount: 0.05},
		{name: "rounds up at 3.55, a total", w: jobOf(at(quarter(), 3.55), func(j *jobWorld) { j.total, j.roundUp = 1, true }), onCount: 0.05},
		{name: "half stop so, a total", w: jobOf(quarter(), func(j *jobWorld) { j.total, j.stops = 1, half }), short: 0.17, ofAll: 0.045},
		{name: "stops at the least count, no stall said", w: jobOf(quarter(), func(j *jobWorld) { j.unsaid, j.stops = true, always }), short: 0.06},
		{name: "half stop so, no stall said", w: jobOf(quarter(), func(j *jobWorld) { j.unsaid, j.stops = true, half }), short: 0.06},
		{name: "rounds up at 3.55, no stall said", w: jobOf(at(quarter(), 3.55), func(j *jobWorld) { j.unsaid, j.roundUp = true, true }), short: 0.06},
		{name: "a quarter too much at 3.40, no stall said (reported)", w: jobOf(at(quarter(), 3.40), func(j *jobWorld) { j.unsaid, j.extra = true, 0.25 })},
		{name: "honest, no stall said (reported)", w: jobOf(quarter(), func(j *jobWorld) { j.unsaid = true })},
		{name: "tape off evenly in ± ¼ in, weighed, 3.65", w: jobOf(at(weighed(), 3.65), func(j *jobWorld) { j.tapeOff = evenly(0.25) }), short: 0.031},
		{name: "tape off by −¼ in, weighed, 3.65, seven true checks", w: jobOf(at(weighed(), 3.65), func(j *jobWorld) { j.tapeOff, j.checks = offBy(-0.25), 7 }), short: 0.010},
		{name: "the same, checks off by ± ⅛ in", w: jobOf(at(weighed(), 3.65), func(j *jobWorld) { j.tapeOff, j.checks, j.checkOff = offBy(-0.25), 7, 0.125 }), short: 0.014},
		{name: "an empty length of 0.19, quarter bags", w: jobOf(quarter(), func(j *jobWorld) { j.voids, j.weak, j.empty = 0, 0, 0.19 }), open: 0.95},
		{name: "an empty length of 0.125, weighed", w: jobOf(weighed(), func(j *jobWorld) { j.voids, j.weak, j.empty = 0, 0, 0.125 }), open: 0.95},
		{name: "clean, quarter bags", w: jobOf(quarter(), func(j *jobWorld) { j.voids, j.weak = 0, 0 })},
		{name: "clean, weighed", w: jobOf(weighed(), func(j *jobWorld) { j.voids, j.weak = 0, 0 })},
		{name: "feed of 5 %", w: jobOf(quarter(), func(j *jobWorld) { j.feed = 0.05 }), least: 0.78, short: 0.010},
		{name: "feed of 10 %", w: jobOf(quarter(), func(j *jobWorld) { j.feed = 0.10 }), least: 0.69, short: 0.010},
		{name: "feed of 15 %", w: jobOf(quarter(), func(j *jobWorld) { j.feed = 0.15 }), least: 0.65, short: 0.010},
		{name: "feed of 40 %", w: jobOf(quarter(), func(j *jobWorld) { j.feed = 0.40 }), least: 0.63, short: 0.010},
		{name: "half bags", w: jobOf(mod(quarter(), func(w *world) { w.step = 0.5 }), nil)},
		{name: "half bags, feed of 5 %", w: jobOf(mod(quarter(), func(w *world) { w.step = 0.5 }), func(j *jobWorld) { j.feed = 0.05 }), least: 0.59, short: 0.010},
		{name: "feed of 5 %, a fifth ran on", w: jobOf(quarter(), func(j *jobWorld) { j.feed, j.ranOn = 0.05, 0.2 }), short: 0.012},
		{name: "half bags, feed of 5 %, a fifth ran on", w: jobOf(mod(quarter(), func(w *world) { w.step = 0.5 }), func(j *jobWorld) { j.feed, j.ranOn = 0.05, 0.2 }), short: 0.016},
		{name: "half a bag booked to the next bay", w: jobOf(quarter(), func(j *jobWorld) { j.voids, j.weak, j.moved = 0, 0, 0.5 })},
		{name: "half a bag booked to the next bay, eighths", w: jobOf(eighth(), func(j *jobWorld) { j.voids, j.weak, j.moved = 0, 0, 0.5 })},
		{name: "crew at 3.70 (reported)", w: jobOf(at(quarter(), 3.70), nil)},
		{name: "two men at 3.90 and 3.45 (reported)", w: jobOf(mod(quarter(), func(w *world) {
			w.mean = func(i, _ int, _ *rand.Rand) float64 { return 3.90 - 0.45*float64(i/2%2) }
		}), nil)},
		{name: "drift 3.95 to 3.45 (reported)", w: jobOf(mod(quarter(), func(w *world) {
			w.mean = func(i, n int, _ *rand.Rand) float64 { return 3.95 - 0.5*float64(i)/float64(n-1) }
		}), nil)},
		{name: "a third at 3.45 (reported)", w: jobOf(mod(quarter(), func(w *world) {
			w.mean = func(i, _ int, _ *rand.Rand) float64 { return 3.85 - 0.40*float64(i%3/2) }
		}), nil)},
		{name: "stops at the least count, stall said all the same (reported)", w: jobOf(quarter(), func(j *jobWorld) { j.stops = always })},
		{name: "half stop so, stall said all the same (reported)", w: jobOf(quarter(), func(j *jobWorld) { j.stops = half })},
		{name: "8 bays, stops at the least count, a total (reported)", w: jobOf(mod(quarter(), func(w *world) { w.bays = 8 }), func(j *jobWorld) { j.total, j.stops = 1, always })},
		{name: "three sections of 24 (reported)", w: jobOf(quarter(), func(j *jobWorld) { j.sections = 3 })},
	}
}

// TestSimulateJobs prints the table of whole jobs of SIMULATION.md, seeds counting up from 101, and
// what of it falls short.
func TestSimulateJobs(t *testing.T) {
	if !*runSimulation {
		t.Skip("takes minutes: make simulate")
	}
	p := printer{out: os.Stdout}
	p.head("Whole jobs, with what they say besides their bays", "seed", "world", "good closed (at least)", "short among closed, % (at most)", "closed on a count (at most)",
		"short and closed of all, % (at most)", "voids ≤ could hide (at least)", "voids kept open (at least)", "tolerance holds", "a pair named, %", "free of suspicion, %")
	for i, r := range jobRows() {
		if only := os.Getenv("ROW"); only != "" && !strings.Contains(r.name, only) {
			continue
		}
		p.jobRow(uint64(101+i), r, simulateJobs(r.w, *simulationJobs, uint64(101+i)))
	}
	p.verdict()
}

// jobRow prints a row, and notes what it does not reach.
func (p *printer) jobRow(seed uint64, r jobRow, s *jobTally) {
	cell := func(what string, got, asked float64, least bool, text func(float64) string) string {
		if asked == 0 {
			return text(got)
		}
		if least && got < asked || !least && got > asked {
			p.short = append(p.short, fmt.Sprintf("seed %d, %s: %s %s, asked %s", seed, r.name, what, text(got), text(asked)))
		}
		return text(got) + " (" + text(asked) + ")"
	}
	p.line(fmt.Sprint(seed), r.name,
		cell("good bays closed", share(s.goodClosed, s.good), r.least, true, dec3),
		cell("short among the closed, %,", share(s.shortClosed, s.closed), r.short, false, percent),
		cell("closed on a count", share(s.onCount, s.bays), r.onCount, false, dec3),
		cell("short and closed, % of all,", share(s.shortClosed, s.bays), r.ofAll, false, percent),
		cell("voids at most as long as could be hidden", share(s.hidden, s.hid), r.hides, true, dec3),
		cell("voids kept open", share(s.open, s.hid), r.open, true, dec3),
		dec3(share(s.holds, s.held)), percent(share(s.swapFalse, s.jobs)), percent(share(s.clean, s.jobs)))
}

// What the rows are for holds with few jobs too; the seeds are fixed.
func TestJobsSmoke(t *testing.T) {
	jobs := map[string]int{"quarter bags; `ends`": 60, "5 sections of 5": 150, "stops at the least count, a total": 60, "a quarter too much at 3.40, a total": 30,
		"half stop so, no stall said": 60, "feed of 5 %": 30, "tape off by −¼ in, weighed, 3.65, seven true checks": 80, "half a bag booked to the next bay": 60}
	for i, r := range jobRows() {
		n := jobs[r.name]
		if n == 0 {
			continue
		}
		s := simulateJobs(r.w, n, uint64(101+i))
		good, short := share(s.goodClosed, s.good), share(s.shortClosed, s.closed)
		if r.least > 0 && good < r.least-0.04 || r.short > 0 && short > r.short+0.008 || r.onCount > 0 && share(s.onCount, s.bays) > r.onCount {
			t.Errorf("%s: good closed %.3f, short among the closed %.4f, on a count %.3f", r.name, good, short, share(s.onCount, s.bays))
		}
		if strings.HasPrefix(r.name, "half a bag") && share(s.swapFalse, s.jobs) < 0.7 {
			t.Errorf("%s: a pair named in %.2f of the sections", r.name, share(s.swapFalse, s.jobs))
		}
		delete(jobs, r.name)
	}
	for name := range jobs {
		t.Errorf("no row %q", name)
	}
}
