package review

import (
	"fmt"
	"strconv"
	"strings"

	"bayproof/model"
	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify/audit"
)

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
