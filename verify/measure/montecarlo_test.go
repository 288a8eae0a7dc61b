package measure_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"bayproof/model"
	"bayproof/verify/stat"
)

// trials of the Monte Carlo: u is then known to 1/√(2N), 0.2 %.
const trials = 120_000

// spread returns the standard deviation of what draw gives.
func spread(draw func(r *rand.Rand) float64) float64 {
	r := rand.New(rand.NewPCG(20260301, 7))
	var mean, ss float64
	for n := range trials {
		d := draw(r) - mean
		mean += d / float64(n+1)
		ss += d * (d - d/float64(n+1))
	}
	return math.Sqrt(ss / (trials - 1))
}

// flat draws from ±a.
func flat(r *rand.Rand, a float64) float64 { return a * (2*r.Float64() - 1) }

// TestMonteCarloItself: JCGM 101, 9.2.3 (read): the sum of four rectangular inputs of mean 0 and
// standard deviation 1: u 2.00, 95 % within ±3.88 (exactly 3.8794). The inputs are a bay's mass and
// its three sizes, each with a ± of √3 thousandths, in thousandths of the density; drawn through
// the bay model, and set against what the first order says: u 2.00, ±3.92 (derived), one in a
// hundred too wide. Tolerances: three standard deviations of so many trials; the second order, of
// 0.1 %, is inside.
func TestMonteCarloItself(t *testing.T) {
	const per, a = 1000., 1.7320508075688772 / 1000
	piece := func(r *rand.Rand) model.Piece {
		off := func() model.Reading { return read(1 + flat(r, a)) }
		return box(off(), off(), off())
	}
	var off []float64
	u := spread(func(r *rand.Rand) float64 {
		p := piece(r)
		off = append(off, per*((1+flat(r, a))/p.Volume()-1))
		return off[len(off)-1]
	})
	near(t, "u drawn", u, 2, 0.012)
	slices.Sort(off)
	tail := trials / 40 // 2.5 %
	near(t, "half of 95 %, drawn", (off[trials-1-tail]-off[tail])/2, 3.88, 0.025)
	b := newJob(exact())
	one := readWithin(1, a)
	b.bay(weighed(1, a), box(one, one, one))
	l := &b.measure().Sections[0].Lots[0]
	near(t, "u", per*l.U, 2, 1e-12)
	near(t, "half of 95 %", per*l.U*stat.StudentQuantile(0.975, l.DOF), 3.92, 0.005)
}

// trial is a bay whose readings are drawn again and again: the tape's error is one for a dimension,
// a reading's own scatter is drawn for every reading.
type trial struct {
	name     string
	shape    model.Shape
	sizes    [7]float64 // width, width2, depth, depth2, length, length2, bulge
	said     [7]bool
	readings int
}

// Half-widths and scatter of the trials, m.
const (
	tapeWidth, tapeDepth, tapeLength = 0.003, 0.006, 0.012
	scatter                          = 0.004
)

func trialsOfShapes() []trial {
	return []trial{
		{"box", model.ShapeBox, [7]float64{0.57, 0, 0.14, 0, 3.66}, [7]bool{true, false, true, false, true}, 1},
		{"box, three readings", model.ShapeBox, [7]float64{0.57, 0, 0.14, 0, 3.66}, [7]bool{true, false, true, false, true}, 3},
		{"taper", model.ShapeTaper, [7]float64{0.6, 0.4, 0.12, 0.2, 3}, [7]bool{true, true, true, true, true}, 2},
		{"wedge with a bulge", model.ShapeWedge, [7]float64{0.9, 0, 0.8, 0, 2.5, 0, 0.03}, [7]bool{true, false, true, false, true, false, true}, 2},
		{"skew", model.ShapeBox, [7]float64{0.57, 0, 0.14, 0, 3, 1.2}, [7]bool{true, false, true, false, true, true}, 2},
		{"round", model.ShapeRound, [7]float64{0.3, 0, 0, 0, 2}, [7]bool{true, false, false, false, true}, 2},
	}
}

// TestFirstOrderAgainstMonteCarlo holds the first-order uncertainty against a Monte Carlo of the
// bay model (JCGM 101) for every shape, weighed. A density goes with 1/V: at relative uncertainties
// of 5 % the second order is some 0.5 % of u.
func TestFirstOrderAgainstMonteCarlo(t *testing.T) {
	for _, c := range trialsOfShapes() {
		b := newJob(tapes())
		b.bay(weighed(17, 0.4), c.piece(func(int) float64 { return 0 }))
		b.twin() // fixes s
		l := b.measure().Sections[0].Lots[0]
		u := spread(func(r *rand.Rand) float64 { return (17 + flat(r, 0.4)) / c.volume(r) })
		near(t, c.name, l.U/u, 1, 0.015)
	}
}

// tapes are the settings of the trials.
func tapes() model.Settings {
	st := exact()
	st.WidthWithin, st.DepthWithin, st.LengthWithin = tapeWidth, tapeDepth, tapeLength
	return st
}

// twin adds a bay that is not filled and whose many readings make s of every dimension what the
// trials draw.
func (b *builder) twin() {
	values := make([]float64, 2000)
	for i := range values {
		values[i] = 1 + scatter*math.Sqrt(1999./2000)*float64(1-2*(i%2))
	}
	p := box(read(values...), read(values...), read(values...))
	p.Bulge = read(values...)
	b.job.Bays = append(b.job.Bays, &model.Bay{Section: b.job.Sections[0], Pieces: []*model.Piece{&p}})
}

// piece is the trial's piece with every reading off by its error.
func (c *trial) piece(off func(cell int) float64) model.Piece {
	var cells [7]model.Reading
	for i := range cells {
		if !c.said[i] {
			continue
		}
		values := make([]float64, c.readings)
		for k := range values {
			values[k] = c.sizes[i] + off(i)
		}
		cells[i] = read(values...)
	}
	return model.Piece{Shape: c.shape, Width: cells[0], Width2: cells[1], Depth: cells[2], Depth2: cells[3],
		Length: cells[4], Length2: cells[5], Bulge: cells[6]}
}

// volume draws the readings and measures.
func (c *trial) volume(r *rand.Rand) float64 {
	w, d, l, bulge := flat(r, tapeWidth), flat(r, tapeDepth), flat(r, tapeLength), flat(r, tapeDepth)
	common := [7]float64{w, w, d, d, l, l, bulge}
	p := c.piece(func(i int) float64 { return common[i] + scatter*r.NormFloat64() })
	return p.Volume()
}

// TestCountedAgainstMonteCarlo: a count by both ends, from an exact start, and two neighbours on a
// counter, drawn as they are read: the hopper's level is rounded to the step. 1 m³ and 1 kg a bag.
func TestCountedAgainstMonteCarlo(t *testing.T) {
	const q = 0.25
	round := func(x float64) float64 { return q * math.Round(x/q) }
	st := exact()
	for mode, draw := range map[model.Counting]func(r *rand.Rand) float64{
		model.CountingEnds: func(r *rand.Rand) float64 {
			start, need := 10*r.Float64(), 1+r.Float64()
			return round(start+need) - round(start) - need
		},
		model.CountingFresh: func(r *rand.Rand) float64 {
			need := 1 + r.Float64()
			return round(need) - need
		},
	} {
		st.Counting = mode
		b := newJob(st)
		b.bay(counted(1.5), unitBox())
		near(t, "counting", b.measure().Sections[0].Lots[0].U/spread(draw), 1, 0.01)
	}
	st.Counting = model.CountingRunning
	b := newJob(st)
	b.bay(counter(0, 1.5, 1), unitBox())
	b.bay(counter(1.5, 3, 2), unitBox())
	b.bay(counter(3, 4.5, 3), unitBox())
	m := b.measure()
	near(t, "second of a counter", m.Sections[0].Lots[1].U/spread(func(r *rand.Rand) float64 {
		a, need := 10*r.Float64(), 1+r.Float64()
		return round(a+need) - round(a) - need
	}), 1, 0.01)
	all := m.Pool(b.job, 0)
	near(t, "three of a counter", all.U*3/spread(func(r *rand.Rand) float64 {
		x := 3 + 3*r.Float64()
		return round(x) - x
	}), 1, 0.01)
}

// TestPooledAgainstMonteCarlo: two tapered bays with one tape, one bag weight and one counter
// between them. Leaving out any of the covariances misses by more than the tolerance, so that this
// test can fail.
func TestPooledAgainstMonteCarlo(t *testing.T) {
	c := trialsOfShapes()[2]
	st := tapes()
	st.BagWeight, st.BagWithin, st.Counting = 11, 0.03, model.CountingRunning
	b := newJob(st)
	b.bay(counter(0, 2, 1), c.piece(func(int) float64 { return 0 }))
	b.bay(counter(2, 4, 2), c.piece(func(int) float64 { return 0 }))
	b.twin()
	m := b.measure()
	all := m.Pool(b.job, 0)
	u := spread(func(r *rand.Rand) float64 {
		w, d, l := flat(r, tapeWidth), flat(r, tapeDepth), flat(r, tapeLength)
		common := [7]float64{w, w, d, d, l, l, 0}
		var volume float64
		for range 2 {
			p := c.piece(func(i int) float64 { return common[i] + scatter*r.NormFloat64() })
			volume += p.Volume()
		}
		return (4 + flat(r, 0.125)) * 11 * (1 + flat(r, 0.03)) / volume
	})
	near(t, "pooled", all.U/u, 1, 0.015)
	one, two := &m.Sections[0].Lots[0], &m.Sections[0].Lots[1]
	if naive := math.Hypot(one.U, two.U) / 2; math.Abs(naive/u-1) < 0.05 {
		t.Errorf("leaving the covariances out gives %.4g against %.4g: this job shows nothing", naive, u)
	}
}
