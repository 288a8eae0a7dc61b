package compare

import (
	"math"

	"bayproof/verify/stat"
)

// Dated is what a job says, with its day.
type Dated struct {
	Unit
	Day float64 // days since any day
}

// Trend is how a group's jobs move over their days: the slope of a weighted line, in the unit of
// the means a year of 365.25 days.
type Trend struct {
	Name   string
	Jobs   int     // of the group
	Days   float64 // from the first to the last
	Slope  float64 // a year
	Lo, Hi float64 // interval at Level
	Found  bool    // beyond the outer limits: one honest group in 500
}

// leastDates are the jobs of a group, and leastDays their span, below which a trend says nothing.
const (
	leastDates = 4
	leastDays  = 14.0
)

// Trends fits a line to every group with at least leastDates jobs on at least leastDays days, in
// the order of the names. m is the model of the same units.
func Trends(units []Dated, m Model) (out []Trend) {
	names, of := ByGroup(units, func(u *Dated) (string, bool) { return u.group() })
	for i, jobs := range of {
		if t, ok := trend(jobs, m); ok {
			t.Name = names[i]
			out = append(out, t)
		}
	}
	return out
}

// trend fits the line y = a + b·day of one group by weights w = 1/(σ² + v), σ that of the model m:
//
//	b = Σ w·(x − x̄)(y − ȳ)/Σ w·(x − x̄)²,  u(b) = √(f/Σ w·(x − x̄)²)
//
// f = Σ w·residual²/(jobs − 2), at least 1: a group's own scatter about its line replaces the
// model's where it is larger, and its degrees of freedom, jobs − 2, the model's. Interval and limit
// are Student's t times u(b). ok is false where there are too few jobs or days, or σ is not known.
func trend(units []Dated, m Model) (t Trend, ok bool) {
	first, last := units[0].Day, units[0].Day
	var w, x, y float64
	for _, u := range units {
		first, last = math.Min(first, u.Day), math.Max(last, u.Day)
		k := 1 / (m.SD*m.SD + u.Variance)
		w, x, y = w+k, x+k*u.Day, y+k*u.Mean
	}
	t.Jobs, t.Days = len(units), last-first
	if t.Jobs < leastDates || t.Days < leastDays || m.DOF < 1 {
		return t, false
	}
	x, y = x/w, y/w
	var xx, xy float64
	for _, u := range units {
		k := 1 / (m.SD*m.SD + u.Variance)
		xx, xy = xx+k*(u.Day-x)*(u.Day-x), xy+k*(u.Day-x)*(u.Mean-y)
	}
	slope := xy / xx
	residual := 0.0
	for _, u := range units {
		d := u.Mean - y - slope*(u.Day-x)
		residual += d * d / (m.SD*m.SD + u.Variance)
	}
	factor := math.Max(1, residual/float64(t.Jobs-2))
	se, dof := math.Sqrt(factor/xx), m.DOF
	if factor > 1 {
		dof = float64(t.Jobs - 2)
	}
	const year = 365.25
	half := stat.StudentQuantile((1+Level)/2, dof) * se
	t.Slope, t.Lo, t.Hi = slope*year, (slope-half)*year, (slope+half)*year
	t.Found = math.Abs(slope) > stat.StudentQuantile((1+Outer)/2, dof)*se
	return t, true
}
