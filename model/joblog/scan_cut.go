package joblog

import (
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
	buf    string // what was read and not given
	copy   []byte // for reading, used again
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

// start reads the header. It answers true where the log has a column job and its rows can be cut.
func (c *jobCutter) start() bool {
	for !c.ended && strings.Count(c.buf, "\n") < 3 {
		c.fill()
	}
	r := c.shared.reader
	if isUTF16(c.buf[:min(len(c.buf), 64)]) || strings.IndexByte(c.buf[:min(len(c.buf), 4096)], 0) >= 0 {
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
	c.line = strings.Count(c.buf[:n], "\n")
	c.buf = c.buf[n:]
	c.first = map[string]int{}
	return true
}

// headerOf finds the header line, the first that holds something and is no separator line, and where the rows begin; -1
// where there is none.
func headerOf(b string) (line string, rows int) {
	at := 0
	for at < len(b) {
		n := strings.IndexByte(b[at:], '\n')
		if n < 0 {
			return b[at:], len(b)
		}
		line = strings.TrimSuffix(b[at:at+n], "\r")
		at += n + 1
		text := strings.TrimPrefix(line, bom)
		if !blankLine(text) && sepLine(text) == 0 {
			return line, at
		}
	}
	return "", -1
}

// fill reads one block more.
func (c *jobCutter) fill() {
	if c.copy == nil {
		c.copy = make([]byte, 32<<10)
	}
	var grown strings.Builder
	grown.Grow(len(c.buf) + block)
	grown.WriteString(c.buf)
	got, err := io.CopyBuffer(struct{ io.Writer }{&grown}, io.LimitReader(struct{ io.Reader }{c.in}, block), c.copy)
	c.buf = grown.String()
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
	switch {
	case s.failed:
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
