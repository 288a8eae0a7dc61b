package joblog

import (
	"io"
	"io/fs"
	"strings"

	"bayproof/model"
	"bayproof/model/cell"
)

// block is how many bytes of a log are read at a time.
const block = 256 << 10

// jobCutter cuts a log of many jobs into them, in one pass and with a cheap look at each line.
type jobCutter struct {
	in     fs.File
	from   io.Reader // in, or what it holds as UTF-8
	opened stamp     // of in
	shared *shared
	give   func(*Unread) bool
	buf    string // what was read and not given
	copy   []byte // for reading, used again
	read   int64  // bytes
	ended  bool
	line   int            // lines given
	first  map[string]int // first line of each job
	head   string         // the header line, which may stand in the log again
	cut    cutter
	cells  []string
	field  int
	err    error
	held   *Unread // the first job, until there is another
}

// fill reads one block more. Room is made for what the file is known to hold: most logs are a few kilobytes.
func (c *jobCutter) fill() {
	left := int(min(max(c.opened.bytes-c.read, 0), block)) + 1
	if c.copy == nil {
		c.copy = make([]byte, min(left, 32<<10))
	}
	var grown strings.Builder
	grown.Grow(len(c.buf) + left)
	grown.WriteString(c.buf)
	got, err := io.CopyBuffer(struct{ io.Writer }{&grown}, io.LimitReader(struct{ io.Reader }{c.from}, block), c.copy)
	c.buf, c.read = grown.String(), c.read+got
	c.ended = got < block || err != nil
	c.err = err
}

// whole gives a log that is one job, or that cannot be cut.
func (c *jobCutter) whole() {
	s := c.shared
	u := &Unread{shared: s, Line: 1}
	for !c.ended && !s.failed {
		c.fill()
	}
	var changed *model.Fault
	if c.err == nil {
		changed = c.changed()
	}
	switch {
	case s.failed:
	case changed != nil:
		s.reader.f.add(changed.Src, changed.What, changed.Hint)
		s.failed = true
	case c.err != nil:
		what, hint := why(c.err)
		s.reader.f.add(model.Source{File: s.reader.log}, what, hint)
		s.failed = true
	default:
		s.reader.keep(s.reader.log, []byte(c.buf))
		if s.plan = s.reader.prepare(c.buf); s.plan == nil {
			s.failed = true
			break
		}
		u.rows = s.plan.sheet.lines
	}
	c.give(u)
}

// run cuts the rows and gives the jobs.
func (c *jobCutter) run() {
	name, named := "", false // the job being gathered, as written
	from, at, rows := 0, 0, 0
	for {
		n := strings.IndexByte(c.buf[at:], '\n')
		if n < 0 && !c.ended {
			c.buf, at, from = c.buf[from:], at-from, 0
			c.fill()
			continue
		}
		end := at + n + 1
		if n < 0 {
			end = len(c.buf)
		}
		if job, ok := c.job(c.buf[at:end]); ok && !(named && job == name) {
			if named && cell.Name(job) != cell.Name(name) {
				if !c.send(name, c.buf[from:at], rows) {
					return
				}
				from, rows = at, 0
			}
			name, named = job, true
		}
		rows++
		at = end
		if n < 0 {
			break
		}
	}
	switch {
	case c.err != nil:
		what, hint := why(c.err)
		c.give(&Unread{shared: c.shared, repeat: &model.Fault{Src: model.Source{File: c.shared.reader.log, Line: c.line + rows}, What: what, Hint: hint}})
	case from < len(c.buf):
		c.send(name, c.buf[from:], rows)
	}
	c.flush()
	if fault := c.changed(); fault != nil && c.err == nil {
		c.give(&Unread{shared: c.shared, repeat: fault})
	}
}

// job is the job cell of a line, as written; it answers false for a line that names none: a blank one, the header again.
func (c *jobCutter) job(line string) (string, bool) {
	if c.field > 0 || line != "" && line[0] == '"' {
		return c.quotedJob(strings.TrimRight(line, "\r\n"))
	}
	n := strings.IndexByte(line, c.cut.sep)
	if n < 0 {
		n = len(strings.TrimRight(line, "\r\n"))
	}
	if n == 0 || strings.HasPrefix(c.head, line[:n]) && strings.TrimRight(line, "\r\n") == c.head {
		return "", false
	}
	return line[:n], true
}

// quotedJob is job for the lines that a quick look does not do for.
func (c *jobCutter) quotedJob(line string) (string, bool) {
	if line == c.head {
		return "", false
	}
	c.cells, _ = c.cut.cut(line, c.cells[:0])
	job := at(c.cells, c.field)
	return job, !cell.Blank(job)
}
