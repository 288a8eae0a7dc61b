package measure_test

import (
	"math"
	"testing"

	"bayproof/model"
	"bayproof/verify/measure"
)

// more adds a row of material to a bay that is there already.
func (b *builder) more(bay *model.Bay, kind model.EntryKind, m model.Material) {
	e := &model.Entry{Kind: kind, Index: 100 + len(bay.Moves), Material: m}
	bay.Moves, bay.Rows = append(bay.Moves, e), append(bay.Rows, e)
}

// TestPartBags: a part bag by weight makes the count whole and exact; only the weighing is left.
func TestPartBags(t *testing.T) {
	st := exact()
	st.BagWeight, st.WeighWithin = 25, 0.5
	for _, c := range []struct{ bags, part, want float64 }{{1, 14.5, 39.5}, {2, -10.5, 39.5}} {
		b := newJob(st)
		b.bay(model.Material{Kind: model.MaterialBags, Bags: c.bags, Part: c.part, Within: math.NaN()}, unitBox())
		l := &b.measure().Sections[0].Lots[0]
		near(t, "mass", l.Mass, c.want, 1e-12)
		near(t, "bags", l.Bags, 39.5/25, 1e-12)
		near(t, "u", l.U, 0.5/math.Sqrt(3), 1e-12)
		near(t, "density a bag", l.PerBag, 0, 0)
	}
}

// TestPerBag: a bag more in a count by steps is a bag more of density, what spills left out;
// nothing for a weighed mass.
func TestPerBag(t *testing.T) {
	st := exact()
	st.BagWeight, st.Spill = 25, 0.02
	one, two := newJob(st), newJob(st)
	one.bay(counted(1.5), unitBox())
	two.bay(counted(2.5), unitBox())
	l := &one.measure().Sections[0].Lots[0]
	near(t, "density a bag", l.PerBag, two.measure().Sections[0].Lots[0].Density-l.Density, 1e-12)
	b := newJob(st)
	b.bay(model.Material{Kind: model.MaterialWeight, Mass: 30, Within: math.NaN()}, unitBox())
	near(t, "weighed", b.measure().Sections[0].Lots[0].PerBag, 0, 0)
}

// TestMoves: top-ups add, what is lost is taken away and was used all the same; a top-up of 0
// changes nothing, not even u.
func TestMoves(t *testing.T) {
	b := newJob(exact())
	bay := b.bay(counted(2), unitBox())
	u := b.measure().Sections[0].Lots[0].U
	b.more(bay, model.EntryTopup, counted(0))
	near(t, "u after a top-up of 0", b.measure().Sections[0].Lots[0].U, u, 0)
	b.more(bay, model.EntryTopup, counted(1))
	b.more(bay, model.EntryLost, counted(0.5))
	l := &b.measure().Sections[0].Lots[0]
	near(t, "mass", l.Mass, 2.5, 1e-12)
	near(t, "bags in it", l.Bags, 2.5, 1e-12)
	near(t, "bags used", l.Used, 3, 1e-12)
	near(t, "three counts", l.U, math.Sqrt(3)*u, 1e-12)
}

// TestSpill: the share that never reaches a bay is taken off what went in, and was used.
func TestSpill(t *testing.T) {
	st := exact()
	st.Spill = 0.04
	b := newJob(st)
	b.bay(counted(2), unitBox())
	l := &b.measure().Sections[0].Lots[0]
	near(t, "mass", l.Mass, 1.92, 1e-12)
	near(t, "used", l.Used, 2, 1e-12)
	near(t, "u", l.U, 0.96*0.25/math.Sqrt(6), 1e-12)
}

// TestNoBags: 0 bags: density 0, u = q·b/(√6·V), however they would have been counted.
func TestNoBags(t *testing.T) {
	for _, mode := range []model.Counting{model.CountingEnds, model.CountingFresh, model.CountingUnsaid} {
		st := exact()
		st.Counting, st.BagWeight = mode, 25
		b := newJob(st)
		b.bay(counted(0), box(readWithin(2, 0), readWithin(1, 0), readWithin(3, 0)))
		l := &b.measure().Sections[0].Lots[0]
		near(t, "density", l.Density, 0, 0)
		near(t, "u", l.U, 0.25*25/(math.Sqrt(6)*6), 1e-12)
	}
}

// TestFresh: a fresh count leaves the density within ±q·b/(2V), and its u is that of the interval.
func TestFresh(t *testing.T) {
	st := exact()
	st.Counting = model.CountingFresh
	b := newJob(st)
	b.bay(counted(2), unitBox())
	b.bay(counted(2), unitBox())
	m := b.measure()
	near(t, "interval", m.Sections[0].Lots[0].Interval, 0.125, 1e-12)
	near(t, "u", m.Sections[0].Lots[0].U, 0.25/math.Sqrt(12), 1e-12)
	all := m.Pool(b.job, 0)
	near(t, "like bays round the same way: pooling does not help", all.U, 0.25/math.Sqrt(12), 1e-12)
}

// TestRunningBags: bags counted on from a mark share the mark's reading with their neighbours, like
// a counter; a weighed part bag starts anew from an empty hopper.
func TestRunningBags(t *testing.T) {
	st := exact()
	st.Counting = model.CountingRunning
	b := newJob(st)
	b.bay(counted(2), unitBox())
	b.bay(counted(1.75), unitBox())
	b.bay(model.Material{Kind: model.MaterialBags, Bags: 1, Part: 0.5, Within: 0}, unitBox())
	b.bay(counted(2), unitBox())
	m := b.measure()
	one, two, after := m.Sections[0].Lots[0].Terms, m.Sections[0].Lots[1].Terms, m.Sections[0].Lots[3].Terms
	if len(one) != 2 || len(two) != 2 || one[1].Reading != two[0].Reading {
		t.Fatalf("no shared reading: %v %v", one, two)
	}
	near(t, "neighbours", one[1].Coef*two[0].Coef*one[1].U*one[1].U, -0.25*0.25/12, 1e-15)
	if len(after) != 2 || after[0].U != 0 {
		t.Errorf("after a weighed part bag: %v", after)
	}
}

// TestFillAndTopupOnCounter: the reading between a fill and its own top-up drops out.
func TestFillAndTopupOnCounter(t *testing.T) {
	st := exact()
	st.Counting = model.CountingUnsaid
	b := newJob(st)
	b.bay(counter(0, 3, 1), unitBox())
	bay := b.bay(counter(3, 5, 2), unitBox())
	b.more(bay, model.EntryTopup, counter(5, 5.5, 3))
	l := &b.measure().Sections[0].Lots[1]
	near(t, "mass", l.Mass, 2.5, 1e-12)
	near(t, "u", l.U, 0.25/math.Sqrt(6), 1e-12)
}

// TestSharedCount: one bag of 30 lb fills three 8 ft wall bays of 2×4 at 16 in on centre, 14.5 ×
// 3.5 × 96 in each: 3.547 lb/ft³ (a handbook's rule of thumb; arithmetic derived, printed to three
// decimals). The count is said once, at the third.
func TestSharedCount(t *testing.T) {
	st := exact()
	st.BagWeight = 30 * model.Pound
	b := newJob(st)
	in := model.Inch
	shared := model.Material{Kind: model.MaterialBags, Shared: true, Within: math.NaN()}
	for i := range 3 {
		m := shared
		if i == 2 {
			m = counted(1)
		}
		b.bay(m, box(readWithin(14.5*in, 0), readWithin(3.5*in, 0), readWithin(96*in, 0)))
	}
	bays := b.job.Bays
	bays[0].SharedWith = []*model.Bay{bays[1], bays[2]}
	bays[1].SharedWith = []*model.Bay{bays[0], bays[2]}
	bays[2].SharedWith = []*model.Bay{bays[0], bays[1]}
	m := b.measure()
	if len(m.Sections[0].Lots) != 1 || len(m.Sections[0].Lots[0].Bays) != 3 {
		t.Fatalf("lots: %d", len(m.Sections[0].Lots))
	}
	near(t, "volume of one", m.Sizes[1].Volume/model.CubicFoot, 2.8194, 0.00005)
	near(t, "density", m.Sections[0].Lots[0].Density/model.PoundPerCubicFoot, 3.547, 0.0005)
	for i, k := range m.LotOf {
		if k != 0 {
			t.Errorf("bay %d is in lot %d", i, k)
		}
	}
}

// TestBagWeight: the label's ± (rectangular), weighed bags (u² = s²/n + a²/3), and the floor under
// four bags: the allowable variation of a 25 lb bag, 0.37 lb, over √3.
func TestBagWeight(t *testing.T) {
	lb := model.Pound
	st := exact()
	st.BagWeight, st.BagWithin = 25*lb, 0.015
	w := measure.Bag(&st)
	near(t, "label", w.U, 25*lb*0.015/math.Sqrt(3), 1e-12)
	st.BagChecks, st.BagTare, st.WeighWithin = []float64{25.3 * lb, 25.1 * lb, 25.2 * lb}, 0.2*lb, 0.2*lb
	w = measure.Bag(&st)
	near(t, "mean less tare", w.Mass, 25*lb, 1e-12)
	near(t, "three bags", w.U/lb, math.Sqrt(0.37*0.37/3/3+0.2*0.2/3), 1e-12)
	st.BagChecks = append(st.BagChecks, 25.2*lb)
	w = measure.Bag(&st)
	s := 0.1 * math.Sqrt(2./3)
	near(t, "four bags", w.U/lb, math.Sqrt(s*s/4+0.2*0.2/3), 1e-12)
	near(t, "ν", w.DOF, math.Pow(w.U/lb, 4)/(math.Pow(s*s/4, 2)/3), 1e-6)
	st.BagChecks = st.BagChecks[:1]
	if w = measure.Bag(&st); !math.IsInf(w.DOF, 1) || !(w.U > 0) {
		t.Errorf("one bag: %+v", w)
	}
}

// TestAllowableVariation: NIST Handbook 133, maximum allowable variations by net weight (from
// memory): 17.70 to 23.20 lb 0.31,
// 23.20 to 31.60 lb 0.37, 31.60 to 42.40 lb 0.44. Fewer than four weighed bags that agree leave a bag's weight no surer than that
// allows, over √3 and √n; four that agree do. The default ±1.5 % of a 25-lb label is that row: 0.37
// lb. Exact but for rounding.
func TestAllowableVariation(t *testing.T) {
	for _, c := range []struct{ lb, want float64 }{
		{17.71, 0.31}, {20, 0.31}, {23.19, 0.31}, {23.21, 0.37}, {25, 0.37}, {28, 0.37}, {31.59, 0.37}, {31.61, 0.44}, {40, 0.44}, {42.39, 0.44},
	} {
		near(t, "allowed", measure.AllowableVariation(c.lb*model.Pound)/model.Pound, c.want, 1e-12)
		st := exact()
		for n := 1; n <= 4; n++ {
			st.BagChecks = append(st.BagChecks, c.lb*model.Pound)
			want := c.want / math.Sqrt(3*float64(n))
			if n == 4 {
				want = 0
			}
			near(t, "u of the bag weight", measure.Bag(&st).U/model.Pound, want, 1e-12)
		}
	}
	near(t, "±1.5 % of 25 lb", 0.015*25, 0.37, 0.006)
}
