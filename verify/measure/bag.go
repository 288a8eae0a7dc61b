package measure

import (
	"math"

	"bayproof/model"
	"bayproof/verify/stat"
)

// Divisors that turn a half-width into a standard uncertainty (JCGM 100, 4.3.7 and 4.3.9).
const (
	sqrt3  = 1.7320508075688772 // rectangular ±a: a/√3
	sqrt6  = 2.449489742783178  // difference of two readings rounded to a step q: q/√6
	sqrt12 = 3.4641016151377544 // one reading rounded to a step q: q/√12
)

// FewBags is the number of weighed bags under which their scatter is not taken below what the label allows.
const FewBags = 4

// BagWeight is the average net weight of the job's bags. Its error is one and the same in every bag.
type BagWeight struct {
	Mass    float64 // kg; NaN where it is not known
	U       float64 // kg
	DOF     float64
	Weighed int // bags weighed; 0 where the label holds
}

// Bag returns the net bag weight that holds for the job: the label with its ± limit on the average (rectangular), or the
// mean of weighed bags less the tare, u² = s²/n + a²/3 with ν = n − 1 for the first part, where a is the scale's
// half-width (`weigh_within`). Under four bags s is not taken below the allowable variation of one bag over √3; of one
// bag nothing is estimated, so that floor stands alone.
func Bag(st *model.Settings) BagWeight {
	n := len(st.BagChecks)
	if n == 0 {
		return BagWeight{Mass: st.Bag(), U: st.BagWeight * st.BagWithin / sqrt3, DOF: math.Inf(1)}
	}
	_, s := stat.MeanSD(st.BagChecks)
	w := BagWeight{Mass: st.Bag(), Weighed: n}
	dof := float64(n - 1)
	if n < FewBags {
		floor := AllowableVariation(w.Mass) / sqrt3
		if !(s >= floor) {
			s = floor
		}
	}
	if n == 1 {
		dof = math.Inf(1)
	}
	var f stat.Freedom
	f.Add(s*s/float64(n), dof)
	f.Add(st.WeighWithin*st.WeighWithin/3, math.Inf(1))
	w.U, w.DOF = f.U(), f.DOF()
	return w
}

// AllowableVariation is how much one bag may fall short of its label, in kg, by its net weight (NIST Handbook 133,
// maximum allowable variations; from memory). The three rows known are used beyond their ends too.
func AllowableVariation(net float64) float64 {
	switch lb := net / model.Pound; {
	case lb <= 23.20:
		return 0.31 * model.Pound
	case lb <= 31.60:
		return 0.37 * model.Pound
	}
	return 0.44 * model.Pound
}
