package review

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"bayproof/model"
	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
	"bayproof/verify/audit"
)

// missing lists the evidence that the programme asks for and jobs lack: in how many jobs each kind is missing, and the
// jobs that lack most.
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
		t.Heading("Missing evidence: none, every job has what the programme asks for")
		return
	}
	slices.SortStableFunc(jobs, func(a, b *audit.Job) int { return len(b.Missing) - len(a.Missing) })
	var counts []string
	for _, d := range audit.AskDefs() {
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

// opened sets what inspectors found against the verdicts.
func (t *text) opened() {
	o := &t.r.Opened
	if o.Bays == 0 {
		return
	}
	t.Heading(fmt.Sprintf("%s opened by inspectors", say.Count(o.Bays, "bay", "bays")))
	t.Item("", 0, openedText(o))
}

// openedText says how many of the opened bays were short.
func openedText(o *audit.OpenedSum) string {
	text := fmt.Sprintf("Of %d called CLOSE %d were short: %s", o.Close.N, o.Close.K, say.Rate(o.Close))
	if o.Close.N == 0 {
		text = "None of them was called CLOSE"
	}
	if o.Hold.N > 0 {
		text += fmt.Sprintf(". Of %d on hold %d were short: %s", o.Hold.N, o.Hold.K, say.Rate(o.Hold))
	}
	return text + "."
}

// readerWarnings says on how many jobs' files the reader gave warnings, and of which kinds; empty where on none.
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
	line := say.Place(model.Source{File: h.File, Line: h.Line}) + ": " + h.Text
	if h.File == "" {
		line = h.Text
	}
	if h.Count > 1 {
		line += fmt.Sprintf(" (and %d more of the kind)", h.Count-1)
	}
	return line
}

// sample lists the bays to open.
func (t *text) sample() {
	s := t.r.Sample
	if s == nil {
		return
	}
	t.Heading(fmt.Sprintf("%s to open, drawn with seed %d", say.Count(len(s.Bays), "bay", "bays"), s.Seed))
	last := audit.Stratum(255)
	for i := range s.Bays {
		d := &s.Bays[i]
		if d.Stratum != last {
			t.Item("", 0, t.Paint(screen.Dim, say.WhyDrawn(d.Stratum)))
			last = d.Stratum
		}
		name := t.r.Jobs[d.Job].Name
		if d.Section != "" {
			name += ", " + d.Section
		}
		line := screen.Clean(name + ", " + d.Bay)
		if !math.IsNaN(d.Density) {
			line += ", reads " + density(t.u, d.Density) + " " + t.u.Of(verify.Density).Name
		}
		t.Item("  "+screen.Pad(say.Mark(d.Verdict)+" "+say.Verdict(d.Verdict), 11), 13, line)
	}
	for _, line := range proves(s) {
		t.Item("", 0, line)
	}
}

// proves says what finding none bad would show, and what it takes to show more.
func proves(s *audit.Sample) []string {
	var out []string
	for _, c := range s.Class {
		if c.Drawn == 0 || c.Stratum == audit.OpenHold {
			continue
		}
		out = append(out, fmt.Sprintf("%s: none bad in %d of %d would leave at most %d possible (%.0f %%), 95 %% sure.",
			upperFirst(say.WhyDrawn(c.Stratum)), c.Drawn, c.Bays, c.Left, math.Ceil(100*c.LeftShare())))
	}
	for _, p := range s.Proofs {
		if p.Need > 0 && p.Need < p.Bays {
			out = append(out, fmt.Sprintf("To show that fewer than %.0f %% of the %d called CLOSE are bad takes %d drawn at random from them, none bad.", 100*p.Rate, p.Bays, p.Need))
		}
	}
	return out
}
