package measure_test

import (
	"math"
	"strings"
	"testing"

	"bayproof/model"
	"bayproof/verify/measure"
)

// ditto is a size taken over from the bay above.
func ditto(value float64) model.Reading {
	return model.Reading{State: model.Ditto, Values: []float64{value}, Within: math.NaN()}
}

// TestDittoUnknownSpread: until the spread between bays is known a width taken over is good to ±
// 1/4 in, a length to ± 1 in.
func TestDittoUnknownSpread(t *testing.T) {
	b := newJob(exact())
	b.bay(weighed(1, 0), unitBox())
	b.bay(weighed(1, 0), box(ditto(1), readWithin(1, 0), readWithin(1, 0)))
	b.bay(weighed(1, 0), box(readWithin(1, 0), readWithin(1, 0), ditto(1)))
	m := b.measure()
	near(t, "width", m.Sections[0].Lots[1].U, model.Inch/4/math.Sqrt(3), 1e-12)
	near(t, "length", m.Sections[0].Lots[2].U, model.Inch/math.Sqrt(3), 1e-12)
	if m.Sizes[1].Sized || !m.Sizes[0].Sized {
		t.Error("a bay with a size taken over counts as measured")
	}
}

// TestDittoByPairs: once six pairs of successive bays are measured, a ditto is known by 1.4826
// times the median of their absolute differences, for which there is a published value: of the
// deviations of 2.1 2.6 2.4 2.5 2.3 2.1 2.3 2.6 8.2 8.3 from their median 2.45 the median is 0.15
// (Iglewicz and Hoaglin; read), whatever the two odd ones are. Here they are differences of
// successive bays in hundredths of an inch; five of them do not count yet, and pairs with an odd
// bay, or with one that was not measured, are none.
func TestDittoByPairs(t *testing.T) {
	deviations := []float64{35, 15, 5, 5, 15, 35, 15, 15, 575, 585}
	job := func(n int) *builder {
		b := newJob(exact())
		w := 1.0
		for i, d := range append([]float64{0}, deviations[:n]...) {
			if w += d / 10000 * model.Inch; i%2 == 0 {
				w -= 2 * d / 10000 * model.Inch
			}
			b.bay(weighed(1, 0), box(readWithin(w, 0), readWithin(1, 0), readWithin(1, 0)))
		}
		b.bay(weighed(1, 0), box(ditto(w), readWithin(1, 0), readWithin(1, 0)))
		return b
	}
	for _, n := range []int{5, 10} {
		b := job(n)
		m := b.measure()
		l := &m.Sections[0].Lots[n+1]
		want, dof := model.Inch/4/math.Sqrt(3), math.Inf(1)
		if n >= measure.FewestPairs {
			want, dof = 1.4826*0.0015*model.Inch, 0.3674*float64(n)
		}
		near(t, "u", l.U*l.Volume/l.Density, want, 1e-12)
		if !math.IsInf(dof, 1) {
			near(t, "ν", l.DOF, dof, 1e-9)
		} else if !math.IsInf(l.DOF, 1) {
			t.Errorf("ν %v", l.DOF)
		}
		near(t, "budget", shareOf(m.Sections[0].Budgets[n+1], "ditto"), 1, 1e-12)
		if m.Sections[0].Spread[measure.Width].Pairs != n {
			t.Errorf("%d pairs, want %d", m.Sections[0].Spread[measure.Width].Pairs, n)
		}
		// A bay of another kind and one more ditto, then the like bays go on: no pair more, and
		// nothing wider.
		b.bay(weighed(1, 0), box(readWithin(1+2*model.Inch, 0), readWithin(1, 0), readWithin(1, 0)))
		b.bay(weighed(1, 0), box(readWithin(1, 0), readWithin(1, 0), readWithin(1, 0)))
		again := b.measure()
		near(t, "u beside an odd bay", again.Sections[0].Lots[n+1].U, l.U, 1e-15)
		if names := again.Sections[0].Lots[n+1].Unlike(); len(names) != 0 || again.Sections[0].Spread[measure.Width].Pairs != n {
			t.Errorf("%v unlike, %d pairs", names, again.Sections[0].Spread[measure.Width].Pairs)
		}
	}
}

// TestUnlikeBays: of two kinds in equal parts neither is odd, and a bay is odd by what it took over
// only.
func TestUnlikeBays(t *testing.T) {
	wide, narrow := 22.5*model.Inch, 14.5*model.Inch
	for _, c := range []struct {
		widths []float64 // negative: taken over
		want   string
	}{
		{[]float64{narrow, -narrow, wide, -wide}, "- - - -"},
		{[]float64{narrow, -narrow, wide, -wide, -wide}, "- width - - -"},
		{[]float64{narrow, wide, -wide, -wide}, "- - - -"},
		{[]float64{narrow, -narrow}, "- -"},
	} {
		b := newJob(exact())
		for _, w := range c.widths {
			r := readWithin(w, 0)
			if w < 0 {
				r = ditto(-w)
			}
			b.bay(weighed(1, 0), box(r, readWithin(1, 0), readWithin(1, 0)))
		}
		var got []string
		m := b.measure()
		for i := range m.Sections[0].Lots {
			got = append(got, strings.Join(append(m.Sections[0].Lots[i].Unlike(), "-")[:1], ""))
		}
		if text := strings.Join(got, " "); text != c.want {
			t.Errorf("%v: %s, want %s", c.widths, text, c.want)
		}
	}
}

// TestPooledByDimension: s of a section is pooled over both ends of a taper; where a section has
// fewer than 5 degrees of freedom the job's readings are pooled; a skew's two sides are not
// repeats.
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
	first, second := m.Sections[0].Spread[measure.Width], m.Sections[1].Spread[measure.Width]
	near(t, "ν of the job", first.ReadingDOF, 1+2+5, 0)
	near(t, "s of the job", first.Reading, math.Sqrt((own+rest)/8), 1e-12)
	near(t, "ν of a section of its own", second.ReadingDOF, 5, 0)
	near(t, "s of its own", second.Reading, math.Sqrt(rest/5), 1e-12)
	near(t, "sides of a skew", m.Sections[0].Spread[measure.Length].ReadingDOF, 0, 0)
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
	l := &b.measure().Sections[0].Lots[0]
	s2 := 10 * 0.02 * 0.02 / 9
	near(t, "u²", l.U*l.U, s2/10+0.03*0.03/3, 1e-12)
	near(t, "ν", l.DOF, math.Pow(l.U, 4)/(math.Pow(s2/10, 2)/9), 1e-6)
}
