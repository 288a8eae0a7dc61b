package crew

import (
	"math"
	"math/rand/v2"
	"testing"

	"bayproof/model"
)

// A predictive asked about no change answers what Judge answers, to what the table of the normal
// curve is good for, and asked about a change what Judge answers for the changed lot. The second
// holds less closely: the change may move the part of μ and τ that the grid follows, and along a
// counter the other lots still believe what they learned from the lot as it was.
func TestPredictAnswersLikeJudge(t *testing.T) {
	worlds := map[string]world{
		"ends":    quarter(),
		"running": mod(quarter(), func(w *world) { w.counting = model.CountingRunning }),
		"fresh":   mod(quarter(), func(w *world) { w.counting = model.CountingFresh }),
		"mixed":   mod(quarter(), func(w *world) { w.weighed, w.weighFirst = 0.5, 5 }),
	}
	within := map[string]float64{"ends": 2e-3, "running": 5e-3, "fresh": 2e-3, "mixed": 2e-3}
	for name, w := range worlds {
		lots, _ := w.fill(rand.New(rand.NewPCG(3, 4)))
		r := Judge(lots, target*lb, Seen{})
		which := []int{1, 7, 20}
		for k, s := range r.Predict(&Section{Lots: lots, Target: target * lb}, which) {
			i := which[k]
			p, bad := s.Prob(Change{})
			if math.Abs(p-r.Lots[i].ProbAtTarget) > 1e-7 || math.Abs(bad-r.Lots[i].Bad) > 1e-7 {
				t.Errorf("%s lot %d: predicted %v %v, judge %v %v", name, i, p, bad, r.Lots[i].ProbAtTarget, r.Lots[i].Bad)
			}
			more := append(lots[:0:0], lots...)
			more[i].Density += 0.2 * lb
			want := Judge(more, target*lb, Seen{}).Lots[i].ProbAtTarget
			if p, _ := s.Prob(Change{Add: 0.2 * lb}); math.Abs(p-want) > within[name] {
				t.Errorf("%s lot %d, 0.2 lb/ft³ more: predicted %v, judge %v", name, i, p, want)
			}
		}
	}
}
