package measure_test

import (
	"math"
	"testing"

	"bayproof/model"
	"bayproof/verify/measure"
)

// ditto is a size taken over from the bay above.
func ditto(value float64) model.Reading {
	return model.Reading{State: model.Ditto, Values: []float64{value}, Within: math.NaN()}
}

// TestDittoUnknownSpread: until the spread between bays is known a width taken over is good to ± 1/4 in, a length to ± 1 in.
func TestDittoUnknownSpread(t *testing.T) {
	b := newJob(exact())
	b.bay(weighed(1, 0), unitBox())
	b.bay(weighed(1, 0), box(ditto(1), readWithin(1, 0), readWithin(1, 0)))
	b.bay(weighed(1, 0), box(readWithin(1, 0), readWithin(1, 0), ditto(1)))
	m := b.measure()
	near(t, "width", m.Lots[1].U, model.Inch/4/math.Sqrt(3), 1e-12)
	near(t, "length", m.Lots[2].U, model.Inch/math.Sqrt(3), 1e-12)
	if m.Sizes[1].Sized || !m.Sizes[0].Sized {
		t.Error("a bay with a size taken over counts as measured")
	}
}

// TestDittoCopiesOneBay: with bays that scatter by σ, the error of a size copied from the bay above is the difference of two
// bays, √2·σ: seven measured bays show σ, the eighth carries √2 of it with six degrees of freedom.
func TestDittoCopiesOneBay(t *testing.T) {
	b := newJob(exact())
	widths := []float64{0.97, 0.98, 0.99, 1, 1.01, 1.02, 1.03}
	for _, w := range widths {
		b.bay(weighed(1, 0), box(readWithin(w, 0), readWithin(1, 0), readWithin(1, 0)))
	}
	b.bay(weighed(1, 0), box(ditto(1), readWithin(1, 0), readWithin(1, 0)))
	l := &b.measure().Lots[7]
	sigma := 0.01 * math.Sqrt(28./6)
	near(t, "u", l.U, math.Sqrt2*sigma, 1e-12)
	near(t, "ν", l.DOF, 6, 1e-9)
	near(t, "budget", shareOf(l, "ditto"), 1, 1e-12)
}

// TestPooledByDimension: s of a section is pooled over both ends of a taper; where a section has fewer than 5 degrees of freedom
// the job's readings are pooled; a skew's two sides are not repeats.
func TestPooledByDimension(t *testing.T) {
	b := newJob(exact())
	other := &model.Section{Name: "other", Settings: b.job.Settings}
	b.job.Sections = append(b.job.Sections, other)
	taper := model.Piece{Shape: model.ShapeTaper, Width: read(1, 1.2), Width2: read(2, 2.4, 2.2), Depth: read(1), Length: read(3), Length2: read(2)}
	b.bay(weighed(1, 0), taper)
	bay := b.bay(weighed(1, 0), box(read(1, 1.1, 1.2, 1.3, 1.4, 1.5), read(1), read(1)))
	bay.Section = other
	m := b.measure()
	own := 0.02 + 0.08
	rest := 0.01 * 17.5
	first, second := m.Spreads[0][measure.Width], m.Spreads[1][measure.Width]
	near(t, "ν of the job", first.ReadingDOF, 1+2+5, 0)
	near(t, "s of the job", first.Reading, math.Sqrt((own+rest)/8), 1e-12)
	near(t, "ν of a section of its own", second.ReadingDOF, 5, 0)
	near(t, "s of its own", second.Reading, math.Sqrt(rest/5), 1e-12)
	near(t, "sides of a skew", m.Spreads[0][measure.Length].ReadingDOF, 0, 0)
	if !m.UnknownSpread(measure.Length) || m.UnknownSpread(measure.Width) {
		t.Error("which spread is unknown")
	}
}

// TestTapeDoesNotAverage: u² = s²/n + a²/3: ten readings leave a whole.
func TestTapeDoesNotAverage(t *testing.T) {
	st := exact()
	st.WidthWithin = 0.03
	b := newJob(st)
	b.bay(weighed(1, 0), box(read(1.02, 0.98, 1.02, 0.98, 1.02, 0.98, 1.02, 0.98, 1.02, 0.98), readWithin(1, 0), readWithin(1, 0)))
	l := &b.measure().Lots[0]
	s2 := 10 * 0.02 * 0.02 / 9
	near(t, "u²", l.U*l.U, s2/10+0.03*0.03/3, 1e-12)
	near(t, "ν", l.DOF, math.Pow(l.U, 4)/(math.Pow(s2/10, 2)/9), 1e-6)
}
