package audit

import "bayproof/model"

// Heard is one kind of warning that the reader gave on a job's files.
type Heard struct {
	Code, Text string // of the first of its kind
	File       string // where that stands; empty where no place is known
	Line       int    // from 1; 0 when the whole file is meant
	Count      int    // how many of its kind
}

// heardOf keeps the first warning of every kind and counts the rest; nil where there is none. Its texts are no part of a row,
// and what is said of a file of many jobs is one text for all of them.
func heardOf(warnings []model.Warning) []Heard {
	var out []Heard
next:
	for i := range warnings {
		w := &warnings[i]
		for k := range out {
			if out[k].Code == w.Code {
				out[k].Count++
				continue next
			}
		}
		out = append(out, Heard{w.Code, w.Text, w.Src.File, w.Src.Line, 1})
	}
	return out
}
