package joblog

import (
	"bayproof/model"
	"bayproof/model/cell"
)

// unseen warns of the first name of a job that lost characters which do not show.
func (r *rowReader) unseen(name, written string, field int) {
	c, lost := cell.Unseen(written)
	if !lost {
		return
	}
	for _, w := range r.f.warnings {
		if w.Code == "invisible" {
			return
		}
	}
	src := model.Source{File: r.file, Line: r.line, Col: field + 1}
	r.f.warn("invisible", src, "%s: %U does not show and is left out of the name, here first", name, c)
}
