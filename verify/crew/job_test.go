package crew

import (
	"math"
	"math/rand/v2"
	"testing"

	"bayproof/verify/measure"
)

// counted returns lots of one cubic metre counted by `ends` in steps of a quarter bag; a bag makes
// perBag kg/m³.
func counted(perBag float64, bags ...float64) []measure.Lot {
	lots := make([]measure.Lot, len(bags))
	for i, n := range bags {
		l := &lots[i]
		*l = exactly(0.03*lb, n*perBag)[0]
		l.Bags, l.Used, l.PerBag, l.Count = n, n, perBag, 0.25/math.Sqrt(6)*perBag
	}
	return lots
}

// Twelve bays of a bag and a half log 18 bags. Each count is off by u 0.25/√6, together by 0.354; a
// total to ± 1 bag by 1/√3: with
// 15.25 counted the log holds 2.75 too many, 4.06 of the 0.677 bags that they may be apart (derived).
func TestTotals(t *testing.T) {
	perBag := 3.82 * lb / 1.5
	bags := make([]float64, 12)
	for i := range bags {
		bags[i] = 1.5
	}
	s := Section{Lots: counted(perBag, bags...), Target: target * lb, Step: 0.25, Total: Total{15.25, 1 / math.Sqrt(3)}}
	got := totalsOf(s.Lots, s.Total)
	if math.Abs(got.over-2.75) > 1e-12 || math.Abs(got.u-math.Hypot(0.25*math.Sqrt(2), 1/math.Sqrt(3))) > 1e-12 {
		t.Errorf("%+v", got)
	}
	without := s
	without.Total = Total{}
	a, b := JudgeJob([]Section{without}, Total{})[0], JudgeJob([]Section{s}, Total{})[0]
	if a.Lots[0].ProbAtTarget < 0.95 || b.Lots[0].ProbAtTarget > 0.5 {
		t.Errorf("a bay: %.3f, with empties that are short %.3f", a.Lots[0].ProbAtTarget, b.Lots[0].ProbAtTarget)
	}
	for _, agree := range []Total{{18, 1 / math.Sqrt(3)}, {18.8, 1 / math.Sqrt(3)}} { // fewer in the log than the empties is no contradiction
		s.Total = agree
		if c := JudgeJob([]Section{s}, Total{})[0]; c.Lots[0].ProbAtTarget < a.Lots[0].ProbAtTarget-0.01 {
			t.Errorf("a total of %v: %.4f, without it %.4f", agree.Bags, c.Lots[0].ProbAtTarget, a.Lots[0].ProbAtTarget)
		}
	}
	s.Total = Total{}
	if c := JudgeJob([]Section{s}, Total{15.25, 1 / math.Sqrt(3)})[0]; math.Abs(c.Lots[0].ProbAtTarget-b.Lots[0].ProbAtTarget) > 1e-9 {
		t.Errorf("the same total for the job: %.4f, want %.4f", c.Lots[0].ProbAtTarget, b.Lots[0].ProbAtTarget)
	}
}

// Along a counter only the last reading is uncertain: n bays are together as sure as one (derived:
// u = q/√12).
func TestTotalOfACounter(t *testing.T) {
	lots, _ := running(quarter()).fillSeeded(3)
	for i := range lots {
		lots[i].PerBag, lots[i].Used = lots[i].Terms[1].Coef, lots[i].Bags
	}
	got := totalsOf(lots, Total{1, 1e-9})
	if want := 0.25 / math.Sqrt(12); math.Abs(got.u-want) > 1e-6 {
		t.Errorf("u %.4f, want %.4f", got.u, want)
	}
}

// The bias integrated by nodes against a plain sum: P(no bias | total) for n counts each off by v,
// a total off by u:
// 0.9·N(D; 0, s²) against 0.1·N(D; 0, s² + n²q²), s² = n·v + u². The states hold it as their weights.
func TestBiasAgainstClosedForm(t *testing.T) {
	const n, q, u = 12, 0.25, 0.6
	for _, over := range []float64{0, 0.8, 1.6, 2.4} {
		bags := make([]float64, n)
		for i := range bags {
			bags[i] = 1.5
		}
		lots := counted(2.5*lb, bags...)
		known, _ := evidenceOf(new(workspace), lots, target*lb, nil, nil)
		s2 := n*q*q/6 + u*u
		c := context{own: totalsOf(lots, Total{n*1.5 - over, u}), step: q}
		var none, all float64
		for i, s := range byBias(state{lots: known}, 0, &c) {
			w := math.Exp(s.logWeight)
			all += w
			if i == 0 {
				none = w
			}
		}
		l0 := noBias * math.Exp(-over*over/2/s2) / math.Sqrt(s2)
		l1 := (1 - noBias) * math.Exp(-over*over/2/(s2+n*n*q*q)) / math.Sqrt(s2+n*n*q*q)
		if want := l0 / (l0 + l1); math.Abs(none/all-want) > 1e-9 {
			t.Errorf("over %v: %.6f without bias, want %.6f", over, none/all, want)
		}
	}
}

// JCGM 100, 5.2.2 and its example: inputs that share an error of a standard add it up, ten
// resistors calibrated by one standard to 1 Ω in all and not to 0.32. So does what the readings of
// a tape share: it does not average over the bays. Thirty bays known nearly exactly but for a
// shared 3 % leave the density of each, and the section's mean, uncertain by that 3 %.
func TestSharedTapeDoesNotAverage(t *testing.T) {
	densities := make([]float64, 30)
	for i := range densities {
		densities[i] = (3.60 + 0.002*float64(i)) * lb
	}
	lots := exactly(0.003*lb, densities...)
	own := append([]measure.Lot(nil), lots...)
	for i := range lots {
		lots[i].Shared = 0.03 * lots[i].Density
		own[i].Own = math.Hypot(own[i].Own, 0.03*own[i].Density)
	}
	a, b := Judge(lots, target*lb, Seen{}), Judge(own, target*lb, Seen{})
	// P(true ≥ 3.5 | read 3.63) with 3 % of the prior's width left: Φ of (1.037 − 1)/0.03 moved by
	// the prior of μ, to 0.02
	sd := 0.03 * 0.1 / math.Hypot(0.1, 0.03*1.037)
	want := cdf((1.037 - 1 + sq(sd)*(1+1.037*(meanPrior-1.037)/sq(meanPriorSD))) / math.Hypot(sd, 0.006))
	if p := a.Lots[15].ProbAtTarget; math.Abs(p-want) > 0.03 {
		t.Errorf("shared: %.3f, want %.3f", p, want)
	}
	if p := b.Lots[15].ProbAtTarget; p < a.Lots[15].ProbAtTarget+0.03 {
		t.Errorf("each bay's own: %.3f, shared %.3f", p, a.Lots[15].ProbAtTarget)
	}
	if math.Abs(a.wide-0.03) > 1e-12 {
		t.Errorf("common scale %.4f", a.wide)
	}
	for i := range lots { // depths that differ: the same by nodes
		lots[i].Shared *= 1 + 0.1*float64(i%2)
	}
	if p := Judge(lots, target*lb, Seen{}).Lots[15].ProbAtTarget; math.Abs(p-want) > 0.05 {
		t.Errorf("by nodes: %.3f, want about %.3f", p, want)
	}
}

// A count of which nobody said that the bay stalled reads as sure as its one-sided interval leaves
// it, and never surer than the guarded rule has the same with the stall said.
func TestOneSidedCounts(t *testing.T) {
	for seed := range uint64(6) {
		j := jobOf(quarter(), nil)
		said, _, _ := j.fillJob(rand.New(rand.NewPCG(seed, 1)))
		j.unsaid = true
		unsaid, _, _ := j.fillJob(rand.New(rand.NewPCG(seed, 1)))
		a, b := JudgeJob(said, Total{})[0], JudgeJob(unsaid, Total{})[0]
		for i := range a.Lots {
			l := &said[0].Lots[i]
			two := cdf((l.Density/target/lb - 1) / (math.Hypot(l.U, l.Shared) / target / lb))
			if q := b.Lots[i].ProbAtTarget; q > two+1e-9 {
				t.Errorf("seed %d lot %d: %.4f unsaid, %.4f said, %.4f by itself", seed, i, q, a.Lots[i].ProbAtTarget, two)
			}
		}
	}
	// The mean of Φ over the interval (derived): read 1.2 with u 0.05, a step of 0.1: true from 1.1
	// to 1.2.
	e := evidence{x: 1.15, half: 0.05, v: 0.0025, short: 0.1}
	sum := 0.0
	for z := 1.1005; z < 1.2; z += 0.001 {
		sum += cdf((z-1)/0.05) / 100
	}
	if p := e.byItself(); math.Abs(p-sum) > 1e-5 {
		t.Errorf("by itself %.6f, want %.6f", p, sum)
	}
}

// What JudgeJob knew about a section its predictives know too: asked about no change they answer
// what it does, with a total, other sections, feed, boxes and counts of which no stall is said.
func TestPredictInAJob(t *testing.T) {
	for name, j := range map[string]jobWorld{
		"total":    jobOf(quarter(), func(j *jobWorld) { j.total = 1 }),
		"sections": jobOf(quarter(), func(j *jobWorld) { j.sections, j.bays = 3, 6 }),
		"feed":     jobOf(quarter(), func(j *jobWorld) { j.feed = 0.08 }),
		"unsaid":   jobOf(quarter(), func(j *jobWorld) { j.unsaid = true }),
		"running":  jobOf(running(quarter()), func(j *jobWorld) { j.unsaid, j.total, j.bays = true, 1, 12 }),
	} {
		sections, total, _ := j.fillJob(rand.New(rand.NewPCG(8, 9)))
		sections[0].Boxes = []Box{{3.9 * lb, 0.05 * lb}}
		r := JudgeJob(sections, total)[0]
		for k, p := range r.Predict(&sections[0], []int{0, 2, 4}) {
			want := r.Lots[2*k]
			if got, bad := p.Prob(Change{}); math.Abs(got-want.ProbAtTarget) > 1e-6 || math.Abs(bad-want.Bad) > 1e-6 {
				t.Errorf("%s, lot %d: %.6f %.6f, want %.6f %.6f", name, 2*k, got, bad, want.ProbAtTarget, want.Bad)
			}
		}
	}
}

// A test box that weighs more speaks for a denser crew, the surer the scale the more; one unknown
// says nothing.
func TestBoxes(t *testing.T) {
	mean := func(boxes ...Box) float64 {
		return JudgeJob([]Section{{Lots: exactly(0.2*lb, 3.7*lb, 3.8*lb, 3.75*lb), Target: target * lb, Boxes: boxes}}, Total{})[0].Process.Mean / lb
	}
	none, high, vague, nan := mean(), mean(Box{4.0 * lb, 0.05 * lb}), mean(Box{4.0 * lb, 0.6 * lb}), mean(Box{math.NaN(), 1})
	if !(high > vague+0.02 && vague > none && none == nan) {
		t.Errorf("means %.3f, with a box of 4.0 %.3f, with a vague one %.3f, with an unknown one %.3f", none, high, vague, nan)
	}
}

// Feed that agrees with the counts makes bays surer and finds its own rate, whatever that is; feed
// that says nothing (40 %) changes no bay by much; a scatter that is found is the one that was
// made.
func TestFeed(t *testing.T) {
	closed := func(scatter, unit float64) (n int) {
		for seed := range uint64(8) {
			j := jobOf(quarter(), func(j *jobWorld) { j.feed = scatter })
			sections, total, _ := j.fillJob(rand.New(rand.NewPCG(seed, 3)))
			for i := range sections[0].Lots {
				sections[0].Lots[i].Feed *= unit
			}
			for _, p := range JudgeJob(sections, total)[0].Lots {
				if p.ProbAtTarget >= confidence {
					n++
				}
			}
		}
		return n
	}
	none, fine, fast, coarse := closed(0.05, 0), closed(0.05, 1), closed(0.05, 60), closed(0.40, 1)
	t.Logf("closed without feed %d, with 5 %% %d, in other units %d, with 40 %% %d", none, fine, fast, coarse)
	if fine < none+8 || fine != fast || coarse < none-6 || coarse > none+8 {
		t.Errorf("closed without feed %d, with 5 %% %d, in other units %d, with 40 %% %d", none, fine, fast, coarse)
	}
}

// The number of odd lots (derived): three certain ones and nothing else are 3 to 3; twenty of a
// half are 6 to 14 (binomial).
func TestOddOnes(t *testing.T) {
	lots := make([]Posterior, 20)
	for i := range 3 {
		lots[i].Bad = 1
	}
	if lo, hi := oddOnes(lots); lo != 3 || hi != 3 {
		t.Errorf("%d to %d, want 3 to 3", lo, hi)
	}
	for i := range lots {
		lots[i].Bad, lots[i].Over = 0.3, 0.2
	}
	if lo, hi := oddOnes(lots); lo != 6 || hi != 14 {
		t.Errorf("%d to %d, want 6 to 14", lo, hi)
	}
}

// A section of two bays after four sections of the same crew is surer than alone, and less so after
// sections that differ a lot.
func TestSectionsOfAJob(t *testing.T) {
	section := func(mean float64, n int) Section {
		densities := make([]float64, n)
		for i := range densities {
			densities[i] = (mean + 0.04*float64(i%3-1)) * lb
		}
		return Section{Lots: exactly(0.15*lb, densities...), Target: target * lb}
	}
	at := func(means ...float64) Posterior {
		sections := []Section{section(3.80, 2)}
		for _, m := range means {
			sections = append(sections, section(m, 8))
		}
		return JudgeJob(sections, Total{})[0].Lots[1]
	}
	alone, like, apart := at(), at(3.84, 3.85, 3.86, 3.85), at(3.3, 4.2, 3.5, 4.0)
	t.Logf("alone %.4f, after like sections %.4f, after unlike ones %.4f", alone.ProbAtTarget, like.ProbAtTarget, apart.ProbAtTarget)
	if like.ProbAtTarget < alone.ProbAtTarget+0.005 || apart.ProbAtTarget > like.ProbAtTarget-0.002 {
		t.Errorf("alone %.4f, after like sections %.4f, after unlike ones %.4f", alone.ProbAtTarget, like.ProbAtTarget, apart.ProbAtTarget)
	}
}

// Twelve bays at 4.85 lb/ft³ are a section over its ceiling; at 4.3 they are none.
func TestMeanOver(t *testing.T) {
	for mean, want := range map[float64]bool{4.85: true, 4.3: false} {
		bags := make([]float64, 12)
		for i := range bags {
			bags[i] = 1.5
		}
		r := JudgeJob([]Section{{Lots: counted(mean*lb/1.5, bags...), Target: target * lb, Ceiling: ceiling * lb}}, Total{})[0]
		if r.MeanOver != want {
			t.Errorf("mean %v: over %v, %.2f ± %.2f", mean, r.MeanOver, r.Process.Mean/lb, r.Process.UMean/lb)
		}
	}
}

// An empty length does not draw down the mean that it is set against: what the bay could hide is by
// all other bays.
func TestCouldHideByTheOthers(t *testing.T) {
	densities := make([]float64, 6)
	for i := range densities {
		densities[i] = 3.85 * lb
	}
	densities[3] = 3.45 * lb
	r := Judge(exactly(0.15*lb, densities...), target*lb, Seen{})
	if low, other := r.Lots[3].read.mu, r.Lots[0].read.mu; low < other+0.003 || math.Abs(low-3.85/target) > 0.015 {
		t.Errorf("mean by the others: %.4f for the low bay, %.4f for another", low, other)
	}
}

// One in a hundred honest logs holds so much more than a total (derived): counts that are exact
// leave the rectangular total alone,
// 0.98 of its half-width; counts of which it is sure leave the normal distribution.
func TestTotalsLimit(t *testing.T) {
	for _, c := range []struct{ readings, within, want float64 }{{0, 1, 0.98 * math.Sqrt(3)}, {4, 1e-3, 2.3263}} {
		if z := TotalsLimit(c.readings, c.within); math.Abs(z-c.want) > 1e-3 {
			t.Errorf("readings %v, within %v: %.4f, want %.4f", c.readings, c.within, z, c.want)
		}
	}
	rng, beyond := rand.New(rand.NewPCG(1, 2)), 0
	limit := TotalsLimit(0.25, 1) * math.Sqrt(0.25+1./3)
	for range 200000 {
		if 0.5*rng.NormFloat64()+2*rng.Float64()-1 > limit {
			beyond++
		}
	}
	if beyond < 1860 || beyond > 2140 { // 2000 ± 3.1 standard deviations
		t.Errorf("beyond the limit %d of 200000", beyond)
	}
}

// What could be hidden falls as the reading rises, and is what makes a reading at least as high a
// chance of one in twenty.
func TestCouldHide(t *testing.T) {
	densities := make([]float64, 20)
	for i := range densities {
		densities[i] = (3.75 + 0.01*float64(i)) * lb
	}
	r := Judge(exactly(0.1*lb, densities...), target*lb, Seen{})
	for i := range densities {
		p := &r.Lots[i]
		if i > 0 && p.CouldHide >= r.Lots[i-1].CouldHide {
			t.Errorf("lot %d could hide %.3f, the lower one before it %.3f", i, p.CouldHide, r.Lots[i-1].CouldHide)
		}
		x := densities[i] / target / lb
		if chance := 1 - cdf((x-(1-p.CouldHide)*p.read.mu)/p.read.sd); p.CouldHide > 0 && math.Abs(chance-0.05) > 0.001 {
			t.Errorf("lot %d: read so high with %.3f empty once in %.3f", i, p.CouldHide, chance)
		}
	}
}

// A total against plain sums: at every mean, spread and rate the errors of the counts are summed
// over an even lattice, all of them together, and the total's likelihood is that of their sum. Each
// bay's own chance is the share of it with its density at the target or more. Only the bay's
// likelihood with the error of its count known is shared with what serves.
func TestTotalAgainstPlainSums(t *testing.T) {
	t.Parallel()
	const step = 0.04 // bags
	rng := rand.New(rand.NewPCG(5, 6))
	for _, over := range []float64{-0.8, 0, 1.2} {
		j := jobOf(mod(quarter(), func(w *world) { w.bays = 4 }), nil)
		sections, _, _ := j.fillJob(rng)
		s := &sections[0]
		s.Step = 0 // no bias: its weights are held elsewhere
		for i := range s.Lots {
			s.Lots[i].Common, s.Lots[i].Shared = 0, 0
		}
		used := 0.0
		for i := range s.Lots {
			used += s.Lots[i].Used
		}
		total := Total{used - over, 1 / math.Sqrt(3)}
		got := JudgeJob([]Section{*s}, total)[0]
		lots, _ := evidenceOf(new(workspace), s.Lots, target*lb, nil, nil)
		var all float64
		pass := make([]float64, len(lots))
		for mu := 0.82; mu < 1.32; mu += 0.0125 {
			for logTau := math.Log(SpreadMedian) - 2.1; logTau < math.Log(SpreadMedian)+2.11; logTau += 0.35 {
				for _, r := range rateRule(0, 0, rateNodes) {
					prior := r.weight * density((mu-meanPrior)/meanPriorSD) * density((logTau-math.Log(SpreadMedian))/SpreadLogSD)
					w, above := plainTotal(lots, mu, math.Exp(logTau), r.rate, over, total.U, step)
					all += prior * w
					for k := range pass {
						pass[k] += prior * above[k]
					}
				}
			}
		}
		alone := JudgeJob([]Section{*s}, Total{})[0]
		for k := range pass {
			p := got.Lots[k].ProbAtTarget
			t.Logf("over %4.1f: %.4f, plain %.4f, without the total %.4f", over, p, pass[k]/all, alone.Lots[k].ProbAtTarget)
			limit := 0.002
			if pass[k]/all < 0.8 {
				limit = 0.012 // what a bad bay's reading, cut off at the edge of what is bad, says about its count is left out
			}
			if math.Abs(p-pass[k]/all) > limit {
				t.Errorf("over %v, lot %d: %.4f, want %.4f", over, k, p, pass[k]/all)
			}
		}
	}
}

// plainTotal returns the likelihood of all lots and of the total at a node, and for each lot the
// part of it that lies at the target or more.
func plainTotal(lots []evidence, mu, tau, rate, over, u, step float64) (all float64, above []float64) {
	const reach = 9 // lattice points to either side
	whole, cut := make([][]float64, len(lots)), make([][]float64, len(lots))
	sc := scale{}
	for k := range lots {
		e := &lots[k]
		c := sc.cut(mu, tau)
		for at := -reach; at <= reach; at++ {
			miss := float64(at) * step
			r := reading{x: e.x - miss*e.bag, sd: math.Sqrt(e.v - e.count)}
			p := r.parts(mu, tau, 1)
			base, per := p.mixed()
			q := c.of(&r, 1, p)
			low, more := q.mixed()
			chance := step * density(miss*e.bag/math.Sqrt(e.count)) * e.bag / math.Sqrt(e.count)
			whole[k] = append(whole[k], chance*(base+rate*per))
			cut[k] = append(cut[k], chance*(low+rate*more))
		}
	}
	of := func(lots [][]float64) (sum float64) {
		together := []float64{1}
		for _, l := range lots {
			next := make([]float64, len(together)+len(l)-1)
			for a, w := range together {
				for b, v := range l {
					next[a+b] += w * v
				}
			}
			together = next
		}
		for at, w := range together {
			sum += w * density((over-float64(at-len(together)/2)*step)/u) / u
		}
		return sum
	}
	for k := range lots {
		one := append([][]float64(nil), whole...)
		one[k] = cut[k]
		above = append(above, of(one))
	}
	return of(whole), above
}
