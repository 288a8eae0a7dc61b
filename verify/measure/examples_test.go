package measure_test

import (
	"math"
	"testing"

	"bayproof/model"
)

// TestLimits: JCGM 100, 4.3.7, 4.4.5 and 4.4.6 (from memory), printed to two digits: bounds 96 and
// 104 → 2.3 rectangular; triangular, which the difference of two rounded readings is, 1.6; a limit
// of ±0.40 → 0.23.
func TestLimits(t *testing.T) {
	for _, c := range []struct{ a, want, tol float64 }{{4, 2.3, 0.05}, {0.40, 0.23, 0.005}} {
		b := newJob(exact())
		b.bay(weighed(100, c.a), unitBox())
		near(t, "rectangular", b.measure().Sections[0].Lots[0].U, c.want, c.tol)
	}
	st := exact()
	st.BagStep = 4
	b := newJob(st)
	b.bay(counted(100), unitBox())
	near(t, "triangular", b.measure().Sections[0].Lots[0].U, 1.6, 0.05)
}

// TestRepeatedReadings: JCGM 100, 4.4.3 (from memory): twenty readings, s 1.489, of the mean 0.333,
// ν 19, here of a width. The density is 1/width, so that u/ρ = u(w)/w.
func TestRepeatedReadings(t *testing.T) {
	b := newJob(exact())
	b.bay(weighed(1, 0), box(read(96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07,
		100.33, 100.42, 100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72), readWithin(1, 0), readWithin(1, 0)))
	m := b.measure()
	l := &m.Sections[0].Lots[0]
	near(t, "s", m.Sections[0].Spread[0].Reading, 1.489, 0.0005)
	near(t, "u of the mean", l.U/l.Density*100.145, 0.333, 0.0005)
	near(t, "ν", l.DOF, 19, 1e-9)
}

// TestMassOverVolume: EURACHEM/CITAC QUAM, example A1: c = 1000·m·P/V; the mass is a count of m
// bags of P each, the volume's three parts stand in its three sizes. c 1002.70 mg/L; contributions
// 0.49995, 0.66653, 0.05790; u 0.8352 (the print rounds early to 0.9). Tolerances: half of the last
// digit.
func TestMassOverVolume(t *testing.T) {
	st := exact()
	st.BagWeight, st.BagWithin = 0.9999, 0.0001/0.9999
	b := newJob(st)
	sqrt3 := math.Sqrt(3)
	triangular, repeat, rectangular := 0.1/math.Sqrt(6), 0.02, 0.084/sqrt3
	b.bay(countedWithin(100.28, 0.05*sqrt3),
		box(readWithin(100, triangular*sqrt3), readWithin(1, repeat/100*sqrt3), readWithin(1, rectangular/100*sqrt3)))
	m := b.measure()
	l := &m.Sections[0].Lots[0]
	u := 1000 * l.U
	near(t, "c", 1000*l.Density, 1002.70, 0.005)
	near(t, "u", u, 0.8352, 0.00005)
	near(t, "m", u*math.Sqrt(shareOf(m.Sections[0].Budgets[0], "bags")), 0.49995, 0.000005)
	near(t, "P", u*math.Sqrt(shareOf(m.Sections[0].Budgets[0], "bag_weight")), 0.05790, 0.000005)
	near(t, "V", u*math.Sqrt(shareOf(m.Sections[0].Budgets[0], "width")+shareOf(m.Sections[0].Budgets[0], "depth")+shareOf(m.Sections[0].Budgets[0], "length")), 0.66653, 0.000005)
}

// TestDensityOfACan: Fox & McDonald, Introduction to Fluid Mechanics, problem 1.43: a can of H 102
// ± 1 mm, D 73 ± 1 mm, m 397 ± 1 g: 929.94 kg/m³, 2.92 %. The text's ± go in as standard
// uncertainties.
func TestDensityOfACan(t *testing.T) {
	b := newJob(exact())
	one := math.Sqrt(3) * 0.001
	b.bay(weighed(0.397, one), model.Piece{Shape: model.ShapeRound, Width: readWithin(0.073, one), Length: readWithin(0.102, one)})
	l := &b.measure().Sections[0].Lots[0]
	near(t, "density", l.Density, 929.94, 0.005)
	near(t, "relative u", l.U/l.Density, 0.0292, 0.00005)
}

// TestSharedReference: JCGM 100, 5.2.2: ten resistors calibrated against one standard, u 0.1 each,
// r = 1: the sum has 1, not
// 0.32. Here ten bays of one bag each, whose weight is known to 0.1; 1 m³ each, so that u(Σm) = 10·u(pooled density).
func TestSharedReference(t *testing.T) {
	st := exact()
	st.BagWithin = 0.1 * math.Sqrt(3)
	b := newJob(st)
	for range 10 {
		b.bay(countedWithin(1, 0), unitBox())
	}
	m := b.measure()
	all := m.Pool(b.job, 0)
	near(t, "u of the sum", all.U*all.Volume, 1, 1e-12)
	var independent float64
	for i := range m.Sections[0].Lots {
		independent += m.Sections[0].Lots[i].U * m.Sections[0].Lots[i].U
	}
	near(t, "as if independent", math.Sqrt(independent), 0.316, 0.0005)
}

// TestRunningCounter (derived): readings of u each: a difference has 2u², neighbours −u² in common,
// the sum of n differences 2u² and not 2nu². The counter starts at a reading, then at an exact
// zero, which leaves u².
func TestRunningCounter(t *testing.T) {
	const n = 6
	u2 := 0.25 * 0.25 / 12
	for _, start := range []int{1, 0} {
		b := newJob(exact())
		b.job.Sections[0].Settings.Counting = model.CountingUnsaid
		if start == 1 { // a count row: the counter stood at 7 when the day began
			b.job.Log = append(b.job.Log, model.Entry{Kind: model.EntryCount, Material: counter(0, 7, 1)})
		}
		for i := range n {
			prev := float64(7*start + i)
			b.bay(counter(prev, prev+1, start+i+1), unitBox())
		}
		m := b.measure()
		inner, next := &m.Sections[0].Lots[2], &m.Sections[0].Lots[3]
		near(t, "a difference", inner.U*inner.U, 2*u2, 1e-15)
		near(t, "neighbours", inner.Terms[1].Coef*next.Terms[0].Coef*inner.Terms[1].U*next.Terms[0].U, -u2, 1e-15)
		all := m.Pool(b.job, 0)
		near(t, "the sum", all.U*all.U*n*n, float64(1+start)*u2, 1e-14)
		if naive := 2 * n * u2; math.Abs(all.U*all.U*n*n-naive) < naive/2 {
			t.Errorf("the covariances make no difference: %v", naive)
		}
	}
}

// TestCorrelatedInputs: JCGM 100, H.2 (read): five simultaneous readings of V/V, I/mA and φ; R =
// V/I·cos φ, X = V/I·sin φ, Z = V/I, printed to three decimals: 127.732 u 0.071, 219.847 u 0.295,
// 254.260 u 0.236 (in Ω; X to ±0.001). What is read together is reduced together (H.2.4): a
// quantity is worked out of each set and the five are its repeated readings, here of a width, for
// which u/ρ = u(w)/w. The twin gives the three as three sizes of a bay, which bayproof takes for
// independent: u 0.195, 0.201, 0.204, which must not pass for the right ones.
func TestCorrelatedInputs(t *testing.T) {
	sets := [][3]float64{{5.007, 19.663, 1.0456}, {4.994, 19.639, 1.0438}, {5.005, 19.640, 1.0468}, {4.990, 19.685, 1.0428}, {4.999, 19.678, 1.0433}}
	one := func(float64) float64 { return 1 }
	for _, c := range []struct {
		name                string
		of                  func(float64) float64
		want, tol, u, apart float64
	}{
		{"R", math.Cos, 127.732, 0.0005, 0.071, 0.195}, {"X", math.Sin, 219.847, 0.001, 0.295, 0.201}, {"Z", one, 254.260, 0.0005, 0.236, 0.204},
	} {
		var together, v, i, f []float64
		for _, s := range sets {
			v, i, f = append(v, s[0]), append(i, s[1]/1000), append(f, c.of(s[2]))
			together = append(together, s[0]/(s[1]/1000)*c.of(s[2]))
		}
		fixed := readWithin(1, 0)
		b := newJob(exact())
		b.bay(weighed(1, 0), box(read(together...), fixed, fixed))
		m := b.measure()
		l := &m.Sections[0].Lots[0]
		near(t, c.name, l.Volume, c.want, c.tol)
		near(t, "u of "+c.name, l.U/l.Density*l.Volume, c.u, 0.0005)
		near(t, "ν of "+c.name, l.DOF, 4, 1e-9)

		b = newJob(exact())
		b.bay(weighed(1, 0), box(read(v...), read(i...), read(f...)))
		l = &b.measure().Sections[0].Lots[0]
		apart := l.U / l.Density * c.want
		near(t, "u of "+c.name+" without the correlation", apart, c.apart, 0.0015)
		if math.Abs(apart-c.u) < 0.02 {
			t.Errorf("%s: u %.3f without the correlation, %.3f with it: the example shows nothing", c.name, apart, c.u)
		}
	}
}

// TestSharedTape: JCGM 100, 5.2.2 and F.1.2.3: inputs that share one error add it before they
// square. Ten bays of 1 m³ whose depths share one tape: the common part of the sum of the densities
// is ten times that of one, not √10 times; what is left of each lot's variance is its own. The
// whole is a²/3 as for one reading alone.
func TestSharedTape(t *testing.T) {
	const a = 0.06 // m
	st := exact()
	b := newJob(st)
	for range 10 {
		b.bay(weighed(1, 0), box(readWithin(1, 0), readWithin(1, a), readWithin(1, 0)))
	}
	m := b.measure()
	var sum, own float64
	for i := range m.Sections[0].Lots {
		l := &m.Sections[0].Lots[i]
		near(t, "U", l.U, a/math.Sqrt(3), 1e-15)
		near(t, "U of its parts", math.Hypot(l.Own, l.Shared), l.U, 1e-15)
		sum += l.Shared
		own += l.Own * l.Own
	}
	near(t, "common part of one", m.Sections[0].Lots[0].Shared, a/math.Sqrt(12), 1e-15)
	near(t, "common part of the sum", sum, 10*a/math.Sqrt(12), 1e-14)
	near(t, "own part of the sum", math.Sqrt(own), math.Sqrt(10)*a/2, 1e-14)
	near(t, "depth's share of the budget", shareOf(m.Sections[0].Budgets[0], "depth"), 1, 1e-12)
}

// checkedJob is a bay of 22.5 × 5.5 in and 12 ft, 40 lb weighed, with depth checks in sixteenths of
// an inch.
func checkedJob(sixteenths ...float64) *builder {
	st := exact()
	st.DepthWithin = model.Inch / 4
	for _, c := range sixteenths {
		st.DepthChecks = append(st.DepthChecks, c*model.Inch/16)
	}
	b := newJob(st)
	b.bay(weighed(40*model.Pound, 0), box(readWithin(22.5*model.Inch, 0), read(5.5*model.Inch), readWithin(12*model.Foot, 0)))
	return b
}

// TestDepthChecks: the mean of the checks puts every depth right, and the common part is then s²/n
// + a²/3 of the second tape, 3/32 in, with ν by Welch–Satterthwaite; three quarters of the crew's
// own a²/3 stay.
func TestDepthChecks(t *testing.T) {
	bare := checkedJob().measure().Sections[0].Lots[0]
	for _, c := range []struct {
		checks  []float64
		off, s2 float64 // in; in²
	}{
		{[]float64{4, 4, 4, 4, 4}, 0.25, 0},
		{[]float64{2, -2, 0, 2, -2}, 0, 0.015625},
		{[]float64{-4, -2, -4, -2, -4, -2, -3}, -3. / 16, 6. / 6 / 256},
	} {
		b := checkedJob(c.checks...)
		l := b.measure().Sections[0].Lots[0]
		depth := 5.5 + c.off
		near(t, "volume", l.Volume/bare.Volume, depth/5.5, 1e-12)
		near(t, "volume of the bay", b.job.Bays[0].Volume(), l.Volume, 1e-12)
		near(t, "density", l.Density/bare.Density, 5.5/depth, 1e-12)
		n := float64(len(c.checks))
		v1, v2 := c.s2/n, square(3./32)/3
		near(t, "common part", l.Shared/l.Density, math.Sqrt(v1+v2)/depth, 1e-12)
		near(t, "own part", l.Own/l.Density, 0.25/2/depth, 1e-12)
		near(t, "U", l.U, math.Hypot(l.Own, l.Shared), 1e-12)
		if c.s2 > 0 {
			near(t, "ν", l.SharedDOF, square(v1+v2)/(v1*v1/(n-1)), 1e-6)
		} else if !math.IsInf(l.SharedDOF, 1) {
			t.Errorf("ν %g of checks that do not scatter", l.SharedDOF)
		}
	}
	near(t, "five of +1/4 in", checkedJob(4, 4, 4, 4, 4).measure().Sections[0].Lots[0].Volume/bare.Volume-1, 0.25/5.5, 1e-12)
}

// TestCalibrationCorrection: JCGM 100, 4.4.3 (from memory): twenty readings of a bath at 100 °C,
// mean 100.145, s 1.489, of the mean
// 0.333, printed to three decimals. Less 100 and in mm they are depth checks: a correction of 0.145 with a standard uncertainty of
// 0.333 and ν 19, beside which the second tape's own half-width stands as a rectangular one (4.3.7). All bays of the job
// share it (5.2.2): the sum of ten has ten times that of one.
func TestCalibrationCorrection(t *testing.T) {
	st := exact()
	for _, c := range []float64{96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07, 100.33, 100.42, 100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72} {
		st.DepthChecks = append(st.DepthChecks, (c-100)/1000)
	}
	b := newJob(st)
	for range 10 {
		b.bay(weighed(1, 0), box(readWithin(1, 0), readWithin(1, 0), readWithin(1, 0)))
	}
	m := b.measure()
	near(t, "correction, mm", (m.Sections[0].Lots[0].Volume-1)*1000, 0.145, 0.0005)
	tape := 3. / 32 * 25.4 / math.Sqrt(3)
	mm := m.Sections[0].Lots[0].Shared / m.Sections[0].Lots[0].Density * m.Sections[0].Lots[0].Volume * 1000
	near(t, "u of the correction without the second tape, mm", math.Sqrt(mm*mm-tape*tape), 0.333, 0.0005)
	u := 1.489 / math.Sqrt(20)
	near(t, "ν", m.Sections[0].Lots[0].SharedDOF, 19*math.Pow(u*u+tape*tape, 2)/math.Pow(u, 4), 60) // s to three decimals; ν is 8,700
	near(t, "u of ten together", m.Pool(b.job, 0).Shared, m.Sections[0].Lots[0].Shared, 1e-12)
}

func square(x float64) float64 { return x * x }
