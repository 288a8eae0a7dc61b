package measure_test

import (
	"math"
	"testing"

	"bayproof/model"
	"bayproof/verify/measure"
)

// solid is a published volume. Lengths in the source's unit; the shape knows none.
type solid struct {
	name                  string
	shape                 model.Shape
	w1, d1, w2, d2, l, l2 float64
	want, tol             float64
}

// TestPublishedVolumes holds volumes against printed answers. Where the print is whole the
// tolerance is rounding in binary.
func TestPublishedVolumes(t *testing.T) {
	ft := 1. / 12
	for _, c := range []solid{
		{"Moscow Mathematical Papyrus, problem 14", model.ShapeTaper, 4, 4, 2, 2, 6, 6, 56, 1e-12},
		{"frustum 0.25 m, a school text", model.ShapeTaper, 1, 1, 0.6, 0.6, 0.25, 0.25, 0.163333, 5e-7},
		{"log with square ends 10 and 15 in, 18 ft", model.ShapeTaper, 10 * ft, 10 * ft, 15 * ft, 15 * ft, 18, 18, 19.791667, 5e-7},
		{"Sun Tzu II 17", model.ShapeTaper, 50, 60, 30, 60, 20, 20, 48000, 1e-9},
		{"Sun Tzu II 22", model.ShapeTaper, 20, 5550, 54, 5550, 38, 38, 7803300, 1e-7},
		{"Sun Tzu II 23", model.ShapeTaper, 12.6, 52824, 8, 52824, 18, 18, 9793569.6, 1e-7},
		// A surveying text's tank; averaging the end areas gives 18,662.16 and is wrong. Derived,
		// printed to 0.01.
		{"tank 72×48 to 85.2×59, 4.4 m", model.ShapeTaper, 72, 48, 85.2, 59, 4.4, 4.4, 18555.68, 0.005},
		// A skew takes the mean of its sides, a wedge is half a box, a round π/4·d²·L: geometry.
		{"skew to a point", model.ShapeBox, 2, 0.5, 0, 0, 12, 0, 6, 1e-12},
		{"wedge", model.ShapeWedge, 3, 4, 0, 0, 5, 5, 30, 1e-12},
		{"round", model.ShapeRound, 2, 0, 0, 0, 3, 3, 3 * math.Pi, 1e-12},
	} {
		p := model.Piece{Shape: c.shape, Width: readWithin(c.w1, 0), Depth: readWithin(c.d1, 0), Length: readWithin(c.l, 0), Length2: readWithin(c.l2, 0)}
		if c.shape == model.ShapeTaper {
			p.Width2, p.Depth2 = readWithin(c.w2, 0), readWithin(c.d2, 0)
		}
		b := newJob(exact())
		b.bay(weighed(1, 0), p)
		near(t, c.name, b.measure().Sections[0].Lots[0].Volume, c.want, c.tol)
	}
}

// TestPiecesAndLess: pieces add, a `less` takes away; its uncertainty counts against the bay's with
// the same tape.
func TestPiecesAndLess(t *testing.T) {
	b := newJob(exact())
	less := box(readWithin(0.5, 0.01), readWithin(1, 0), readWithin(1, 0))
	less.Less = true
	b.bay(weighed(1, 0), box(readWithin(1, 0.01), readWithin(1, 0), readWithin(1, 0)), less, unitBox())
	l := b.measure().Sections[0].Lots[0]
	near(t, "volume", l.Volume, 1.5, 1e-12)
	near(t, "one tape measured both widths: its error drops out", l.U, 0, 1e-12)
}

// TestBulge: 1 in at mid-width of a 5½ in bay is 12 % more volume (geometry: 2/3 ÷ 5.5 = 0.1212).
func TestBulge(t *testing.T) {
	b := newJob(exact())
	p := box(readWithin(22.5*model.Inch, 0), readWithin(5.5*model.Inch, 0), readWithin(12*model.Foot, 0))
	p.Bulge = readWithin(model.Inch, 0)
	b.bay(weighed(1, 0), p)
	plain := 22.5 * 5.5 * 144 * math.Pow(model.Inch, 3)
	near(t, "more volume", b.measure().Sections[0].Lots[0].Volume/plain, 1+2./3/5.5, 1e-12)
}

// TestGradient holds the analytic derivatives of every shape against central differences of the
// volume itself: each size in turn gets a ± and nothing else has one, so that u is |∂ρ/∂x|·a/√3.
// The differences are good to about 1e-8.
func TestGradient(t *testing.T) {
	for _, shape := range []model.Shape{model.ShapeBox, model.ShapeTaper, model.ShapeWedge, model.ShapeRound} {
		for i := range 7 {
			for _, follows := range []bool{false, true} {
				checkDerivative(t, shape, i, follows)
			}
		}
	}
}

func checkDerivative(t *testing.T, shape model.Shape, i int, follows bool) {
	const a, h = 1e-3, 1e-5
	at := func(shift, within float64) *measure.Lot {
		v := [7]float64{0.57, 0.49, 0.14, 0.19, 3.7, 2.2, 0.03}
		v[i] += shift
		cells := [7]model.Reading{}
		for k := range cells {
			cells[k] = readWithin(v[k], 0)
		}
		cells[i].Within = within
		if follows {
			cells[1], cells[3], cells[5] = model.Reading{}, model.Reading{}, model.Reading{}
		}
		b := newJob(exact())
		b.bay(weighed(10, 0), model.Piece{Shape: shape, Width: cells[0], Width2: cells[1], Depth: cells[2], Depth2: cells[3],
			Length: cells[4], Length2: cells[5], Bulge: cells[6]})
		return &b.measure().Sections[0].Lots[0]
	}
	slope := (at(h, 0).Density - at(-h, 0).Density) / (2 * h)
	near(t, "u", at(0, a).U, math.Abs(slope)*a/math.Sqrt(3), 1e-7*math.Abs(slope)*a+1e-12)
}
