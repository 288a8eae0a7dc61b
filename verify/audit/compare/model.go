package compare

import (
	"math"
	"slices"

	"bayproof/verify/stat"
)

// Unit is what one job says about one quantity: a mean over its bays and how far that is off by its bays alone.
type Unit struct {
	Group    string  // the crew, the month or the way of counting
	Mean     float64 // of the job's bays
	Variance float64 // of Mean, from bay to bay and by reading: s²/n
}

// Model is a two-level model of jobs in groups:
//
//	y = M + c + a + e,   c ~ N(0, τ²) between groups, a ~ N(0, σ²) between the jobs of one group, e ~ N(0, v) within a job
//
// σ² is one for all groups and found by moments (Paule and Mandel 1982, within groups): Σ w·(y − ȳ)² over the groups equals the
// degrees of freedom, w = 1/(σ² + v). Where even σ² = 0 leaves less it is nought, and the intervals are not made narrower
// (Knapp and Hartung 2003, with the factor 1 at least). τ² likewise between groups.
type Model struct {
	Groups  []Group
	Overall float64 // M, by 1/(τ² + variance)
	SD      float64 // σ: of jobs in a group
	Between float64 // τ: of groups
	DOF     float64 // jobs less groups: what σ² is known by; 0 where no group has two jobs, and then there is no interval
}

// Group is where one group lies.
type Group struct {
	Name   string
	Jobs   int
	Mean   float64
	U      float64 // standard uncertainty of Mean: by its jobs, and what these differ by
	Lo, Hi float64 // interval of the group's own mean at Level; NaN where no group has two jobs
	Shrunk float64 // drawn towards the others as far as few jobs ask for
	// Within these limits, at Level and at Outer, lies a group of so many jobs if it is like all the others together.
	Low, High, OuterLow, OuterHigh float64
	Outside                        int // -2, -1, 1, 2: below or above the inner or outer limits; 0 within
}

// Level is the level of intervals and of the inner limits, Outer that of the outer ones.
const (
	Level = 0.95
	Outer = 0.998
)

// Fit fits the model. Groups stand in the order of their names; units with a mean or a variance that is not a number are left
// out, and so are groups without any.
func Fit(units []Unit) Model {
	by := map[string][]Unit{}
	var names []string
	for _, u := range units {
		if math.IsNaN(u.Mean) || math.IsNaN(u.Variance) {
			continue
		}
		if by[u.Group] == nil {
			names = append(names, u.Group)
		}
		by[u.Group] = append(by[u.Group], u)
	}
	slices.Sort(names)
	var m Model
	for _, name := range names {
		m.DOF += float64(len(by[name]) - 1)
	}
	var scale float64
	m.SD, scale = within(names, by, m.DOF)
	for _, name := range names {
		g := Group{Name: name, Jobs: len(by[name])}
		sum, weights := 0.0, 0.0
		for _, u := range by[name] {
			w := 1 / (m.SD*m.SD + u.Variance)
			if math.IsInf(w, 0) { // a group of equal jobs without any scatter
				w = 1e18
			}
			sum, weights = sum+w*u.Mean, weights+w
		}
		g.Mean, g.U = sum/weights, math.Sqrt(scale/weights)
		m.Groups = append(m.Groups, g)
	}
	m.between()
	m.limits()
	return m
}

// within is σ and the factor on variances. With w = 1/(σ² + v) the sum Q(σ²) = Σ w·(y − ȳ)² falls in σ², so that Q = ν is found
// by halving.
func within(names []string, by map[string][]Unit, dof float64) (sd, scale float64) {
	if dof < 1 {
		return 0, math.NaN()
	}
	q := func(variance float64) (sum float64) {
		for _, name := range names {
			sum += weightedSquares(by[name], variance)
		}
		return sum
	}
	if q(1e-300) <= dof {
		return 0, 1
	}
	lo, hi := 0.0, 1e-12
	for q(hi) > dof && hi < 1e12 {
		lo, hi = hi, 4*hi
	}
	for range 60 {
		if mid := (lo + hi) / 2; q(mid) > dof {
			lo = mid
		} else {
			hi = mid
		}
	}
	return math.Sqrt(hi), 1
}

// weightedSquares is Σ w·(y − ȳ)² of a group's jobs, w = 1/(variance + v), ȳ their weighted mean.
func weightedSquares(units []Unit, variance float64) (sum float64) {
	var mean, weights float64
	for _, u := range units {
		w := 1 / (variance + u.Variance)
		mean, weights = mean+w*u.Mean, weights+w
	}
	mean /= weights
	for _, u := range units {
		d := u.Mean - mean
		sum += d * d / (variance + u.Variance)
	}
	return sum
}

// between finds τ and M, and draws the groups towards it: a group keeps τ²/(τ² + U²) of its distance.
func (m *Model) between() {
	n := float64(len(m.Groups))
	units := make([]Unit, len(m.Groups))
	for i, g := range m.Groups {
		units[i] = Unit{Mean: g.Mean, Variance: g.U * g.U}
		if math.IsNaN(g.U) {
			units[i].Variance = 0
		}
	}
	if n > 1 && m.DOF > 0 {
		m.Between, _ = within([]string{""}, map[string][]Unit{"": units}, n-1)
	}
	sum, weights := 0.0, 0.0
	for _, u := range units {
		w := 1 / math.Max(1e-18, m.Between*m.Between+u.Variance)
		sum, weights = sum+w*u.Mean, weights+w
	}
	m.Overall = sum / weights
	for i := range m.Groups {
		g := &m.Groups[i]
		keep := m.Between * m.Between / math.Max(1e-300, m.Between*m.Between+units[i].Variance)
		g.Shrunk = m.Overall + keep*(g.Mean-m.Overall)
		if t := stat.StudentQuantile((1+Level)/2, m.DOF); m.DOF > 0 {
			g.Lo, g.Hi = g.Mean-t*g.U, g.Mean+t*g.U
		} else {
			g.Lo, g.Hi = math.NaN(), math.NaN()
		}
	}
}

// limits sets each group against all the others together, as if all had one mean: M₋ ± t·√(U² + U₋²), M₋ the mean of the others by
// their variances, U₋ its standard uncertainty, t of Student's distribution with ν degrees of freedom. A group is not in the mean
// that it is held against.
func (m *Model) limits() {
	var sum, weights float64
	for _, g := range m.Groups {
		w := 1 / (g.U * g.U)
		sum, weights = sum+w*g.Mean, weights+w
	}
	inner, outer := stat.StudentQuantile((1+Level)/2, m.DOF), stat.StudentQuantile((1+Outer)/2, m.DOF)
	for i := range m.Groups {
		g := &m.Groups[i]
		w := 1 / (g.U * g.U)
		others := weights - w
		if len(m.Groups) < 2 || m.DOF < 1 || !(others > 0) {
			nan := math.NaN()
			g.Low, g.High, g.OuterLow, g.OuterHigh = nan, nan, nan, nan
			continue
		}
		mean, u := (sum-w*g.Mean)/others, math.Sqrt(g.U*g.U+1/others)
		g.Low, g.High, g.OuterLow, g.OuterHigh = mean-inner*u, mean+inner*u, mean-outer*u, mean+outer*u
		g.Outside = outside(g.Mean, g.Low, g.High, g.OuterLow, g.OuterHigh)
	}
}

// outside is where x lies: -2, -1, 1, 2 below or above the outer or inner limits; 0 within.
func outside(x, low, high, outerLow, outerHigh float64) int {
	switch {
	case x < outerLow:
		return -2
	case x < low:
		return -1
	case x > outerHigh:
		return 2
	case x > high:
		return 1
	}
	return 0
}
