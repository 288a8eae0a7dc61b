package audit

import (
	"math"

	"bayproof/model"
	"bayproof/verify"
	"bayproof/verify/crew"
)

// amountOf is what a count says: the difference of a counter.
func amountOf(m *model.Material) float64 {
	if m.Kind == model.MaterialCounter {
		return m.Bags - m.Prev
	}
	return m.Bags
}

// amountBits is −log₂ of the chance that two honest amounts for one size agree. The spread is the prior's median; a count
// that is read at both ends has its reading error besides, one from a full hopper has not.
func (r *rowRoom) amountBits(b *verify.Bay, m *model.Material, amount float64) float64 {
	switch {
	case m.Shared:
		return 0
	case m.Kind == model.MaterialWeight || m.Part != 0:
		x := m.Mass
		if m.Part != 0 {
			x = b.Mass
		}
		step := 0.1 * model.Pound
		if whole := x / model.Pound; m.Part == 0 && math.Abs(whole-math.Round(whole)) < 1e-6 {
			step = model.Pound
		}
		return bitsOf(agreement(step, crew.SpreadMedian*x))
	}
	set := &b.Bay.Section.Settings
	return r.countBits(set.BagStep, amount, m.Kind == model.MaterialBags && set.Counting == model.CountingFresh)
}

// amountRead is a count that some row of the job has, and what it tells.
type amountRead struct {
	step, amount, bits float64
	fresh              bool
}

// mostAmounts bounds the counts that are kept.
const mostAmounts = 32

// countBits is what a count tells; the same counts come again and again.
func (r *rowRoom) countBits(step, amount float64, fresh bool) float64 {
	for i := range r.amounts {
		if a := &r.amounts[i]; a.amount == amount && a.step == step && a.fresh == fresh {
			return a.bits
		}
	}
	sigma := crew.SpreadMedian * amount
	if !fresh {
		const reading = 1.0/6 - 1.0/12 // of both ends, less that of rounding alone
		sigma = math.Sqrt(crew.SpreadMedian*crew.SpreadMedian*amount*amount + step*step*reading)
	}
	bits := bitsOf(agreement(step, sigma))
	if len(r.amounts) < mostAmounts {
		r.amounts = append(r.amounts, amountRead{step, amount, bits, fresh})
	}
	return bits
}

// agreement is the chance that two values with standard deviation sigma are rounded to one step of q, wherever the steps
// lie: the mean of 1 − |x|/q over their difference x, nought beyond q. For sigma well above q it is q/(2√π·sigma).
func agreement(q, sigma float64) float64 {
	s := sigma * math.Sqrt2
	if !(s > 0) {
		return 1
	}
	z := q / s
	return math.Erf(z/math.Sqrt2) - math.Sqrt(2/math.Pi)/z*(1-math.Exp(-z*z/2))
}
