package crew

import (
	"math"
	"math/rand/v2"
	"testing"

	"bayproof/model"
)

// difference is how far the fast answer is from the slow one over some bays.
type difference struct {
	worst, worstNear float64 // of all; of those with p in 0.90 to 0.98
	bad              float64
	far, near, bays  int // bays off by more than 0.002
}

func (d *difference) add(fast Posterior, slow bruteLot) {
	off := math.Abs(fast.ProbAtTarget - slow.pass)
	d.bays++
	d.worst = math.Max(d.worst, off)
	d.bad = math.Max(d.bad, math.Abs(fast.Bad-slow.bad))
	if off > 0.002 {
		d.far++
	}
	if slow.pass > 0.90 && slow.pass < 0.98 {
		d.worstNear = math.Max(d.worstNear, off)
		d.near++
	}
}

func (d *difference) join(o *difference) {
	d.bays, d.far, d.near = d.bays+o.bays, d.far+o.far, d.near+o.near
	d.worst, d.worstNear = math.Max(d.worst, o.worst), math.Max(d.worstNear, o.worstNear)
}

// ordinary sections are those that a crew that packs alike leaves, whatever the counting; odd ones
// strain the grid.
func bruteWorlds() (ordinary, odd map[string]world) {
	eighth := mod(quarter(), func(w *world) { w.step, w.readings = 0.125, 2 })
	weighed := mod(quarter(), func(w *world) { w.weighed, w.readings = 0.5, 3 })
	ordinary = map[string]world{
		"quarter": quarter(), "eighth": eighth, "weighed": weighed,
		"fresh":    mod(quarter(), func(w *world) { w.counting = model.CountingFresh }),
		"one bay":  mod(quarter(), func(w *world) { w.bays = 1 }),
		"four":     mod(eighth, func(w *world) { w.bays = 4 }),
		"crew 3.6": mod(eighth, func(w *world) { w.mean = steady(3.6) }),
	}
	odd = map[string]world{
		"two densities": mod(quarter(), func(w *world) {
			w.mean = func(i, _ int, _ *rand.Rand) float64 { return 3.85 - 0.45*float64(i%2) }
		}),
		"half bad": mod(eighth, func(w *world) { w.voids, w.weak = 0.3, 0.2 }),
		"sixty":    mod(eighth, func(w *world) { w.bays = 60 }),
		"exact":    mod(weighed, func(w *world) { w.weighed, w.within, w.spread = 0.05, 0.02, 0.04 }),
	}
	return ordinary, odd
}

// The fast integration against plain sums over even grids. The sums have their own error, below
// 3e-4 by halving their steps.
func TestPosteriorAgainstBruteForce(t *testing.T) {
	t.Parallel()
	sections := 1
	if *runSimulation {
		sections = 12
	}
	b := brute{bruteLike, 0.006, 34, 20, map[[2]float64][]float64{}}
	ordinary, odd := bruteWorlds()
	var all difference
	for _, name := range sortedNames(ordinary) {
		d := againstBrute(b, ordinary[name], sections)
		t.Logf("%-14s %d bays: worst %.5f, in 0.90-0.98 %.5f, bad %.5f", name, d.bays, d.worst, d.worstNear, d.bad)
		all.join(&d)
	}
	if all.far*100 > all.bays || all.worstNear > 0.002 || all.worst > 0.01 {
		t.Errorf("ordinary sections: %d of %d bays off by more than 0.002, worst %.4f, worst in 0.90-0.98 %.4f", all.far, all.bays, all.worst, all.worstNear)
	}
	t.Logf("ordinary sections: %d bays, %d off by more than 0.002, worst %.4f; %d in 0.90-0.98, worst %.4f", all.bays, all.far, all.worst, all.near, all.worstNear)
	if all.near < 5 {
		t.Errorf("only %d bays in 0.90-0.98: the check says nothing", all.near)
	}
	for _, name := range sortedNames(odd) {
		d := againstBrute(b, odd[name], max(1, sections/2))
		t.Logf("%-14s %d bays: worst %.5f, in 0.90-0.98 %.5f, bad %.5f", name, d.bays, d.worst, d.worstNear, d.bad)
		if d.worst > 0.01 {
			t.Errorf("%s: off by %.4f", name, d.worst)
		}
	}
}

func againstBrute(b brute, w world, sections int) (d difference) {
	rng := rand.New(rand.NewPCG(11, 12))
	for range sections {
		lots, _ := w.fill(rng)
		r := judge(lots, target*lb, nil, nil, &context{})
		e, _ := evidenceOf(new(workspace), lots, target*lb, nil, nil)
		for j, slow := range b.judge(e) {
			d.add(r.Lots[j], slow)
		}
	}
	return d
}

// The sums along a counter against the same on a much finer lattice, with even steps of mean,
// spread and rate. Its nodes cost more and are fewer: twice as many bays may be off by more than
// 0.002 as without a counter.
func TestRunningAgainstBruteForce(t *testing.T) {
	t.Parallel()
	sections := 3
	if *runSimulation {
		sections = 20
	}
	b := bruteChain{mus: 41, taus: 18, rates: 10, muLow: 0.92, muHigh: 1.24}
	var all difference
	for name, w := range map[string]world{"quarter": quarter(), "eighth": eighth(), "crew 3.6": mod(eighth(), func(w *world) { w.mean = steady(3.6) })} {
		d := runningAgainstBrute(b, w, sections)
		t.Logf("%-9s %d bays: %d off by more than 0.002, worst %.5f, in 0.90-0.98 %.5f, bad %.5f", name, d.bays, d.far, d.worst, d.worstNear, d.bad)
		all.join(&d)
	}
	if all.near < 5 {
		t.Errorf("only %d bays in 0.90-0.98: the check says nothing", all.near)
	}
	if !(all.worst <= 0.01 && all.worstNear <= 0.003 && all.far*50 <= all.bays) {
		t.Errorf("%d of %d bays off by more than 0.002, worst %.4f, worst in 0.90-0.98 %.4f", all.far, all.bays, all.worst, all.worstNear)
	}
}

// runningAgainstBrute compares sections of 16 bays, the bag weight known.
func runningAgainstBrute(b bruteChain, w world, sections int) (d difference) {
	w = running(w)
	w.bays = 16
	rng := rand.New(rand.NewPCG(21, 22))
	for range sections {
		lots, _ := w.fill(rng)
		for i := range lots {
			lots[i].Common = 0
		}
		r := judge(lots, target*lb, nil, nil, &context{})
		e, _ := evidenceOf(new(workspace), lots, target*lb, nil, nil)
		for j, slow := range b.judge(e) {
			d.add(r.Lots[j], slow)
		}
	}
	return d
}

func sortedNames(m map[string]world) []string {
	var names []string
	for n := range m {
		names = append(names, n)
	}
	for i := range names {
		for j := i; j > 0 && names[j-1] > names[j]; j-- {
			names[j-1], names[j] = names[j], names[j-1]
		}
	}
	return names
}
