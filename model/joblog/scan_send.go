package joblog

import (
	"fmt"
	"strings"

	"bayproof/model"
	"bayproof/model/cell"
)

// send gives one job.
func (c *jobCutter) send(name string, rows string, lines int) bool {
	u := &Unread{Name: cell.Name(name), Line: c.line + 1, Many: true, text: rows, cut: true, shared: c.shared}
	c.line += lines
	src := model.Source{File: c.shared.reader.log, Line: u.Line, Col: c.field + 1}
	if before, again := c.first[u.Name]; again {
		u.repeat = &model.Fault{Src: src, What: fmt.Sprintf("job %s comes again: it began on line %d and another one stands in between", tell(u.Name), before),
			Hint: "a job's rows stand together; was the file sorted?"}
	} else if u.Name == "" {
		u.repeat = &model.Fault{Src: src, What: "job is blank", Hint: "fill the name down"}
	} else {
		c.first[strings.Clone(u.Name)] = u.Line // the name alone, not the block that it stands in
	}
	return c.after(u)
}

// after gives a job, the first one only once it is known whether there is another: what stands beside the log may be
// the first one's alone.
func (c *jobCutter) after(u *Unread) bool {
	if len(c.first) == 1 && c.held == nil && u.repeat == nil {
		c.held = u
		return true
	}
	if c.held != nil && c.shared.reader.oneJobBeside() {
		c.shared.failed = true
		c.held = nil
		c.give(u)
		return false
	}
	return c.flush() && c.give(u)
}

// flush gives the job that was held back.
func (c *jobCutter) flush() bool {
	u := c.held
	c.held = nil
	return u == nil || c.give(u)
}

// oneJobBeside refuses files beside a log of many jobs that do not say which job their rows belong to.
func (r *reader) oneJobBeside() bool {
	bad := false
	for _, t := range []*rawTable{r.sections, r.cores} {
		if t != nil && t.sheet.field("job") < 0 {
			r.f.add(model.Source{File: t.sheet.file, Line: 1}, "the log beside it holds many jobs, and this file has no column job", "add a column job")
			bad = true
		}
	}
	return bad
}
