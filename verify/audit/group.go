// Groups of jobs set side by side: crews, kinds of section, months, ways of counting. Every job, or
// section of a kind, says one mean density with the variance that its bays leave in it, and some
// counts; package compare has the models that know that bays of a job stand or fall together.

package audit

import (
	"maps"
	"math"
	"slices"
	"strconv"
	"time"

	"bayproof/model"
	"bayproof/verify"
	"bayproof/verify/audit/compare"
	"bayproof/verify/stat"
)

// Terms are what all jobs of a review are judged by.
type Terms struct {
	File, Digest string  // of the program's file; empty where there is none, and the defaults hold
	Target, Aim  float64 // kg/m³
	Confidence   float64
	Rule         model.Rule
	at           *compare.Reach
}

// NewTerms returns the terms with what a way of counting can reach under them computed.
func NewTerms(file, digest string, st *model.Settings) Terms {
	return Terms{file, digest, st.Target, st.Aim, st.Confidence, st.Rule, compare.NewReach(st.Target, st.Aim, st.Confidence)}
}

// reach returns what can be reached; under terms that nobody made by the published target (SWS
// 4.1103.1), the usual aim and 0.95.
func (t *Terms) reach() *compare.Reach {
	if t.at == nil {
		target := 3.5 * model.PoundPerCubicFoot
		t.at = compare.NewReach(target, model.AimOverTarget*target, 0.95)
	}
	return t.at
}

// Level is the level of intervals and of the inner limits, and OuterLevel that of the outer ones.
const (
	Level      = compare.Level
	OuterLevel = compare.Outer
)

// Group are the jobs of one crew, section kind, month or way of counting. Densities of months are
// what is left of them once the crews that worked then are taken off, added to the mean of all.
type Group struct {
	Name    string // empty where the jobs do not say
	Tally   Tally
	Pass    Rate          // CLOSE of the filled bays
	Density compare.Group // mean density of the bays, kg/m³
	Short   compare.Share // bays expected to be short, of those weighed or blown to the stall
	Reached compare.Share // CLOSE of those that this way of counting could show to be
}

// Outside is where the group's mean density lies: -2, -1, 1, 2 below or above the inner or outer
// limits; 0 within.
func (g *Group) Outside() int { return g.Density.Outside }

// Rate is a share of bays, K of N, with its interval at Level, which knows that bays of a job stand
// or fall together.
type Rate struct {
	K, N   int
	Lo, Hi float64
}

// Share returns the raw share K/N; NaN of none.
func (r Rate) Share() float64 { return float64(r.K) / float64(r.N) }

// Pass returns the share of the filled bays of one section or job that are CLOSE. All its bays are
// there, so that the interval (Wilson's) is that of more bays like these in the same job.
func (t *Tally) Pass() Rate {
	k, n := int(t.Close), int(t.Filled)
	lo, hi := stat.Wilson(k, n, Level)
	return Rate{K: k, N: n, Lo: lo, Hi: hi}
}

// unit returns what a job, or a section of it, says about the density of its n bays: their mean,
// and its variance s²/n with s² = Σ(ρ − mean)²/(n − 1), (kg/m³)². With one bay, usualVariance of the
// mean's square. At least 1e-12 of that, so that no job has all the weight. NaN where no bay has a
// density. The group is the caller's.
func (t *Tally) unit(group string) compare.Unit {
	n, mean := t.Densities.N, t.Densities.Mean
	variance := t.Densities.SS / (n - 1) / n
	switch n {
	case 0:
		mean = math.NaN()
	case 1:
		variance = usualVariance * mean * mean
	}
	return compare.Unit{Group: group, Mean: mean, Variance: math.Max(variance, 1e-12*mean*mean)}
}

// usualVariance is the relative variance of one bay's density where a job has no second: a tenth,
// squared, by reading and packing (this tool's own).
const usualVariance = 0.01

// compare sets crews, kinds of section, months and ways of counting side by side. What months say
// is freed of the crews that worked then: from each job's mean that of its crew is taken off, and
// the mean of all added. Trends are those of crews over the days of their jobs.
func (r *Review) compare(crews, kinds, months, ways map[string]*Tally) {
	byCrew := r.tallies(func(j *Job) string { return j.Crew })
	ofCrews := units(byCrew)
	r.Crews, r.Model = grouped(crews, byCrew, ofCrews)
	byWay := r.tallies(func(j *Job) string { return j.Way })
	r.Ways, _ = grouped(ways, byWay, units(byWay))
	byKind := r.kinds()
	r.Kinds, _ = grouped(kinds, byKind, units(byKind))
	mean := map[string]float64{}
	for _, g := range r.Model.Groups {
		mean[g.Name] = g.Mean
	}
	byMonth := r.tallies((*Job).month)
	left := units(byMonth)
	var dated []compare.Dated
	counts := make([]compare.Count, len(r.Jobs))
	at := 0
	for i, j := range r.Jobs {
		counts[i] = compare.Count{K: float64(j.Tally.Close), N: float64(j.Tally.Filled)}
		if j.Tally.Filled == 0 {
			continue
		}
		if day, err := time.Parse("2006-01-02", j.Date); err == nil && j.Crew != "" {
			dated = append(dated, compare.Dated{Unit: ofCrews[at], Day: float64(day.Unix()) / 86400})
		}
		left[at].Mean += r.Model.Overall - mean[j.Crew]
		at++
	}
	r.Months, _ = grouped(months, byMonth, left)
	r.Drifts = compare.Trends(dated, r.Model)
	all := compare.One(counts)
	r.Pass = Rate{int(r.Tally.Close), int(r.Tally.Filled), all.Lo, all.Hi}
}

// month is the month of the job's day, "2006-01"; empty where no day is known.
func (j *Job) month() string { return j.Date[:min(7, len(j.Date))] }

// named is a tally of a group.
type named struct {
	group string
	*Tally
}

// tallies are those of the jobs with a filled bay, in the order of the jobs, each with the group
// that it is in.
func (r *Review) tallies(group func(*Job) string) []named {
	out := make([]named, 0, len(r.Jobs))
	for _, j := range r.Jobs {
		if j.Tally.Filled > 0 {
			out = append(out, named{group(j), &j.Tally})
		}
	}
	return out
}

// kinds are the tallies of all sections with a filled bay, by the kind of the section.
func (r *Review) kinds() []named {
	out := make([]named, 0, len(r.Jobs))
	for _, j := range r.Jobs {
		for i := range j.Sections {
			if s := &j.Sections[i]; s.Tally.Filled > 0 {
				out = append(out, named{s.Kind, &s.Tally})
			}
		}
	}
	return out
}

// units are what the tallies say about their densities, in their order.
func units(tallies []named) []compare.Unit {
	out := make([]compare.Unit, len(tallies))
	for i, t := range tallies {
		out[i] = t.unit(t.group)
	}
	return out
}

// grouped fits the models and puts what they say beside the sums, by name. The model that is
// returned is that of the densities. A share's K is cut to its N: what could be reached may be less
// than what is CLOSE.
func grouped(by map[string]*Tally, tallies []named, units []compare.Unit) ([]Group, compare.Model) {
	names := slices.Sorted(maps.Keys(by))
	out := make([]Group, len(names))
	at := make(map[string]*Group, len(names))
	nan := math.NaN()
	density := compare.Group{Mean: nan, Lo: nan, Hi: nan, Shrunk: nan, Low: nan, High: nan, OuterLow: nan, OuterHigh: nan}
	share := compare.Share{Share: nan, Lo: nan, Hi: nan}
	for i, name := range names {
		t := by[name]
		out[i] = Group{Name: name, Tally: *t, Pass: Rate{K: int(t.Close), N: int(t.Filled), Lo: nan, Hi: nan}, Density: density, Short: share, Reached: share}
		at[name] = &out[i]
	}
	shares := func(k, n func(t *Tally) float64) []compare.Share {
		counts := make([]compare.Count, len(tallies))
		for i, t := range tallies {
			counts[i] = compare.Count{Group: t.group, K: math.Min(k(t.Tally), n(t.Tally)), N: n(t.Tally)}
		}
		return compare.FitShares(counts).Groups
	}
	filled := func(t *Tally) float64 { return float64(t.Filled) }
	closed := func(t *Tally) float64 { return float64(t.Close) }
	densities := compare.Fit(units)
	for _, g := range densities.Groups {
		at[g.Name].Density = g
	}
	for _, s := range shares(closed, filled) {
		at[s.Name].Pass.Lo, at[s.Name].Pass.Hi = s.Lo, s.Hi
	}
	for _, s := range shares(func(t *Tally) float64 { return t.Short }, func(t *Tally) float64 { return float64(t.Told) }) {
		at[s.Name].Short = s
	}
	for _, s := range shares(closed, func(t *Tally) float64 { return t.Reach }) {
		at[s.Name].Reached = s
	}
	return out, densities
}

// Falls says whether a job's densities fall, or rise, along the order of filling.
type Falls struct {
	Sections []string // where it shows in the section by itself
	// All sections together: the slope that they have in common, kg/m³ a bay, over its standard
	// uncertainty. 0 where no section has one.
	Slope, Z float64
}

// Found tells whether it shows: in a section, or in all together with |Z| beyond the two-sided 1 %
// point of the normal distribution.
func (f *Falls) Found() bool { return len(f.Sections) > 0 || math.Abs(f.Z) > 2.576 }

// fallsOf gathers the slopes of a job's sections: their mean by weights 1/U², in kg/m³ a bay, and Z
// = mean·√Σ(1/U²), the mean over its standard uncertainty.
func fallsOf(f *verify.Findings) Falls {
	var out Falls
	weights := 0.0
	for i := range f.Sections {
		d := &f.Sections[i].Drift
		if d.Method == "" || !(d.USlope > 0) {
			continue
		}
		w := 1 / (d.USlope * d.USlope)
		out.Slope, weights = out.Slope+w*d.Slope, weights+w
		if d.Found {
			name := f.Sections[i].Section.Name
			if name == "" {
				name = strconv.Itoa(i + 1)
			}
			out.Sections = append(out.Sections, string([]byte(name)))
		}
	}
	if weights > 0 {
		out.Slope /= weights
		out.Z = out.Slope * math.Sqrt(weights)
	}
	return out
}
