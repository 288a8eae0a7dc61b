// Shares of bays, with intervals that know that the bays of a job stand or fall together.
//
// If the bays of a job are alike, twenty bays of one job say hardly more than one. By how much more
// the jobs of one group differ than bays drawn one by one would is the design effect d of survey
// sampling: a sample of N bays then counts as N/d. It is estimated from all groups together, by ν =
// jobs less groups degrees of freedom. What is left is the exact interval of a binomial share
// (Clopper and Pearson) for that many bays. Held by TestShares and, on crews of known truth,
// TestSimulatedCrews.

package compare

import (
	"math"

	"bayproof/verify/stat"
)

// Count is what one job says about a share: K of its N bays. K may be a sum of probabilities and so
// no whole number.
type Count struct {
	Group string
	K, N  float64 // bays it holds for, and all bays
}

// Share is a share of a group's bays with its interval at Level. NaN where there is no interval.
type Share struct {
	Name          string
	Jobs          int
	K, N          float64
	Share, Lo, Hi float64
	// Within these limits, at Level and at Outer, lies a group of so many bays and jobs if it is
	// like all the others together.
	Low, High, OuterLow, OuterHigh float64
	Outside                        int // -2, -1, 1, 2: below or above the inner or outer limits; 0 within
}

// Shares are those of all groups. The design effect is
//
//	d = Σ (k − n·p̂)²/(1 − n/N) / Σ n·p·(1 − p), at least 1
//
// over the jobs of groups with two or more, k of n bays in a job, p̂ and N the share and the bays
// of the job's group; p is that share drawn a little towards all groups' (FitShares), so that a
// group without any short bay has a variance all the same. The interval is that of Clopper and
// Pearson for N/d bays, made smaller by the square of the normal over Student's quantile with ν
// degrees of freedom, as d is known by ν only (Korn and Graubard 1998). With one job a group there
// is no d, and no interval.
type Shares struct {
	Groups []Share
	Effect float64 // d; NaN where no group has two jobs
	DOF    float64
}

// FitShares fits the shares. Groups stand in the order of their names; jobs without bays are left
// out. With j jobs a group's share counts for the variance of a bay as (K + j·pooled share)/(N +
// j).
func FitShares(counts []Count) Shares {
	names, of := ByGroup(counts, func(c *Count) (string, bool) { return c.Group, c.N > 0 })
	s := Shares{Groups: make([]Share, len(names)), Effect: math.NaN()}
	var over, under, allK, allN float64
	for i, jobs := range of {
		g := &s.Groups[i]
		g.Name, g.Jobs = names[i], len(jobs)
		for _, c := range jobs {
			g.K, g.N = g.K+c.K, g.N+c.N
		}
		g.Share = g.K / g.N
		s.DOF += float64(g.Jobs - 1)
		allK, allN = allK+g.K, allN+g.N
	}
	pooled := allK / allN
	for i, jobs := range of {
		g := &s.Groups[i]
		if g.Jobs < 2 {
			continue
		}
		// The variance of a bay is taken at a share between the group's own and all's: a group of
		// which no bay is short has a rate all the same.
		p := (g.K + pooled*float64(g.Jobs)) / (g.N + float64(g.Jobs))
		for _, c := range jobs {
			d := c.K - c.N*g.Share
			// A job is in its group's share itself, which makes it differ less by the factor 1 −
			// n/N; a job that is nearly the whole group is not blown up beyond ten times.
			over, under = over+d*d/math.Max(0.1, 1-c.N/g.N), under+c.N*p*(1-p)
		}
	}
	if s.DOF >= 1 && under > 0 {
		s.Effect = math.Max(1, over/under)
	}
	s.intervals(allK, allN)
	return s
}

// intervals finds each group's interval and its limits; allK of allN are the bays of all groups.
// The limits are those of a difference: a group of N bays that is held against the N₋ of the others
// counts as 1/(d·(1/N + 1/N₋)) bays, and lies within the interval of Clopper and Pearson that the
// others' share would have in so many, which leans to the side that a small share leans to.
func (s *Shares) intervals(allK, allN float64) {
	inner, outer := stat.StudentQuantile((1+Level)/2, s.DOF), stat.StudentQuantile((1+Outer)/2, s.DOF)
	normal := stat.NormalQuantile((1 + Level) / 2)
	for i := range s.Groups {
		g := &s.Groups[i]
		nan := math.NaN()
		g.Lo, g.Hi, g.Low, g.High, g.OuterLow, g.OuterHigh = nan, nan, nan, nan, nan, nan
		if math.IsNaN(s.Effect) {
			continue
		}
		n := g.N / s.Effect * (normal / inner) * (normal / inner)
		g.Lo, g.Hi = exact(g.Share*n, n, Level)
		others := allN - g.N
		if !(others > 0) {
			continue
		}
		mean := (allK - g.K) / others
		bays := 1 / (s.Effect * (1/g.N + 1/others))
		g.Low, g.High = limit(mean, bays*(normal/inner)*(normal/inner), Level)
		wide := stat.NormalQuantile((1 + Outer) / 2)
		g.OuterLow, g.OuterHigh = limit(mean, bays*(wide/outer)*(wide/outer), Outer)
		g.Outside = outside(g.Share, g.Low, g.High, g.OuterLow, g.OuterHigh)
	}
}

// exact returns the interval of Clopper and Pearson for k of n, which need not be whole: the ends
// are quantiles of Beta(k, n − k + 1) and Beta(k + 1, n − k). 0 below where k is 0, 1 above where k
// is n.
func exact(k, n, level float64) (lo, hi float64) {
	tail := (1 - level) / 2
	if hi = 1; k < n {
		hi = stat.BetaQuantile(1-tail, k+1, n-k)
	}
	if k > 0 {
		lo = stat.BetaQuantile(tail, k, n-k+1)
	}
	return lo, hi
}

// limit returns that interval about a share, and never narrower than p ± z·√(p(1 − p)/bays), within
// 0 to 1.
func limit(share, bays, level float64) (lo, hi float64) {
	lo, hi = exact(share*bays, bays, level)
	half := stat.NormalQuantile((1+level)/2) * math.Sqrt(share*(1-share)/bays)
	return math.Max(0, math.Min(lo, share-half)), math.Min(1, math.Max(hi, share+half))
}

// One returns the share of all counts as one group, for what has no others: jobs cluster as they do
// among themselves. With one job the bays are taken for independent. Where there are no bays the
// share is NaN, and its interval 0 to 1. It sets the counts' groups to "".
func One(counts []Count) Share {
	for i := range counts {
		counts[i].Group = ""
	}
	s := FitShares(counts)
	if len(s.Groups) == 0 {
		nan := math.NaN()
		return Share{Share: nan, Lo: 0, Hi: 1}
	}
	g := s.Groups[0]
	if math.IsNaN(s.Effect) {
		g.Lo, g.Hi = exact(g.K, g.N, Level)
	}
	return g
}
