package review

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"bayproof/model"
	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
	"bayproof/verify/audit"
	"bayproof/verify/audit/inspect"
)

// missing lists the evidence that the programme asks for and jobs lack: in how many jobs each kind
// is missing, and the jobs that lack most.
func (t *text) missing() {
	if !t.r.Asks.Any() {
		return
	}
	var jobs []*audit.Job
	in := map[string]int{} // jobs that lack it
	for _, j := range t.r.Jobs {
		if len(j.Missing) > 0 {
			jobs = append(jobs, j)
		}
		for _, l := range j.Missing {
			in[l.Ask]++
		}
	}
	if len(jobs) == 0 {
		t.Heading("Missing evidence: none, every job has what the program asks for")
		return
	}
	slices.SortStableFunc(jobs, func(a, b *audit.Job) int { return len(b.Missing) - len(a.Missing) })
	var counts []string
	for _, d := range model.AskDefs() {
		if n := in[d.Name]; n > 0 {
			counts = append(counts, fmt.Sprintf("%s in %d", say.LackName(d.Name), n))
		}
	}
	t.Heading(fmt.Sprintf("Missing evidence in %d of %d jobs", len(jobs), len(t.r.Jobs)))
	t.Item("", 0, upperFirst(strings.Join(counts, ", "))+".")
	for _, j := range jobs[:min(len(jobs), textLacks)] {
		var lacks []string
		for _, l := range j.Missing {
			lacks = append(lacks, say.Lacking(l))
		}
		t.Item(screen.Short(screen.Clean(j.Name), 22)+"  ", 24, strings.Join(lacks, "; "))
	}
	if more := len(jobs) - textLacks; more > 0 {
		t.Line(fmt.Sprintf("and %d more: --table evidence has them all", more))
	}
}

// inspected sets what inspectors found against what was stated. A crew's own cores are no
// inspection.
func (t *text) inspected() {
	j := &t.r.Judged
	if j.Rows == 0 {
		return
	}
	t.Heading(say.Count(j.Rows, "bay", "bays") + " inspected")
	for _, line := range judgedLines(t.u, j) {
		t.Item("", 0, screen.Clean(line))
	}
}

// judgedLines say what inspections say: over all, by crew, by way of counting, by stated sureness.
func judgedLines(u say.Units, j *inspect.Judged) (out []string) {
	if less := j.Rows - j.Told; less > 0 {
		out = append(out, fmt.Sprintf("%d of them could not be opened, or not for a hazard, and count for nothing.", less))
	}
	if j.Close.N > 0 {
		out = append(out, fmt.Sprintf("Of %.0f called CLOSE: %s.", j.Close.N, say.Found(&inspect.Row{Stated: j.Stated, Found: j.Close})))
	} else {
		out = append(out, "None of them was called CLOSE.")
	}
	if j.Hold.N > 0 {
		out = append(out, fmt.Sprintf("Of %.0f not called CLOSE %.0f were short.", j.Hold.N, j.Hold.K))
	}
	for _, x := range []struct {
		what string
		rows []inspect.Row
	}{{"crew", j.Crews}, {"counting", j.Counting}, {"stated sureness", j.Sureness}} {
		if len(x.rows) < 2 {
			continue
		}
		for i := range x.rows {
			r := &x.rows[i]
			out = append(out, fmt.Sprintf("By %s, %s, %.0f bays: %s.", x.what, cmp.Or(r.Name, "not said"), r.Found.N, say.Found(r)))
		}
	}
	if j.Densities > 1 {
		unit := u.Of(verify.Density)
		out = append(out, fmt.Sprintf("Densities found less read, %d bays: %+.2f ± %.2f %s.", j.Densities, j.Differ/unit.SI, 2*j.DifferU/unit.SI, unit.Name))
	}
	return out
}

// readerWarnings says on how many jobs' files the reader gave warnings, and of which kinds; empty
// where on none.
func readerWarnings(r *audit.Review) string {
	jobs, of := 0, map[string]int{}
	for _, j := range r.Jobs {
		if len(j.Warnings) > 0 {
			jobs++
		}
		for i := range j.Warnings {
			of[j.Warnings[i].Code]++
		}
	}
	if jobs == 0 {
		return ""
	}
	var kinds []string
	for _, d := range model.WarningDefs() {
		if n := of[d.Code]; n > 0 {
			kinds = append(kinds, fmt.Sprintf("%s in %d", d.Code, n))
		}
	}
	return fmt.Sprintf("The reader has warnings on %s: %s", say.Count(jobs, "job", "jobs"), strings.Join(kinds, ", "))
}

// warningLine says one kind of warning and how many more of it there are.
func warningLine(h *audit.Warning) string {
	line := h.Place.String() + ": " + h.Text
	if h.File == "" {
		line = h.Text
	}
	if h.Count > 1 {
		line += fmt.Sprintf(" (and %d more of the kind)", h.Count-1)
	}
	return line
}

// plan lists the bays to open, house by house.
func (t *text) plan() {
	p := t.r.Plan
	if p == nil {
		return
	}
	t.Heading(planTitle(p))
	for _, line := range planLines(p) {
		t.Item("", 0, screen.Clean(line))
	}
	last := -1
	for i := range p.Bays {
		d := &p.Bays[i]
		if d.Job != last {
			name := t.r.Jobs[d.Job].Name
			if d.Crew != "" {
				name += ", " + d.Crew
			}
			t.Item("", 0, t.Paint(screen.Bold, screen.Clean(name)))
			last = d.Job
		}
		line := screen.Clean(strings.TrimPrefix(d.Section+" "+d.Bay, " "))
		if !math.IsNaN(d.Density) {
			line += ", reads " + density(t.u, d.Density) + " " + t.u.Of(verify.Density).Name
		}
		t.Item("  "+screen.Pad(say.Mark(d.Verdict)+" "+say.Verdict(d.Verdict), 11), 13, line)
	}
}

// planTitle says how many bays in how many houses.
func planTitle(p *inspect.Plan) string {
	return fmt.Sprintf("%s to open in %s, drawn with seed %d", say.Count(len(p.Bays), "bay", "bays"), say.Count(p.Houses, "house", "houses"), p.Seed)
}

// whyFew says why fewer bays are given than were asked for; empty where as many are.
func whyFew(p *inspect.Plan) string {
	switch p.Short {
	case inspect.NoMore:
		return "there are no more filled bays"
	case inspect.FewHouse:
		return "there are few houses, and only the first bays of each are kept for a draw"
	}
	return ""
}

// planLines say what was asked and given, why, what none bad would prove, and what it takes to show
// more.
func planLines(p *inspect.Plan) (out []string) {
	line := fmt.Sprintf("Asked %d, given %d", p.Asked, len(p.Bays))
	if why := whyFew(p); why != "" {
		line += ": " + why
	}
	out = append(out, line+".")
	out = append(out, "Drawn by crew and by stated doubt, every crew with a floor; houses first, then a bay in each; CLOSE before what is open.")
	if p.Few {
		out = append(out, "There are more crews than bays to open: crews are not set apart.")
	}
	if p.Bound.Bays > 0 {
		out = append(out, say.Bound(p.Bound)+".")
	}
	for _, b := range p.Crews {
		out = append(out, say.Bound(b)+".")
	}
	for _, x := range p.Proofs {
		if x.Need > p.Bound.Drawn && x.Need < x.Bays {
			out = append(out, fmt.Sprintf("To show that fewer than %.0f %% of the %d called CLOSE are bad takes about %d, a bay a house, none bad.", 100*x.Rate, x.Bays, x.Need))
		}
	}
	return append(out, "SHA-256 of the seed, to publish before the jobs are in: "+p.Digest+". Take a seed of ten figures or more, by dice: a short one can be guessed.")
}
