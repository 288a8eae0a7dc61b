package compare

import (
	"math"
	"testing"

	"bayproof/verify/stat"
)

// TestFitBalanced holds the model against one-way analysis of variance by hand: like variances,
// equal numbers of jobs.
func TestFitBalanced(t *testing.T) {
	groups := map[string][]float64{"a": {1, 2, 3}, "b": {2, 3, 4}, "c": {6, 7, 8}}
	var units []Unit
	for _, name := range []string{"c", "a", "b"} {
		for _, y := range groups[name] {
			units = append(units, Unit{name, y, 0.25})
		}
	}
	m := Fit(units)
	if m.DOF != 6 || math.Abs(m.SD-math.Sqrt(0.75)) > 1e-6 { // mean square within is 1 = σ² + 0.25
		t.Errorf("ν %v, σ %v, want 6 and %v", m.DOF, m.SD, math.Sqrt(0.75))
	}
	half := stat.StudentQuantile(0.975, 6) / math.Sqrt(3)
	if g := m.Groups[0]; g.Name != "a" || math.Abs(g.Mean-2) > 1e-9 || math.Abs(g.Hi-2-half) > 1e-6 {
		t.Errorf("%+v, want 2 ± %v", g, half)
	}
	if g := m.Groups[2]; g.Outside != 2 || !(g.Shrunk < g.Mean && g.Shrunk > m.Overall) {
		t.Errorf("%+v: above, and drawn to the middle", g)
	}
}

// TestFitEdges: one job a group says nothing of how far jobs differ; nothing at all is nothing.
func TestFitEdges(t *testing.T) {
	m := Fit([]Unit{{"a", 1, 0.1}, {"b", 2, 0.1}, {"b", math.NaN(), 1}})
	if m.DOF != 0 || !math.IsNaN(m.Groups[0].Lo) || !math.IsNaN(m.Groups[0].Low) || m.Groups[0].Outside != 0 {
		t.Errorf("%+v", m)
	}
	if m := Fit(nil); len(m.Groups) != 0 {
		t.Errorf("%+v", m)
	}
	same := Fit([]Unit{{"a", 1, 0.1}, {"a", 1, 0.1}, {"b", 1, 0.1}, {"b", 1, 0.1}})
	if same.SD != 0 || !(same.Groups[0].U > 0.2) { // √(0.1/2), no narrower for scattering less
		t.Errorf("%+v", same)
	}
}

// TestShares: jobs that all stand or all fall count as few bays; jobs alike as all of them.
func TestShares(t *testing.T) {
	together := FitShares([]Count{{"a", 20, 20}, {"a", 0, 20}, {"a", 20, 20}, {"a", 0, 20}, {"b", 0, 20}, {"b", 20, 20}})
	apart := FitShares([]Count{{"a", 10, 20}, {"a", 10, 20}, {"a", 10, 20}, {"a", 10, 20}, {"b", 10, 20}, {"b", 10, 20}})
	if !(together.Effect > 15) || apart.Effect != 1 {
		t.Errorf("design effects %v and %v", together.Effect, apart.Effect)
	}
	if a, b := together.Groups[0], apart.Groups[0]; !(a.Hi-a.Lo > 2*(b.Hi-b.Lo)) || !(b.Lo < 0.5 && b.Hi > 0.5) {
		t.Errorf("%+v, %+v", a, b)
	}
	if s := One([]Count{{"", 0, 20}}); math.Abs(s.Hi-(1-math.Pow(0.025, 0.05))) > 1e-9 || s.Lo != 0 {
		t.Errorf("%+v", s)
	}
}

// TestReach: finer readings and a higher aim show more; a crew's help shows more than a count by
// itself where readings are coarse; a count that may be short of a step shows less.
func TestReach(t *testing.T) {
	r, high := NewReach(56, 61.6, 0.95), NewReach(56, 64, 0.95)
	for _, u := range []float64{0.5, 1, 2, 4} {
		if !(r.Of(u, true) >= r.Of(2*u, true)) || !(high.Of(u, true) >= r.Of(u, true)) || !(r.Of(u, false) >= r.Stopped(u, 3)) {
			t.Errorf("u %v: %v, %v, %v", u, r.Of(u, true), r.Of(2*u, true), high.Of(u, true))
		}
	}
	if !(r.Of(3, true) > r.Of(3, false)) || r.Of(math.NaN(), true) != 0 || r.Stopped(math.NaN(), 1) != 0 {
		t.Errorf("%v by the crew, %v by itself", r.Of(3, true), r.Of(3, false))
	}
}
