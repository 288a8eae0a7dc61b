package review

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"bayproof/model"
	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
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

// heard counts in one line the jobs on whose files the reader gave warnings.
func (t *text) heard() {
	if line := Heard(t.r); line != "" {
		t.item("", 0, screen.Clean(line+"; --table warnings has them all."))
	}
}

// Heard says on how many jobs' files the reader gave warnings, and of which kinds; empty where on none.
func Heard(r *audit.Review) string {
	jobs, of := 0, map[string]int{}
	for _, j := range r.Jobs {
		if len(j.Heard) > 0 {
			jobs++
		}
		for i := range j.Heard {
			of[j.Heard[i].Code]++
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

// heardLine says one kind of warning and how many more of it there are.
func heardLine(h *audit.Heard) string {
	line := say.Place(model.Source{File: h.File, Line: h.Line}) + ": " + h.Text
	if h.File == "" {
		line = h.Text
	}
	if h.Count > 1 {
		line += fmt.Sprintf(" (and %d more of the kind)", h.Count-1)
	}
	return line
}

func heardLines(j *audit.Job) []string {
	var lines []string
	for i := range j.Heard {
		lines = append(lines, heardLine(&j.Heard[i]))
	}
	return lines
}

func heardRows(_ say.Units, r *audit.Review) (rows [][]string) {
	cures := map[string]string{}
	for _, d := range model.WarningDefs() {
		cures[d.Code] = d.Cure
	}
	for _, j := range r.Jobs {
		for i := range j.Heard {
			h := &j.Heard[i]
			line := ""
			if h.Line > 0 {
				line = strconv.Itoa(h.Line)
			}
			rows = append(rows, ofJob(j, h.Code, h.Text, cures[h.Code], h.File, line, strconv.Itoa(h.Count)))
		}
	}
	return rows
}

// heard is one kind of warning in JSON.
type heard struct {
	Code  string  `json:"code"`
	Text  string  `json:"text"`
	File  *string `json:"file"`
	Line  *int    `json:"line"`
	Count int     `json:"count"`
}

func newHeard(j *audit.Job) []heard {
	out := make([]heard, len(j.Heard))
	for i, h := range j.Heard {
		out[i] = heard{Code: h.Code, Text: h.Text, Count: h.Count}
		if h.File != "" {
			out[i].File = &h.File
		}
		if h.Line > 0 {
			out[i].Line = &h.Line
		}
	}
	return out
}

// sample lists the bays to open.
func (t *text) sample() {
	s := t.r.Sample
	if s == nil {
		return
	}
	t.heading(fmt.Sprintf("%s to open, drawn with seed %d", say.Count(len(s.Bays), "bay", "bays"), s.Seed))
	last := audit.Stratum(255)
	for i := range s.Bays {
		d := &s.Bays[i]
		if d.Stratum != last {
			t.item("", 0, t.paint(dim, say.WhyDrawn(d.Stratum)))
			last = d.Stratum
		}
		t.item("  "+screen.Pad(say.Mark(d.Verdict)+" "+say.Verdict(d.Verdict), 11), 13, screen.Clean(BayName(t.r, d))+t.reads(d))
	}
	for _, line := range Proves(s) {
		t.item("", 0, line)
	}
}

func (t *text) reads(d *audit.Drawn) string {
	if math.IsNaN(d.Density) {
		return ""
	}
	return ", reads " + t.density(d.Density) + " " + t.u.Of(verify.Density).Name
}

// BayName is a drawn bay with its job and section.
func BayName(r *audit.Review, d *audit.Drawn) string {
	parts := []string{r.Jobs[d.Job].Name}
	if d.Section != "" {
		parts = append(parts, d.Section)
	}
	return strings.Join(append(parts, d.Bay), ", ")
}

// Proves says what finding none bad would show, and what it takes to show more.
func Proves(s *audit.Sample) []string {
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
