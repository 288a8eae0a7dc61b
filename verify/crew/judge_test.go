package crew

import (
	"math"
	"testing"

	"bayproof/verify/measure"
)

func TestTmp(t *testing.T) {
	var lots []measure.Lot
	for i := 0; i < 24; i++ {
		d := 3.85 + 0.3*math.Sin(float64(i)*2.3)
		if i == 5 {
			d = 3.0
		}
		if i == 6 {
			d = 3.62
		}
		lots = append(lots, measure.Lot{Density: d, Own: 0.11, Count: 0.25, Common: d * .0087, OwnDOF: math.Inf(1), CommonDOF: math.Inf(1)})
	}
	r := Judge(lots, 3.5, Seen{})
	for i, p := range r.Lots {
		t.Logf("%.3f %+v", lots[i].Density, p)
	}
	t.Logf("%+v", r.Process)
	c := lots
	for i := range c {
		c[i].Count = 0
		c[i].Terms = []measure.Term{{Reading: i, Coef: -2.4, U: .072}, {Reading: i + 1, Coef: 2.4, U: .072}}
	}
	r = Judge(c, 3.5, Seen{})
	for i, p := range r.Lots {
		t.Logf("%.3f %+v", lots[i].Density, p)
	}
	t.Logf("%+v", r.Process)
}

func BenchmarkEnds24(b *testing.B) {
	var lots []measure.Lot
	for i := 0; i < 24; i++ {
		d := 3.85 + 0.3*math.Sin(float64(i)*2.3)
		lots = append(lots, measure.Lot{Density: d, Own: 0.11, Count: 0.25, Common: d * .0087, OwnDOF: math.Inf(1), CommonDOF: math.Inf(1)})
	}
	for b.Loop() {
		Judge(lots, 3.5, Seen{})
	}
}
func BenchmarkRunning24(b *testing.B) {
	var lots []measure.Lot
	for i := 0; i < 24; i++ {
		d := 3.85 + 0.3*math.Sin(float64(i)*2.3)
		lots = append(lots, measure.Lot{Density: d, Own: 0.11, Common: d * .0087, OwnDOF: math.Inf(1), CommonDOF: math.Inf(1),
			Terms: []measure.Term{{Reading: i, Coef: -2.4, U: .072}, {Reading: i + 1, Coef: 2.4, U: .072}}})
	}
	for b.Loop() {
		Judge(lots, 3.5, Seen{})
	}
}
