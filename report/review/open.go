package review

import (
	"fmt"
	"slices"
	"strings"

	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
	"bayproof/verify/audit"
)

// urgentJobs returns the places of the jobs that need someone, the most urgent first. The weights put one bay closed though not
// CLOSE, which is to be opened again, before ten that are short, a finding before four of these, what is only not known or
// not done yet after them, and what a person decided last.
func urgentJobs(r *audit.Review) []int {
	weight := make([]int, len(r.Jobs))
	for i, j := range r.Jobs {
		n := &j.Tally
		weight[i] = 1000*int(n.ClosedHold) + 100*int(n.OpenHold[verify.Add]+n.OpenHold[verify.Probe]) +
			20*int(n.NotFilled+n.NotInLog) + 10*int(n.OpenHold[verify.Measure]) + int(n.Decided)
	}
	for i := range r.Findings {
		if f := &r.Findings[i]; f.Speaks() {
			weight[f.Jobs[0]] += 500
		}
	}
	var out []int
	for i := range r.Jobs {
		if weight[i] > 0 {
			out = append(out, i)
		}
	}
	slices.SortStableFunc(out, func(a, b int) int { return weight[b] - weight[a] })
	return out
}

// needs lists the jobs that need someone with the bays by name.
func (t *text) needs() {
	urgent := urgentJobs(t.r)
	if len(urgent) == 0 {
		t.Heading("No job needs you: every bay read is CLOSE")
		return
	}
	t.Heading(needsYou(len(urgent), len(t.r.Jobs)))
	for _, i := range urgent[:min(len(urgent), textJobs)] {
		j := t.r.Jobs[i]
		head := screen.Clean(j.Name)
		if j.Crew != "" {
			head += ", " + screen.Clean(j.Crew)
		}
		t.Item("", 0, t.Paint(screen.Bold, head))
		for _, k := range openKinds(j) {
			mark, word, _ := strings.Cut(k.Word, " ")
			line := fmt.Sprintf("%s %d %s", mark, k.Count, word)
			if len(k.Names) > 0 {
				line += ": " + strings.Join(k.Names, ", ")
				if more := k.Count - len(k.Names); more > 0 {
					line += fmt.Sprintf(", and %d more", more)
				}
			}
			t.Item("", 2, screen.Clean(line))
		}
		for k := range t.r.Findings { // what speaks against the job alone; the figures follow below
			if f := &t.r.Findings[k]; f.Speaks() && f.Jobs[0] == i {
				t.Item("", 2, "! "+say.SuspectTitle(f.Code))
			}
		}
	}
	if more := len(urgent) - textJobs; more > 0 {
		t.Line(fmt.Sprintf("and %d more: --html FILE and --table open show them all", more))
	}
}

// openKind are the bays of a job that are open for one reason.
type openKind struct {
	Word, Class string
	Count       int
	Names       []string // those that were kept, with their section where the job has more than one
}

// openKinds groups the bays of a job that need someone, the most urgent kind first.
func openKinds(j *audit.Job) []openKind {
	n := &j.Tally
	kinds := []openKind{
		{Word: "✕ closed though not CLOSE", Class: "add", Count: int(n.ClosedHold)},
		{Word: "▲ ADD", Class: "add", Count: int(n.OpenHold[verify.Add])},
		{Word: "◆ PROBE", Class: "probe", Count: int(n.OpenHold[verify.Probe])},
		{Word: "○ MEASURE", Class: "measure", Count: int(n.OpenHold[verify.Measure])}, {Word: "□ not filled", Class: "open", Count: int(n.NotFilled)},
		{Word: "□ not in the log", Class: "open", Count: int(n.NotInLog)}, {Word: "✓ decided by a person", Class: "close", Count: int(n.Decided)},
	}
	var last [7]string // the section last named, by kind
	for i := range j.Open {
		b := &j.Open[i]
		name, at := b.Bay, 3
		switch {
		case b.State == verify.NotFilled:
			at = 4
		case b.By != "":
			at = 6
		case b.State == verify.Closed:
			at = 0
		case b.Verdict == verify.Add:
			at = 1
		case b.Verdict == verify.Probe:
			at = 2
		}
		if len(j.Sections) > 1 && j.SectionOf(b) != last[at] {
			name, last[at] = j.SectionOf(b)+" "+b.Bay, j.SectionOf(b)
		}
		if b.By != "" {
			name += " (" + b.By + ")"
		}
		kinds[at].Names = append(kinds[at].Names, name)
	}
	return slices.DeleteFunc(kinds, func(k openKind) bool { return k.Count == 0 && len(k.Names) == 0 })
}

// needsYou is the headline: how many jobs wait for someone.
func needsYou(urgent, jobs int) string {
	switch {
	case jobs == 1 && urgent == 1:
		return "The job needs you"
	case urgent == 1:
		return fmt.Sprintf("1 of %d jobs needs you", jobs)
	}
	return fmt.Sprintf("%d of %d jobs need you", urgent, jobs)
}
