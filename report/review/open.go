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
// CLOSE, which is to be opened again, before ten that are short, a finding before four of these, and what is only not
// known or not done yet last.
func urgentJobs(r *audit.Review) []int {
	weight := make([]int, len(r.Jobs))
	for i, j := range r.Jobs {
		n := &j.Tally
		weight[i] = 1000*int(n.ClosedHold) + 100*int(n.Add+n.Probe) + 20*int(n.NotFilled+n.NotInLog) + 10*int(n.Measure)
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
		t.heading("No job needs you: every bay read is CLOSE")
		return
	}
	t.heading(needsYou(len(urgent), len(t.r.Jobs)))
	for _, i := range urgent[:min(len(urgent), textJobs)] {
		j := t.r.Jobs[i]
		head := screen.Clean(j.Name)
		if j.Crew != "" {
			head += ", " + screen.Clean(j.Crew)
		}
		t.item("", 0, t.paint(bold, head))
		for _, line := range openLines(j) {
			t.item("", 2, line)
		}
		for k := range t.r.Findings { // what speaks against the job alone; the figures follow below
			if f := &t.r.Findings[k]; f.Speaks() && f.Jobs[0] == i {
				t.item("", 2, "! "+say.SuspectTitle(f.Code))
			}
		}
	}
	if more := len(urgent) - textJobs; more > 0 {
		t.line(fmt.Sprintf("and %d more: --html FILE and --table open show them all", more))
	}
}

// openLines says what is open in a job, one line a kind.
func openLines(j *audit.Job) []string {
	var lines []string
	for _, k := range openKinds(j) {
		names := k.Names
		if more := k.Count - len(names); more > 0 && len(names) > 0 {
			names = append(names[:len(names):len(names)], fmt.Sprintf("and %d more", more))
		}
		mark, word, _ := strings.Cut(k.Word, " ")
		line := fmt.Sprintf("%s %d %s", mark, k.Count, word)
		if len(names) > 0 {
			line += ": " + strings.Join(names, ", ")
		}
		lines = append(lines, screen.Clean(line))
	}
	return lines
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
		{Word: "□ not in the log", Class: "open", Count: int(n.NotInLog)},
	}
	var last [6]string // the section last named, by kind
	for i := range j.Open {
		b := &j.Open[i]
		name, at := b.Bay, kindAt(b)
		if len(j.Sections) > 1 && j.SectionOf(b) != last[at] {
			name, last[at] = j.SectionOf(b)+" "+b.Bay, j.SectionOf(b)
		}
		kinds[at].Names = append(kinds[at].Names, name)
	}
	return slices.DeleteFunc(kinds, func(k openKind) bool { return k.Count == 0 && len(k.Names) == 0 })
}

// kindAt is the place of a bay's kind in openKinds.
func kindAt(b *audit.OpenBay) int {
	switch {
	case b.State == verify.NotFilled:
		return 4
	case b.State == verify.Closed:
		return 0
	case b.Verdict == verify.Add:
		return 1
	case b.Verdict == verify.Probe:
		return 2
	}
	return 3
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
