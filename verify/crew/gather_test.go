package crew

import (
	"math"
	"testing"
)

// Lots that are alike in everything are gathered; a section of them is judged as if each stood by
// itself: as it is when every density is moved by a part in 10¹², which keeps them apart.
func TestGatheredLotsAreJudgedAsEach(t *testing.T) {
	for name, w := range map[string]world{"ends": quarter(), "fresh": mod(quarter(), fresh), "forty": mod(quarter(), func(w *world) { w.bays = 40 })} {
		lots, _ := w.fillSeeded(5)
		for i := range lots { // four kinds of lots, up to eleven of one
			lots[i] = lots[[]int{0, 1, 1, 2, 2, 2, 3, 3, 3, 3}[i%10]]
		}
		known, _ := evidenceOf(new(workspace), lots, target*lb, nil, nil)
		if got, _ := gather(new(workspace), known); len(got) > 8 || count(got) != len(known) {
			t.Fatalf("%s: %d lots are %d evidences for %d", name, len(known), len(got), count(got))
		}
		apart := append(lots[:0:0], lots...)
		for i := range apart {
			apart[i].Density *= 1 + 1e-12*float64(i)
		}
		known, _ = evidenceOf(new(workspace), apart, target*lb, nil, nil)
		if got, _ := gather(new(workspace), known); len(got) != len(known) {
			t.Fatalf("%s: %d lots that differ are %d evidences", name, len(known), len(got))
		}
		a, b := judge(lots, target*lb, nil, nil, &context{}), judge(apart, target*lb, nil, nil, &context{})
		for i := range lots {
			if d := math.Abs(a.Lots[i].ProbAtTarget - b.Lots[i].ProbAtTarget); d > 1e-9 {
				t.Errorf("%s, lot %d: %v gathered, %v apart", name, i, a.Lots[i].ProbAtTarget, b.Lots[i].ProbAtTarget)
			}
		}
		if a.Process.Lots != len(lots) || math.Abs(a.Process.Mean-b.Process.Mean) > 1e-9*b.Process.Mean {
			t.Errorf("%s: %+v gathered, %+v apart", name, a.Process, b.Process)
		}
	}
}

// Lots on one counter share readings and are never gathered, however alike they are.
func TestCounterIsNotGathered(t *testing.T) {
	lots, _ := running(quarter()).fillSeeded(5)
	for i := range lots {
		lots[i].Density, lots[i].Own = lots[0].Density, lots[0].Own
	}
	known, _ := evidenceOf(new(workspace), lots, target*lb, nil, nil)
	if got, _ := gather(new(workspace), known); len(got) != len(known) {
		t.Errorf("%d lots on a counter are %d evidences", len(known), len(got))
	}
}
