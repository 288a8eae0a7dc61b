package crew

import (
	"math"
	"math/rand/v2"
	"testing"

	"bayproof/model"
	"bayproof/verify/measure"

	"gonum.org/v1/gonum/mathext"
)

// The moments of Beta(a, b): E r = a/(a + b), E rᵏ⁺¹ = E rᵏ·(a + k)/(a + b + k). A rule laid for a
// section in which so many bays are bad and so many good is exact for rate^bad·(1 − rate)^good
// times the prior times a polynomial up to the eleventh degree.
func TestRateRules(t *testing.T) {
	for _, sure := range [][2]int{{0, 0}, {0, 20}, {2, 20}, {12, 10}, {0, 58}, {200, 3}} {
		bad, good := float64(sure[0]), float64(sure[1])
		a, b := badAlpha+bad, badBeta+good
		rule := rateRule(sure[0], sure[1], rateNodes)
		want := math.Exp(mathext.Lbeta(a, b))
		for k := range 2 * rateNodes {
			got := 0.0
			for _, n := range rule {
				got += n.weight * math.Pow(n.rate, float64(k)+bad) * math.Pow(1-n.rate, good)
			}
			if math.Abs(got-want) > 1e-9*want {
				t.Errorf("%v bad, %v good, moment %d: %.15g, want %.15g", bad, good, k, got, want)
			}
			want *= (a + float64(k)) / (a + b + float64(k))
		}
	}
}

// Where few bays speak, mean and spread are not known: to plug in their estimates is surer than the
// evidence. Of four bays the low one is not shown when they are integrated; with μ, τ and the rate
// plugged in it would close.
func TestPluggingInIsAnotherAnswer(t *testing.T) {
	lots := exactly(0.12*lb, 3.75*lb, 3.77*lb, 3.55*lb, 3.74*lb)
	r := Judge(lots, target*lb, Seen{})
	mu, tau := r.Process.Mean/target/lb, r.Process.SD/target/lb
	e := relative(&lots[2], target*lb)
	read := e.reading()
	l := read.parts(mu, tau, 1)
	c := (&scale{slope: 0}).cut(mu, tau)
	above, o := c.of(&read, 1, l), others{1, r.Process.Rate}
	var whole lotSums
	whole.addAt(&o, &l, &above)
	base, per := l.mixed()
	plugged := whole.pass / (base + r.Process.Rate*per)
	p := r.Lots[2].ProbAtTarget
	t.Logf("integrated %.4f, plugged in %.4f", p, plugged)
	if p >= confidence || plugged < confidence || plugged-p < 0.01 {
		t.Errorf("integrated %.4f, plugged in %.4f: the two should part at 0.95", p, plugged)
	}
}

// A reading of the counter between two bays moves their difference by both its coefficients and
// drops out of their sum (derived: the sum of n differences has the variance 2u², their difference
// 6u²). Without its covariance both would be 4u².
func TestSharedReading(t *testing.T) {
	const c, u = 2.4 * lb, 0.072
	lots := make([]measure.Lot, 2)
	for i := range lots {
		lots[i] = measure.Lot{Volume: 1, Density: 3.8 * lb, OwnDOF: math.Inf(1),
			Terms: []measure.Term{{Reading: i, Coef: -c, U: u}, {Reading: i + 1, Coef: c, U: u}}}
	}
	cu2 := c * c * u * u
	if v := combined(&lots[0], &lots[1], 1, -1); math.Abs(v/cu2-6) > 1e-12 {
		t.Errorf("difference: %.4f c²u², want 6", v/cu2)
	}
	if v := combined(&lots[0], &lots[1], 1, 1); math.Abs(v/cu2-2) > 1e-12 {
		t.Errorf("sum: %.4f c²u², want 2", v/cu2)
	}
	if s := shared(&lots[0], &lots[1]); math.Abs(s/cu2+1) > 1e-12 {
		t.Errorf("covariance: %.4f c²u², want −1", s/cu2)
	}
}

// What neighbours share is evidence: with the same readings taken as noise of each bay's own, the
// mean of the section is known less well, and clearly fewer good bays close. A rule that dropped
// the covariance would fail here.
func TestCounterIsAChain(t *testing.T) {
	w := running(quarter())
	rng := rand.New(rand.NewPCG(31, 32))
	var chain, own, good int
	var uChain, uOwn float64
	for range 40 {
		lots, truths := w.fill(rng)
		apart := append([]measure.Lot(nil), lots...)
		for i := range apart {
			l := &apart[i]
			l.Count = math.Sqrt(sq(l.Terms[0].Coef*l.Terms[0].U) + sq(l.Terms[1].Coef*l.Terms[1].U))
			l.Terms = nil
		}
		a, b := Judge(lots, target*lb, Seen{}), Judge(apart, target*lb, Seen{})
		uChain, uOwn = uChain+a.Process.UMean, uOwn+b.Process.UMean
		for i := range lots {
			if truths[i].density < target {
				continue
			}
			good++
			if a.Lots[i].ProbAtTarget >= confidence {
				chain++
			}
			if b.Lots[i].ProbAtTarget >= confidence {
				own++
			}
		}
	}
	t.Logf("good bays at 0.95: chain %.3f, as noise of their own %.3f; u of the mean %.3f and %.3f lb/ft³", share(chain, good), share(own, good), uChain/40/lb, uOwn/40/lb)
	if share(chain, good) < share(own, good)+0.03 || uChain > 0.9*uOwn {
		t.Errorf("the counter's covariance brings nothing")
	}
}

// Like bays that all start from a full hopper round the same way: twelve equal counts say where the
// crew's mean lies no better than one interval does. Taken as independent noise they would seem to
// know it twice as well.
func TestFreshCountsDoNotAverage(t *testing.T) {
	lots := exactly(0.03*lb, 3.6*lb, 3.6*lb, 3.6*lb, 3.6*lb, 3.6*lb, 3.6*lb, 3.6*lb, 3.6*lb, 3.6*lb, 3.6*lb, 3.6*lb, 3.6*lb)
	noise := append([]measure.Lot(nil), lots...)
	for i := range lots {
		lots[i].Interval = 0.3 * lb
		lots[i].Count = lots[i].Interval / math.Sqrt(3)
		noise[i].Count = lots[i].Count
	}
	fresh, ends := Judge(lots, target*lb, Seen{}).Process, Judge(noise, target*lb, Seen{}).Process
	if fresh.UMean < 1.6*ends.UMean || fresh.UMean < 0.08*lb {
		t.Errorf("u of the mean: fresh %.3f, as noise %.3f lb/ft³", fresh.UMean/lb, ends.UMean/lb)
	}
}

// SI or US, the answer is one: densities and target scaled alike change nothing.
func TestUnitsDoNotMatter(t *testing.T) {
	lots, _ := mod(running(quarter()), func(w *world) { w.bays = 9 }).fillSeeded(5)
	scaled := append([]measure.Lot(nil), lots...)
	const f = 0.0624279606
	for i := range scaled {
		l := &scaled[i]
		l.Density, l.Own, l.Count, l.Common, l.Interval = l.Density*f, l.Own*f, l.Count*f, l.Common*f, l.Interval*f
		l.Terms = append([]measure.Term(nil), l.Terms...)
		for k := range l.Terms {
			l.Terms[k].Coef *= f
		}
	}
	a, b := Judge(lots, target*lb, Seen{}), Judge(scaled, target*lb*f, Seen{})
	for i := range a.Lots {
		if math.Abs(a.Lots[i].ProbAtTarget-b.Lots[i].ProbAtTarget) > 1e-9 {
			t.Errorf("lot %d: %v and %v", i, a.Lots[i].ProbAtTarget, b.Lots[i].ProbAtTarget)
		}
	}
}

func (w world) fillSeeded(seed uint64) ([]measure.Lot, []truth) {
	return w.fill(rand.New(rand.NewPCG(seed, 1)))
}

// Unknown densities, no lots, no target: nothing is known, and nothing looks sure.
func TestNothingKnown(t *testing.T) {
	if r := Judge(nil, target*lb, Seen{}); len(r.Lots) != 0 || !math.IsNaN(r.Process.Mean) {
		t.Errorf("no lots: %+v", r)
	}
	lots := exactly(0.1*lb, math.NaN(), 3.8*lb, 3.9*lb)
	r := Judge(lots, target*lb, Seen{})
	if !math.IsNaN(r.Lots[0].ProbAtTarget) || !(r.Lots[1].ProbAtTarget > 0.9) {
		t.Errorf("an unknown lot: %+v", r.Lots)
	}
	for _, p := range Judge(lots, math.NaN(), Seen{}).Lots {
		if p.ProbAtTarget >= confidence {
			t.Errorf("no target: %+v", p)
		}
	}
}

// Few degrees of freedom widen: the same lots with an own spread known from one pair are less sure,
// and the factor falls evenly to 1 at 15.
func TestFewDegreesOfFreedom(t *testing.T) {
	last := math.Inf(1)
	for _, dof := range []float64{1, 1.5, 2, 3, 3.001, 5, 10, 14.99} {
		f := widening(dof)
		if f > last || f < 1 {
			t.Errorf("dof %v: %v after %v", dof, f, last)
		}
		last = f
	}
	if f := widening(15); f != 1 {
		t.Errorf("dof 15: %v", f)
	}
	lots := exactly(0.1*lb, 3.75*lb)
	sure := Judge(lots, target*lb, Seen{}).Lots[0].ProbAtTarget
	lots[0].OwnDOF = 2
	if p := Judge(lots, target*lb, Seen{}).Lots[0].ProbAtTarget; p >= sure {
		t.Errorf("two degrees of freedom: %v, with all %v", p, sure)
	}
}

// What was seen at a bay counts: odds against a void make it surer, and let the others be.
func TestOddsOfAVoid(t *testing.T) {
	lots, _ := eighth().fillSeeded(7)
	lots[4].Density = 3.3 * lb
	r := Judge(lots, target*lb, Seen{})
	odds := make([]float64, len(lots))
	for i := range odds {
		odds[i] = 1
	}
	odds[4] = 0.25
	s := Judge(lots, target*lb, Seen{Odds: odds})
	if !(s.Lots[4].Bad < r.Lots[4].Bad) || !(s.Lots[4].ProbAtTarget > r.Lots[4].ProbAtTarget) {
		t.Errorf("bay: %+v, with odds %+v", r.Lots[4], s.Lots[4])
	}
	if d := math.Abs(s.Lots[9].ProbAtTarget - r.Lots[9].ProbAtTarget); d > 0.01 {
		t.Errorf("another bay moved by %v", d)
	}
}

// A drift of a quarter of a pound over a weighed section is found; a set row in the middle starts
// it afresh.
func TestDrift(t *testing.T) {
	w := mod(weighed(), func(w *world) {
		w.voids, w.weak = 0, 0
		w.mean = func(i, n int, _ *rand.Rand) float64 { return 3.95 - 0.5*float64(i)/float64(n-1) }
	})
	lots, _ := w.fillSeeded(3)
	r := Judge(lots, target*lb, Seen{})
	whole, ok := Trending(lots, r)
	if !ok || !whole.Found || whole.Slope > 0 {
		t.Errorf("drift of -0.5 lb/ft³: %+v", whole)
	}
	for i := len(lots) / 2; i < len(lots); i++ {
		lots[i].Setting = 1
	}
	halves, _ := Trending(lots, r)
	if math.Abs(halves.Z) >= math.Abs(whole.Z) || halves.Limit <= whole.Limit {
		t.Errorf("two stretches: %+v", halves)
	}
	if _, ok := Trending(lots[:5], Judge(lots[:5], target*lb, Seen{})); ok {
		t.Error("five bays have a slope")
	}
	if c := Charted(lots[:5], Judge(lots[:5], target*lb, Seen{})); len(c) != 0 {
		t.Errorf("five bays have a chart: %+v", c)
	}
}

// Six tenths of a bag booked to the wrong neighbour are named more often than not, the right way
// round, and no other pair is; two bays that are both low are none.
func TestSwap(t *testing.T) {
	for _, counting := range []model.Counting{model.CountingEnds, model.CountingRunning} {
		named := 0
		for seed := range uint64(12) {
			w := mod(eighth(), func(w *world) { w.voids, w.weak, w.swap, w.counting = 0, 0, true, counting })
			lots, _ := w.fillSeeded(seed)
			for _, p := range Judge(lots, target*lb, Seen{}).Pairs {
				named++
				if p.Low != 11 || p.High != 12 {
					t.Errorf("counting %v, seed %d: %+v", counting, seed, p)
				}
			}
			if r := Judge(lots, target*lb, Seen{Unordered: true}); len(r.Pairs) != 0 {
				t.Error("pairs without an order")
			}
		}
		if named < 7 {
			t.Errorf("counting %v: %d of 12 swaps named", counting, named)
		}
	}
	lots := exactly(0.1*lb, 3.9*lb, 3.8*lb, 3.85*lb, 3.0*lb, 3.1*lb, 3.8*lb, 3.9*lb, 3.8*lb)
	if r := Judge(lots, target*lb, Seen{}); len(r.Pairs) != 0 {
		t.Errorf("two low bays: %+v", r.Pairs)
	}
}
