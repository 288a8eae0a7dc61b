package joblog

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"bayproof/model"
	"bayproof/model/cell"
)

// block is how many bytes of a log are read at a time.
const block = 256 << 10

// jobCutter cuts a log of many jobs into them, in one pass and with a cheap look at each line.
type jobCutter struct {
	in     io.Reader
	shared *shared
	give   func(*Unread) bool
	buf    []byte // what was read and not given
	ended  bool
	line   int            // lines given
	first  map[string]int // first line of each job
	head   []byte         // the header line, which may stand in the log again
	cut    cutter
	cells  []string
	field  int
	err    error
}

// start reads the header. It answers true where the log has a column job and its rows can be cut.
func (c *jobCutter) start() bool {
	for !c.ended && bytes.Count(c.buf, []byte("\n")) < 3 {
		c.fill()
	}
	r := c.shared.reader
	if isUTF16(c.buf) || bytes.IndexByte(c.buf[:min(len(c.buf), 4096)], 0) >= 0 {
		return false
	}
	head, n := headerOf(c.buf)
	if n < 0 {
		return false
	}
	probe := faultList{}
	text, ok := decode(r.log, 1, c.buf[:n], &probe)
	if !ok {
		return false
	}
	s, ok := openSheet(r.log, text, bayColumns(), &probe)
	if !ok || s.field("job") < 0 {
		return false
	}
	if r.opt.Hash || r.opt.KeepRaw {
		r.hash(r.log)
	} else {
		r.inputs = append(r.inputs, model.Input{File: r.log})
	}
	r.beside()
	if c.shared.plan = r.plan(text); c.shared.plan == nil || len(r.f.list) > 0 {
		c.shared.failed = true
		return false
	}
	c.cut, c.field = c.shared.plan.sheet.cut, c.shared.plan.jobField
	c.head = head
	c.line = bytes.Count(c.buf[:n], []byte("\n"))
	c.buf = c.buf[n:]
	c.first = map[string]int{}
	return true
}

// headerOf finds the header line, the first that holds something and is no separator line, and where the rows begin; -1
// where there is none.
func headerOf(b []byte) (line []byte, rows int) {
	at := 0
	for at < len(b) {
		n := bytes.IndexByte(b[at:], '\n')
		if n < 0 {
			return b[at:], len(b)
		}
		line = bytes.TrimSuffix(b[at:at+n], []byte("\r"))
		at += n + 1
		text := strings.TrimPrefix(string(line), bom)
		if !blankLine(text) && sepLine(text) == 0 {
			return line, at
		}
	}
	return nil, -1
}

// fill reads one block more.
func (c *jobCutter) fill() {
	n := len(c.buf)
	grown := make([]byte, n+block)
	copy(grown, c.buf)
	got, err := io.ReadFull(c.in, grown[n:])
	c.buf = grown[:n+got]
	if err != nil {
		c.ended = true
		if err != io.EOF && err != io.ErrUnexpectedEOF {
			c.err = err
		}
	}
}

// whole gives a log that is one job, or that cannot be cut.
func (c *jobCutter) whole() {
	s := c.shared
	u := &Unread{shared: s, Line: 1}
	for !c.ended && !s.failed {
		c.fill()
	}
	switch {
	case s.failed:
	case c.err != nil:
		what, hint := why(c.err)
		s.reader.f.add(model.Source{File: s.reader.log}, what, hint)
		s.failed = true
	default:
		s.reader.keep(s.reader.log, c.buf)
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
		n := bytes.IndexByte(c.buf[at:], '\n')
		if n < 0 && !c.ended {
			c.buf, at, from = c.buf[from:], at-from, 0
			c.fill()
			continue
		}
		end := at + n + 1
		if n < 0 {
			end = len(c.buf)
		}
		if job, ok := c.job(c.buf[at:end]); ok && !(named && string(job) == name) {
			if named && cell.Name(string(job)) != cell.Name(name) {
				if !c.send(name, c.buf[from:at], rows) {
					return
				}
				from, rows = at, 0
			}
			name, named = string(job), true
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
	case from < len(c.buf) || c.line == 0:
		c.send(name, c.buf[from:], rows)
	}
}

// job is the job cell of a line, as written; it answers false for a line that names none: a blank one, the header again.
func (c *jobCutter) job(line []byte) ([]byte, bool) {
	if c.field > 0 || len(line) > 0 && line[0] == '"' {
		return c.quotedJob(string(bytes.TrimRight(line, "\r\n")))
	}
	n := bytes.IndexByte(line, c.cut.sep)
	if n < 0 {
		n = len(bytes.TrimRight(line, "\r\n"))
	}
	if n == 0 || bytes.HasPrefix(c.head, line[:n]) && bytes.Equal(bytes.TrimRight(line, "\r\n"), c.head) {
		return nil, false
	}
	return line[:n], true
}

// quotedJob is job for the lines that a quick look does not do for.
func (c *jobCutter) quotedJob(line string) ([]byte, bool) {
	if line == string(c.head) {
		return nil, false
	}
	c.cells, _ = c.cut.cut(line, c.cells[:0])
	job := at(c.cells, c.field)
	return []byte(job), !cell.Blank(job)
}

// send gives one job.
func (c *jobCutter) send(name string, rows []byte, lines int) bool {
	u := &Unread{Name: cell.Name(name), Line: c.line + 1, Many: true, raw: rows, shared: c.shared}
	c.line += lines
	src := model.Source{File: c.shared.reader.log, Line: u.Line, Col: c.field + 1}
	if before, again := c.first[u.Name]; again {
		u.repeat = &model.Fault{Src: src, What: fmt.Sprintf("job %s comes again: it began on line %d and another one stands in between", tell(u.Name), before),
			Hint: "a job's rows stand together; was the file sorted?"}
	} else if u.Name == "" {
		u.repeat = &model.Fault{Src: src, What: "job is blank", Hint: "fill the name down"}
	} else {
		c.first[u.Name] = u.Line
	}
	return c.give(u)
}
