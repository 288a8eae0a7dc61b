// What inspectors found, set against what was stated.
//
// A bay that is CLOSE is stated to reach the target with a probability p. If the verdicts are worth
// what they say, the share of short bays among the inspected is about the mean of 1 − p, in every
// group: by crew, by way of counting, by stated sureness. Intervals are those of compare.One, which
// know that bays of a job stand or fall together.

package inspect

import (
	"math"
	"slices"
	"strings"

	"bayproof/model"
	"bayproof/verify"
	"bayproof/verify/audit/compare"
	"bayproof/verify/stat"
)

// Result is one inspected bay: what it was said to be, and what it was found to be.
type Result struct {
	Job                int // place of the job
	Crew, Section, Bay string
	Counting           string // the way of counting of the bay's own figure
	Verdict            verify.Verdict
	Prob               float64 // stated, that it reaches the target
	Read               float64 // kg/m³, by the log
	Found              model.Found
	Density            float64 // kg/m³, found; NaN where none was taken
	Empty              float64 // m; NaN where not said
	Short              bool    // found short, empty or soft, or of a density below the target
	Inspector, Date    string
}

// Counts tells whether the row says anything about the bay: one that was not opened, or a hazard,
// does not.
func (r *Result) Counts() bool { return r.Found.Tells() }

// ResultsOf sets the inspectors' rows of one job against its findings. A row of a bay that the job
// does not have is an error of that file, and its place is returned. Where a bay has several rows
// the last that tells anything holds. Short is set where the bay was found empty or soft, or of a
// density below its section's target.
func ResultsOf(f *verify.Findings, rows []model.Inspection) (results []Result, unknown []model.Source) {
	crew := strings.Clone(f.Job.Settings.Crew)
	for i := range rows {
		row := &rows[i]
		at := slices.IndexFunc(f.Bays, func(b verify.Bay) bool {
			return model.Fold(b.Bay.Name) == model.Fold(row.Bay) && model.Fold(b.Bay.Section.Name) == model.Fold(row.Section)
		})
		if at < 0 {
			unknown = append(unknown, row.Src)
			continue
		}
		b := &f.Bays[at]
		r := Result{Crew: crew, Section: strings.Clone(row.Section), Bay: strings.Clone(row.Bay), Counting: CountingOf(b), Verdict: b.Verdict,
			Prob: b.ProbAtTarget, Read: b.Density, Found: row.Found, Density: row.Density, Empty: row.Empty,
			Inspector: strings.Clone(row.Inspector), Date: strings.Clone(row.Date)}
		r.Short = row.Found.Bad() || row.Density < b.Bay.Section.Settings.Target
		same := slices.IndexFunc(results, func(o Result) bool { return o.Section == r.Section && o.Bay == r.Bay })
		switch {
		case same < 0:
			results = append(results, r)
		case r.Counts() || !results[same].Counts():
			results[same] = r
		}
	}
	return results, unknown
}

// CountingOf returns the way of counting of a bay in a word: weight, ends, fresh, running; ", stall
// not said" behind a count of which nobody says that the bay was blown to the stall. Empty for a
// bay that was not filled.
func CountingOf(b *verify.Bay) string {
	if b.Bay.Fill == nil {
		return ""
	}
	way := ""
	switch m := &b.Bay.Fill.Material; m.Kind {
	case model.MaterialWeight:
		return "weight"
	case model.MaterialCounter:
		way = "running"
	default:
		way = "ends"
		if b.Bay.Section.Settings.Counting != model.CountingUnsaid {
			way = b.Bay.Section.Settings.Counting.String()
		}
	}
	if !b.Bay.Stalled() {
		return way + ", stall not said"
	}
	return way
}

// Judged is what the inspections say about the verdicts.
type Judged struct {
	Rows, Told      int // inspected bays, and those of them that tell anything
	Close, Hold     compare.Share
	Stated          float64 // mean stated chance to be short of the inspected bays that were CLOSE; NaN of none
	Crews, Counting []Row   // of bays that were CLOSE
	Sureness        []Row
	Differ, DifferU float64 // mean of found less read over the bays with a density, kg/m³, and its standard uncertainty
	Densities       int     // bays with a density found
}

// Row is one line of bays that were CLOSE: how many were stated to be short, and how many were.
type Row struct {
	Name   string
	Stated float64 // mean stated chance to be short
	Found  compare.Share
}

// surenessSteps cut stated sureness; each step holds the sureness below it.
func surenessSteps() []struct {
	below float64
	name  string
} {
	return []struct {
		below float64
		name  string
	}{{0.97, "95 to 97 %"}, {0.99, "97 to 99 %"}, {0.999, "99 to 99.9 %"}, {math.Inf(1), "99.9 % and more"}}
}

// Judge sets all results side by side. Differ is the mean of found less read, DifferU = √(Σ(d −
// mean)²/(n − 1)/n) its standard uncertainty, both NaN for fewer than two bays with a density. Bays
// that do not tell anything count in Rows alone.
func Judge(results []Result) Judged {
	j := Judged{Rows: len(results), Stated: math.NaN(), Differ: math.NaN(), DifferU: math.NaN()}
	var close, hold []Result
	var differ []float64
	for _, r := range results {
		if !r.Counts() {
			continue
		}
		j.Told++
		if r.Verdict == verify.Close {
			close = append(close, r)
		} else {
			hold = append(hold, r)
		}
		if d := r.Density - r.Read; !math.IsNaN(d) {
			differ = append(differ, d)
		}
	}
	j.Close, j.Stated = shareOf(close)
	j.Hold, _ = shareOf(hold)
	j.Crews = rows(close, func(r *Result) string { return r.Crew })
	j.Counting = rows(close, func(r *Result) string { return r.Counting })
	for _, step := range surenessSteps() {
		var in []Result
		for _, r := range close {
			if sureness(r.Prob) == step.name {
				in = append(in, r)
			}
		}
		if len(in) > 0 {
			found, stated := shareOf(in)
			j.Sureness = append(j.Sureness, Row{step.name, stated, found})
		}
	}
	if j.Densities = len(differ); len(differ) > 1 {
		mean, sd := stat.MeanSD(differ)
		j.Differ, j.DifferU = mean, sd/math.Sqrt(float64(len(differ)))
	}
	return j
}

// sureness returns the name of the step of a stated sureness.
func sureness(prob float64) string {
	for _, s := range surenessSteps() {
		if prob < s.below {
			return s.name
		}
	}
	return ""
}

// rows returns shares by name, in the order of the names.
func rows(results []Result, of func(*Result) string) (out []Row) {
	names, by := compare.ByGroup(results, func(r *Result) (string, bool) { return of(r), true })
	for i, name := range names {
		found, stated := shareOf(by[i])
		out = append(out, Row{name, stated, found})
	}
	return out
}

// shareOf returns the share of short ones among the results, job by job, and the mean of what was
// stated, 1 − p. NaN of none.
func shareOf(results []Result) (found compare.Share, stated float64) {
	of := map[int]*compare.Count{}
	var jobs []int
	sum := 0.0
	for i := range results {
		r := &results[i]
		if of[r.Job] == nil {
			of[r.Job] = &compare.Count{}
			jobs = append(jobs, r.Job)
		}
		of[r.Job].N++
		if r.Short {
			of[r.Job].K++
		}
		sum += 1 - r.Prob
	}
	var counts []compare.Count
	for _, j := range jobs {
		counts = append(counts, *of[j])
	}
	return compare.One(counts), sum / float64(len(results))
}
