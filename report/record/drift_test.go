package record

import (
	"strings"
	"testing"

	"bayproof/model"
	"bayproof/verify"
)

// What the caption of the drift says follows from the findings, and no more than that.
func TestNeighbours(t *testing.T) {
	f := exampleFindings()
	b := builder{show: showFor(f.Job), f: f}
	one, other := &model.Bay{Name: "a1"}, &model.Bay{Name: "a2"}
	plain := verify.Drift{Neighbours: 0.12 * model.PoundPerCubicFoot, Overall: 0.21 * model.PoundPerCubicFoot,
		Points: []verify.DriftPoint{{Bay: one}, {Bay: other}}}
	counter, afresh := plain, plain
	counter.Shared = true
	afresh.Points = []verify.DriftPoint{{Bay: one}, {Bay: &model.Bay{Name: "a2", Run: 1}, Beyond: true}}
	beyond := plain
	beyond.Points = []verify.DriftPoint{{Bay: one, Beyond: true}, {Bay: other, Beyond: true}}
	for _, x := range []struct {
		what        string
		drift       verify.Drift
		says, never []string
	}{
		{"plain", plain, []string{"scatter by 0.12 lb/ft³", "all of them by 0.21,"}, []string{"counter", "set rows", "Beyond"}},
		{"one counter", counter, []string{"share a reading of the counter", "some 1.2 times"}, []string{"set rows", "Beyond"}},
		{"set afresh", afresh, []string{"between set rows", "Beyond three times the first from the mean of the stretch: a2."}, []string{"counter"}},
		{"two beyond", beyond, []string{"from the mean: a1, a2."}, []string{"counter", "set rows"}},
	} {
		got := b.neighbours(x.drift)
		for _, s := range x.says {
			if !strings.Contains(got, s) {
				t.Errorf("%s: no %q in %q", x.what, s, got)
			}
		}
		for _, s := range x.never {
			if strings.Contains(got, s) {
				t.Errorf("%s: %q in %q", x.what, s, got)
			}
		}
	}
}
