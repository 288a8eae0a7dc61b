package crew

import (
	"math"
	"slices"
	"sort"

	"bayproof/verify/measure"
)

// evidence is one lot as the rule sees it: everything relative to the target, variances widened for few degrees of
// freedom, the common error of the bag weight as a share.
type evidence struct {
	x     float64 // density
	v     float64 // variance of the error that is this lot's alone
	half  float64 // half-width of a fresh count; 0 where the count is not fresh
	kapp  float64 // relative standard uncertainty of the bag weight in this lot
	in    link    // reading of the counter at the start
	out   link    // and at the end
	odds  float64 // factor on the likelihood of a bad bay from what the log says besides its masses; 1 for none
	skip  bool    // no density is known
	times int     // so many lots are alike in all this
}

// link ties a lot to a reading of the running counter.
type link struct {
	reading int
	coef    float64 // of the error of that reading in the density, signed
	v       float64 // variance of the reading, bags²; 0 where it is exact
}

// variance is that of a reading that the lot has; 0 where it has none.
func (l *link) variance() float64 {
	if l.coef == 0 {
		return 0
	}
	return l.v
}

// chained tells whether the lot reads the running counter, and not exactly.
func (e *evidence) chained() bool { return e.in.variance() > 0 || e.out.variance() > 0 }

// anyChained tells whether some lot reads the running counter.
func anyChained(lots []evidence) bool {
	return slices.ContainsFunc(lots, func(e evidence) bool { return e.chained() })
}

// full is the variance of the lot's density for itself, the readings of the counter counted in.
func (e *evidence) full() float64 {
	return e.v + e.in.coef*e.in.coef*e.in.v + e.out.coef*e.out.coef*e.out.v + e.half*e.half/3
}

// scaled is the evidence with its density and all errors multiplied by f.
func (e evidence) scaled(f float64) evidence {
	e.x, e.half, e.v = e.x*f, e.half*f, e.v*f*f
	e.in.coef, e.out.coef = e.in.coef*f, e.out.coef*f
	return e
}

// leastVariance keeps a likelihood from becoming a spike that no grid can see: a relative 0.2 %.
const leastVariance = 4e-6

// weigh turns a lot into evidence. Where the count is fresh, its interval replaces Count. Of a counter's readings the
// two that bound the lot's longest stretch are kept as links; others (a top-up later in the day) count as noise of its own.
func weigh(lot *measure.Lot, target float64) evidence {
	e := evidence{x: lot.Density / target, odds: 1}
	if math.IsNaN(e.x) || math.IsInf(e.x, 0) || e.x < 0 || math.IsNaN(lot.Own) || math.IsNaN(lot.Count) {
		e.skip = true
		return e
	}
	e.v = sq(lot.Own/target) * widening(lot.OwnDOF)
	if lot.Interval > 0 {
		e.half = lot.Interval / target
	} else {
		e.v += sq(lot.Count / target)
	}
	if lot.Density > 0 && lot.Common > 0 {
		e.kapp = lot.Common / lot.Density * math.Sqrt(widening(lot.CommonDOF))
	}
	e.tie(lot.Terms, target)
	e.v = math.Max(e.v, leastVariance)
	return e
}

func (e *evidence) tie(terms []measure.Term, target float64) {
	terms = append([]measure.Term(nil), terms...)
	sort.Slice(terms, func(i, j int) bool { return terms[i].Reading < terms[j].Reading })
	var in, out measure.Term
	for _, t := range terms {
		switch {
		case t.Coef < 0 && in.Coef == 0:
			in = t
		case t.Coef > 0 && out.Coef == 0 && (in.Coef != 0 && t.Reading > in.Reading || in.Coef == 0):
			out = t
		default:
			e.v += sq(t.Coef * t.U / target)
		}
	}
	e.in = link{in.Reading, in.Coef / target, in.U * in.U}
	e.out = link{out.Reading, out.Coef / target, out.U * out.U}
}

// widening is the factor on a variance that was estimated with ν degrees of freedom: ν/(ν − 2), the variance of
// Student's t, below 15. That runs away at 2, so from 3 down it goes on as 3·(3/ν)^1.5, which at ν = 1 (15.6) still
// covers the square of the ratio of the 95 % points, (6.314/1.645)² = 14.7.
func widening(dof float64) float64 {
	switch {
	case math.IsNaN(dof) || dof >= fewDegrees:
		return 1
	case dof > leastDegrees:
		return dof / (dof - 2)
	}
	r := leastDegrees / math.Max(dof, 1)
	return leastDegrees * r * math.Sqrt(r)
}

func sq(x float64) float64 { return x * x }
