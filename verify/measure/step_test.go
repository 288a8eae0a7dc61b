package measure_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"bayproof/model"
)

// crew fills bays of these lengths at 3.85 lb/ft³ and reads the hopper to a step, both ends of each
// bay.
func crew(r *rand.Rand, lengths []float64, bays int, read float64) *builder {
	st := exact()
	st.BagWeight, st.BagStep = 25*model.Pound, 0.25
	b := newJob(st)
	at := 0.0
	for i := range bays {
		length := lengths[i%len(lengths)]
		volume := 22.5 / 12 * 5.5 / 12 * length
		need := volume * (3.85 + 0.12*r.NormFloat64()) / 25
		count := read * (math.Round((at+need)/read) - math.Round(at/read))
		at += need + r.Float64()
		b.bay(counted(count), box(readWithin(22.5*model.Inch, 0), readWithin(5.5*model.Inch, 0), readWithin(length*model.Foot, 0)))
	}
	return b
}

// doubled returns in how many of 400 logs the step was doubled.
func doubled(lengths []float64, bays int, read float64) int {
	r := rand.New(rand.NewPCG(11, uint64(bays)))
	n := 0
	for range 400 {
		if s := crew(r, lengths, bays, read).measure().Sections[0].Step; s.Used > s.Stated {
			n++
		}
	}
	return n
}

// TestShownStep: an honest reader of quarters is taken for a reader of halves less than once in a
// hundred logs (4 in 400; up to 8 within three standard deviations); a reader of halves who states
// quarters is found in nine of ten logs of 24 bays.
func TestShownStep(t *testing.T) {
	mixed := []float64{9, 12, 12, 15}
	for _, bays := range []int{8, 24, 60} {
		if n := doubled(mixed, bays, 0.25); n > 8 {
			t.Errorf("%d bays read to a quarter: doubled in %d of 400", bays, n)
		}
	}
	if n := doubled(mixed, 24, 0.5); n < 360 {
		t.Errorf("24 bays read to a half: found in %d of 400", n)
	}
}

// TestLikeBaysProveNothing: bays that all need the same count may well all show it.
func TestLikeBaysProveNothing(t *testing.T) {
	st := exact()
	for _, n := range []float64{0.5, 1, 1.5, 2} {
		b := newJob(st)
		for range 60 {
			b.bay(counted(n), unitBox())
		}
		if s := b.measure().Sections[0].Step; s.Used != 0.25 {
			t.Errorf("sixty bays of %v bags: step %v", n, s.Used)
		}
	}
}

// TestStepUpToOneBag: whole bags written by a reader of quarters double the step twice; never
// beyond one bag.
func TestStepUpToOneBag(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	s := crew(r, []float64{9, 12, 14, 16, 20}, 60, 1).measure().Sections[0].Step
	if s.Used != 1 || s.Stated != 0.25 || s.Odd != 0 || s.Counts == 0 {
		t.Errorf("step %+v", s)
	}
}
