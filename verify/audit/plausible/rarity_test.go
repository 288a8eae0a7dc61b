package plausible

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"bayproof/model"
	"bayproof/verify"
)

// TestRarityBayByBay holds the readings gathered against going over the bays one by one, as the
// definition says.
func TestRarityBayByBay(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	sections := []*model.Section{{Name: "a"}, {Name: "b"}}
	told := 0
	for range 50 {
		var all []*verify.Bay
		for range 2 + r.IntN(2*mostCompared) {
			p := model.Piece{}
			for d, x := range p.Readings() {
				for range r.IntN(3) {
					x.Values = append(x.Values, float64(14+d)*model.Inch+float64(r.IntN(6))*model.Inch/8)
				}
				if len(x.Values) > 0 {
					x.State = model.Measured
				}
			}
			all = append(all, &verify.Bay{Bay: &model.Bay{Section: sections[r.IntN(2)], Pieces: []*model.Piece{&p}}})
		}
		sizes := newKnownSizes(all)
		for _, b := range all {
			want := bitsOneByOne(b, all)
			if got := sizes.bits(b); math.Abs(got-want) > 1e-12 {
				t.Fatalf("%v bits, want %v", got, want)
			}
			if want > 1 {
				told++
			}
		}
	}
	if told < 1000 {
		t.Errorf("only %d bays tell anything", told)
	}
}

func bitsOneByOne(b *verify.Bay, all []*verify.Bay) float64 {
	bits := 0.0
	for d, r := range b.Bay.Pieces[0].Readings() {
		if r.State != model.Measured {
			continue
		}
		if d == 4 || d == 5 {
			if n := 4 * r.Values[0] / model.Inch; math.Abs(n-math.Round(n)) > 1e-6 {
				bits++
			}
			continue
		}
		same, n := 0, 0
		for _, o := range all[:min(len(all), mostCompared)] {
			q := o.Bay.Pieces[0].Readings()[d]
			if o.Bay.Section != b.Bay.Section || len(q.Values) == 0 || math.Abs(q.Mean()-r.Mean()) > localSize+1e-9 {
				continue
			}
			n++
			if slices.Equal(q.Values, r.Values) {
				same++
			}
		}
		bits += math.Log2(float64(max(n, 1)) / float64(max(same, 1)))
	}
	return bits
}
