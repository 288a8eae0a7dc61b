package crew

import (
	"math"
	"math/rand/v2"
	"testing"

	"bayproof/verify/measure"
)

// odder changes a lot of a counter to what a log can hold: no counter, a gap in it, an exact or a
// much surer reading, a wrong count, sizes known badly or exactly, stretches that weigh
// differently, a second stretch.
func odder(lots []measure.Lot, i int, rng *rand.Rand) {
	l := &lots[i]
	sure := func(u float64) {
		l.Terms[1].U = u
		if i+1 < len(lots) && lots[i+1].Terms != nil {
			lots[i+1].Terms[0].U = u
		}
	}
	switch rng.IntN(14) {
	case 0:
		l.Terms = nil
	case 1:
		l.Terms[0].Reading += 1000 * i
	case 2:
		sure(0)
	case 3:
		sure(l.Terms[1].U * math.Exp(2*rng.NormFloat64()))
	case 4:
		f := math.Exp(3 * rng.NormFloat64())
		l.Density, l.Common = l.Density*f, l.Common*f
	case 5:
		l.Own *= math.Exp(2 * rng.NormFloat64())
	case 6:
		l.Own = 1e-9
	case 7:
		l.Terms[0].Coef /= 2
	case 8:
		l.Terms = append(l.Terms, measure.Term{Reading: 500 + i, Coef: 3, U: 0.1})
	}
}

// Whatever a counter's log holds, every answer is a number, and a predictive asked about no change
// answers what Judge does.
func TestOddCounters(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	for n := range 300 {
		w := running(quarter())
		w.bays = 1 + rng.IntN(30)
		lots, _ := w.fill(rng)
		for i := range lots {
			odder(lots, i, rng)
		}
		r := Judge(lots, target*lb, Seen{})
		if math.IsNaN(r.Process.Mean + r.Process.SD + r.Process.LowerTolerance) {
			t.Fatalf("section %d: %+v", n, r.Process)
		}
		for i, p := range r.Lots {
			if math.IsNaN(p.ProbAtTarget+p.Bad+p.Over+p.CouldHide+p.read.sd) || math.IsInf(p.read.sd, 0) {
				t.Fatalf("section %d lot %d of %d: %+v", n, i, len(lots), p)
			}
		}
		which := []int{0, len(lots) / 2}
		for k, s := range r.Predict(&Section{Lots: lots, Target: target * lb}, which) {
			p, bad := s.Prob(Change{})
			if want := r.Lots[which[k]]; !(math.Abs(p-want.ProbAtTarget) < 1e-6 && math.Abs(bad-want.Bad) < 1e-6) {
				t.Errorf("section %d lot %d: predicted %v %v, judge %v %v", n, which[k], p, bad, want.ProbAtTarget, want.Bad)
			}
			if d, above := s.Mean(); math.IsNaN(d + above) {
				t.Errorf("section %d lot %d: mean %v, %v above", n, which[k], d, above)
			}
		}
	}
}

// A counter whose readings are all exact says what counts of their own say.
func TestExactCounter(t *testing.T) {
	w := running(quarter())
	lots, _ := w.fill(rand.New(rand.NewPCG(4, 4)))
	plain := append(lots[:0:0], lots...)
	for i := range lots {
		lots[i].Terms = append(lots[i].Terms[:0:0], lots[i].Terms...)
		for k := range lots[i].Terms {
			lots[i].Terms[k].U = 0
		}
		plain[i].Terms = nil
	}
	a, b := Judge(lots, target*lb, Seen{}), Judge(plain, target*lb, Seen{})
	for i := range lots {
		if p, q := a.Lots[i], b.Lots[i]; p != q {
			t.Errorf("lot %d: %+v with an exact counter, %+v by itself", i, p, q)
		}
	}
}
