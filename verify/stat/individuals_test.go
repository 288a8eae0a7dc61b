package stat

import (
	"math"
	"testing"
)

// NIST/SEMATECH e-Handbook 6.3.2.2 (doi 10.18434/M32189; read): mean 50.81, mean moving range 1.8778, limits 55.8041 and
// 45.8159, all printed to four decimals; the limits there rest on the range so rounded.
func TestIndividuals(t *testing.T) {
	x := []float64{49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1}
	c := NewIndividuals(x)
	lo, hi := c.Limits(0)
	for _, w := range []struct {
		what      string
		got, want float64
	}{{"mean", c.Mean[0], 50.81}, {"moving range", c.Neighbours * 1.128, 1.8778}, {"upper limit", hi, 55.8041}, {"lower limit", lo, 45.8159}} {
		if math.Abs(w.got-w.want) > 1e-4 {
			t.Errorf("%s %.5f, want %.4f", w.what, w.got, w.want)
		}
	}
}

// A step between two runs, or a slope, moves the ordinary standard deviation and not that of neighbours (derived).
func TestIndividualsDoNotSeeALevel(t *testing.T) {
	one, other := []float64{1, 2, 1, 2, 1, 2}, []float64{11, 12, 11, 12, 11, 12}
	apart, alone := NewIndividuals(one, other), NewIndividuals(one)
	if math.Abs(apart.Neighbours-alone.Neighbours) > 1e-12 || math.Abs(apart.Overall-alone.Overall) > 1e-12 {
		t.Errorf("two runs %+v, one %+v", apart, alone)
	}
	slope := make([]float64, 101)
	for i := range slope {
		slope[i] = 0.1 * float64(i)
	}
	if c := NewIndividuals(slope); math.Abs(c.Neighbours-0.1/1.128) > 1e-12 || math.Abs(c.Overall-0.1*math.Sqrt(101*102/12.)) > 1e-9 {
		t.Errorf("a slope: %+v", c)
	}
	if c := NewIndividuals([]float64{3}); !math.IsNaN(c.Neighbours) {
		t.Errorf("one value has a moving range: %+v", c)
	}
}
