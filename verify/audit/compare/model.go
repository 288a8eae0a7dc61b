// Means of groups: a two-level normal model.
//
// Observed is a mean y for every job, with the variance v that its bays leave in it. Unknown are
// the mean of every group M + c, the standard deviation σ between jobs of one group and τ between
// groups:
//
//	y = M + c + a + e,   c ~ N(0, τ²),  a ~ N(0, σ²),  e ~ N(0, v)
//
// σ² and τ² are estimated by moments, each as the variance at which the weighted sum of squares is
// what it should be on average (Paule and Mandel 1982). Group means are weighted means of their
// jobs; their intervals use Student's t with the degrees of freedom by which σ² is known. A group's
// limits are those of a difference between it and all the others. The balanced case is one-way
// analysis of variance, which TestFitBalanced holds by hand; TestSimulatedCrews counts how often
// limits and intervals are wrong.

package compare

import (
	"maps"
	"math"
	"slices"

	"bayproof/verify/stat"
)

// Unit is what one job says about one quantity. Mean and Variance are in the quantity's unit and
// its square; a job where either is NaN is left out.
type Unit struct {
	Group    string  // the crew, the month or the way of counting
	Mean     float64 // of the job's bays
	Variance float64 // of Mean, from bay to bay and by reading: s²/n
}

// group is that of a job that says something.
func (u *Unit) group() (name string, ok bool) {
	return u.Group, !math.IsNaN(u.Mean) && !math.IsNaN(u.Variance)
}

// Model is the two-level model fitted to units; see the top of the file. σ² is one for all groups.
// Where even σ² = 0 leaves less scatter than the v explain, it is 0, and the intervals are not made
// narrower (Knapp and Hartung 2003, with the factor 1 at least). τ² likewise between groups.
type Model struct {
	Groups  []Group
	Overall float64 // M, by 1/(τ² + variance)
	SD      float64 // σ: of jobs in a group
	Between float64 // τ: of groups
	DOF     float64 // jobs less groups: what σ² is known by; 0 where no group has two jobs, and then there is no interval
}

// Group is where one group lies, in the unit of its jobs' means.
type Group struct {
	Name   string
	Jobs   int     // with a mean
	Mean   float64 // Σ w·y/Σ w over its jobs
	U      float64 // standard uncertainty of Mean: by its jobs, and what these differ by
	Lo, Hi float64 // interval of the group's own mean at Level; NaN where no group has two jobs
	Shrunk float64 // drawn towards the others as far as few jobs ask for
	// Within these limits, at Level and at Outer, lies a group of so many jobs if it is like all
	// the others together.
	Low, High, OuterLow, OuterHigh float64
	Outside                        int // -2, -1, 1, 2: below or above the inner or outer limits; 0 within
}

// Level is the level of intervals and of the inner limits, Outer that of the outer ones.
const (
	Level = 0.95
	Outer = 0.998
)

// Fit fits the model to jobs. Groups stand in the order of their names; units with a mean or a
// variance that is not a number are left out, and so are groups without any. No units give no
// groups.
//
//	group mean = Σ w·y/Σ w,  U = √(1/Σ w),  w = 1/(σ² + v)
//
// U is NaN, and with it interval and limits, where no group has two jobs.
func Fit(units []Unit) Model {
	names, of := ByGroup(units, (*Unit).group)
	m := Model{Groups: make([]Group, len(names))}
	for _, jobs := range of {
		m.DOF += float64(len(jobs) - 1)
	}
	m.SD = within(of, m.DOF)
	for i, jobs := range of {
		sum, weights := 0.0, 0.0
		for _, u := range jobs {
			w := 1 / (m.SD*m.SD + u.Variance)
			if math.IsInf(w, 0) { // a group of equal jobs without any scatter
				w = 1e18
			}
			sum, weights = sum+w*u.Mean, weights+w
		}
		g := Group{Name: names[i], Jobs: len(jobs), Mean: sum / weights, U: math.Sqrt(1 / weights)}
		if m.DOF < 1 {
			g.U = math.NaN()
		}
		m.Groups[i] = g
	}
	m.between()
	m.limits()
	return m
}

// ByGroup sorts items into their groups: the groups' names in order, and of each group its items in
// the order given. An item whose group is not ok is left out.
func ByGroup[T any](items []T, group func(*T) (name string, ok bool)) (names []string, of [][]T) {
	sizes := map[string]int{}
	for i := range items {
		if name, ok := group(&items[i]); ok {
			sizes[name]++
		}
	}
	names = slices.Sorted(maps.Keys(sizes))
	of, at := make([][]T, len(names)), make(map[string]int, len(names))
	for g, name := range names {
		of[g], at[name] = make([]T, 0, sizes[name]), g
	}
	for i := range items {
		if name, ok := group(&items[i]); ok {
			of[at[name]] = append(of[at[name]], items[i])
		}
	}
	return names, of
}

// within returns the standard deviation between the units of each group, σ. With w = 1/(σ² + v) and
// ȳ the weighted mean of a group the sum Q(σ²) = Σ w·(y − ȳ)² over all groups falls in σ²: Q = dof
// is found by bisection. σ is 0 where Q(0) is not above dof, and with dof < 1, where nothing is
// known.
func within(groups [][]Unit, dof float64) float64 {
	q := func(variance float64) (sum float64) {
		for _, units := range groups {
			sum += weightedSquares(units, variance)
		}
		return sum
	}
	if dof < 1 || q(1e-300) <= dof {
		return 0
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
	return math.Sqrt(hi)
}

// weightedSquares returns Σ w·(y − ȳ)² of a group's jobs, w = 1/(variance + v), ȳ their weighted
// mean.
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

// between finds τ and M from the groups' means and uncertainties as within does from jobs, and
// draws the groups towards M: a group keeps τ²/(τ² + U²) of its distance (the posterior mean with τ
// known). It fills in the groups' intervals, mean ± t·U.
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
		m.Between = within([][]Unit{units}, n-1)
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

// limits sets each group against all the others together, as if all had one mean: M₋ ± t·√(U² +
// U₋²), with M₋ the mean of the others by their variances, U₋ = 1/√Σ(1/U²) its standard uncertainty
// and t of Student's distribution with the model's degrees of freedom. A group is not in the mean
// that it is held against. NaN where there is one group, or no degrees of freedom.
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

// outside returns where x lies: −2 or −1 below the outer or inner limits, 1 or 2 above the inner or
// outer ones, 0 within or where a limit is NaN.
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
