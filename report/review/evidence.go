package review

import (
	"fmt"
	"slices"
	"strings"

	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify/audit"
)

// missing lists the evidence that the programme asks for and jobs lack.
func (t *text) missing() {
	if !t.r.Asks.Any() {
		return
	}
	jobs, counts := lacking(t.r)
	if len(jobs) == 0 {
		t.heading("Missing evidence: none, every job has what the programme asks for")
		return
	}
	t.heading(fmt.Sprintf("Missing evidence in %d of %d jobs", len(jobs), len(t.r.Jobs)))
	t.item("", 0, upperFirst(strings.Join(counts, ", "))+".")
	for _, j := range jobs[:min(len(jobs), textLacks)] {
		t.item(screen.Short(screen.Clean(j.Name), 22)+"  ", 24, Lacks(j))
	}
	if more := len(jobs) - textLacks; more > 0 {
		t.line(fmt.Sprintf("and %d more: --table evidence has them all", more))
	}
}

// lacking returns the jobs that lack evidence, those that lack most first, and in how many each kind is missing.
func lacking(r *audit.Review) (jobs []*audit.Job, counts []string) {
	of := map[string]int{}
	for _, j := range r.Jobs {
		if len(j.Missing) > 0 {
			jobs = append(jobs, j)
		}
		for _, l := range j.Missing {
			of[l.Ask]++
		}
	}
	slices.SortStableFunc(jobs, func(a, b *audit.Job) int { return len(b.Missing) - len(a.Missing) })
	for _, d := range audit.AskDefs() {
		if n := of[d.Name]; n > 0 {
			counts = append(counts, fmt.Sprintf("%s in %d", say.LackName(d.Name), n))
		}
	}
	return jobs, counts
}

// Lacks says all that a job lacks.
func Lacks(j *audit.Job) string {
	parts := make([]string, len(j.Missing))
	for i, l := range j.Missing {
		parts[i] = say.Lacking(l)
	}
	return strings.Join(parts, "; ")
}

// opened sets what inspectors found against the verdicts.
func (t *text) opened() {
	o := &t.r.Opened
	if o.Bays == 0 {
		return
	}
	t.heading(fmt.Sprintf("%s opened by inspectors", say.Count(o.Bays, "bay", "bays")))
	t.item("", 0, OpenedText(o))
}

// OpenedText says how many of the opened bays were short.
func OpenedText(o *audit.OpenedSum) string {
	text := fmt.Sprintf("Of %d called CLOSE %d were short: %s", o.Close.N, o.Close.K, say.Rate(o.Close))
	if o.Close.N == 0 {
		text = "None of them was called CLOSE"
	}
	if o.Hold.N > 0 {
		text += fmt.Sprintf(". Of %d on hold %d were short: %s", o.Hold.N, o.Hold.K, say.Rate(o.Hold))
	}
	return text + "."
}
