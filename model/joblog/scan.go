// Reading a log of many jobs: it is cut where the cell in the column job changes, and the pieces
// are read by any goroutine.
//
// Cutting is the one thing that cannot be shared out, since where a job ends shows only when all
// before it has been read. So the cutter looks at no more of a line than that cell and, where it has
// quotes, whether a cell runs on in the next one, in blocks of a log that is never held in memory
// whole. A job whose rows do not stand together is a fault. A log that was written to while it was
// read is one too (stamp): what was read may be part old and part new.

package joblog

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strings"
	"sync"
	"time"

	"golang.org/x/text/transform"

	"bayproof/model"
	"bayproof/model/cell"
)

// Unread is a job whose rows were found and not read yet. Any goroutine may read it.
type Unread struct {
	Name   string // as the log's column job says; empty where the log holds one job
	Line   int    // the first of its rows
	Many   bool   // the log has a column job
	rows   lines  // of a log that was read whole
	text   string // of a log that was cut
	cut    bool
	hidden int          // lines before it that are no rows of their own
	repeat *model.Fault // why it is not read
	shared *shared
	lent   *builder // whose memory the job stands in; nil before Read and after Done
}

// shared is what the jobs of one log have in common: the files beside it, its columns, and the
// memory of readers.
type shared struct {
	reader *reader
	plan   *logPlan
	idle   sync.Pool // builders
	failed bool      // the reader's own faults are those of every job
}

// Scan finds the jobs of a log and gives them one after the other; it stops early when give returns
// false. A log without a column job is one job, as Read reads it. A log of many jobs is never held
// in memory whole: its rows are cut where the job changes, and Unread.Read does the rest.
func Scan(fsys fs.FS, log string, opt Options, give func(*Unread) bool) {
	r := newReader(fsys, log, opt)
	s := &shared{reader: r}
	f, err := fsys.Open(r.log)
	if err != nil {
		r.noLog(err)
		s.failed = true
		give(&Unread{shared: s})
		return
	}
	defer f.Close()
	c := &jobCutter{in: f, from: f, opened: stampOf(f), shared: s, give: give}
	if c.start() {
		c.run()
		return
	}
	c.whole()
}

// Read reads the job. The job is good until Done is called. It is nil where there are faults.
func (u *Unread) Read() (*model.Job, []model.Fault) {
	s := u.shared
	switch {
	case s.failed:
		return nil, s.reader.faults()
	case u.repeat != nil:
		return nil, []model.Fault{*u.repeat}
	}
	if b, ok := s.idle.Get().(*builder); ok {
		u.lent = b
	} else {
		u.lent = newBuilder(s.reader, s.plan)
	}
	b := u.lent
	b.f = faultList{}
	if u.cut {
		text, ok := decode(s.reader.log, u.Line, u.text, &b.f)
		if !ok {
			return nil, b.f.sorted(s.reader.files)
		}
		u.rows = newLines(text, u.Line-1)
	}
	heard := b.f.warnings // of the job's own part of the log
	job := b.build(u.Name, u.rows, u.hidden)
	for i := range heard {
		heard[i].Src = b.f.place(heard[i].Src.Source)
	}
	if len(heard) > 0 {
		job.Warnings = append(heard, job.Warnings...)
	}
	if len(b.f.list) > 0 || len(s.reader.f.list) > 0 {
		all := faultList{}
		all.absorb(&s.reader.f)
		all.absorb(&b.f)
		return nil, append(all.sorted(s.reader.files), s.reader.beyond...)
	}
	return job, nil
}

// Done gives the memory of the job's rows and bays back for the next one: the job must not be
// looked at afterwards.
func (u *Unread) Done() {
	if u.lent != nil {
		u.shared.idle.Put(u.lent)
		u.lent = nil
	}
}

// hash is the SHA-256 of a file that is too long to be held.
func (r *reader) hash(file string) {
	in := model.Input{File: file}
	if f, err := r.fsys.Open(file); err == nil {
		sum := sha256.New()
		if _, err = io.Copy(sum, f); err == nil {
			in.SHA256 = hex.EncodeToString(sum.Sum(nil))
		}
		f.Close()
	}
	r.inputs = append(r.inputs, in)
}

// block is how many bytes of a log are read at a time.
const block = 256 << 10

// jobCutter cuts a log of many jobs into them, in one pass. It looks for no more than the job's
// cell in each line, and whether a quote leaves a cell open: where a job ends is all that one
// goroutine must find before the others can read, and a look at a whole row would keep them
// waiting.
type jobCutter struct {
	in     fs.File
	from   io.Reader // in, or what it holds as UTF-8
	opened stamp     // of in
	shared *shared
	give   func(*Unread) bool
	buf    string // what was read and not given
	copy   []byte // through which blocks are read
	read   int64  // bytes
	ended  bool
	end    byte           // of a line: see newLines
	line   int            // lines given
	hidden int            // of them no rows of their own, as a broken cell runs on in them
	quote  int            // the next quote in buf, or its end
	cells  []string       // of a line with quotes
	first  map[string]int // first row of each job
	head   string         // the header line, which may stand in the log again
	cut    cutter
	field  int
	err    error
	held   *Unread // the first job, until there is another
}

// fill reads one block more, or as much as was gathered. Room is made for what the file is known to
// hold: most logs are a few kilobytes.
func (c *jobCutter) fill() {
	most := int64(max(block, len(c.buf))) // doubling: what is gathered is copied each time
	left := int(min(max(c.opened.bytes-c.read, 0), most)) + 1
	if c.copy == nil {
		c.copy = make([]byte, min(left, 32<<10))
	}
	var grown strings.Builder
	grown.Grow(len(c.buf) + left)
	grown.WriteString(c.buf)
	got, err := io.CopyBuffer(struct{ io.Writer }{&grown}, io.LimitReader(struct{ io.Reader }{c.from}, most), c.copy)
	c.buf, c.read, c.quote = grown.String(), c.read+got, -1
	c.ended = got < most || err != nil
	c.err = err
}

// whole gives a log that is one job, or that cannot be cut.
func (c *jobCutter) whole() {
	s := c.shared
	u := &Unread{shared: s, Line: 1}
	if c.opened.bytes > model.MostBytes && !s.failed { // said by the system: nothing more is read
		c.err, c.ended = errTooLarge, true
	}
	for !c.ended && !s.failed {
		if c.fill(); len(c.buf) > model.MostBytes {
			c.err, c.ended = errTooLarge, true
		}
	}
	var changed *model.Fault
	if c.err == nil {
		changed = c.changed()
	}
	switch {
	case s.failed:
	case changed != nil:
		s.reader.f.add(changed.Src.Source, changed.What, changed.Hint)
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
	from, at, rows, hidden := 0, 0, 0, 0
	for {
		n := strings.IndexByte(c.buf[at:], c.end)
		if at-from > model.MostBytes || n < 0 && len(c.buf)-from > model.MostBytes {
			what, hint := why(errTooLarge)
			c.flush()
			c.give(&Unread{Name: cell.Name(name), shared: c.shared, repeat: &model.Fault{Src: c.place(c.line+1, 0), What: "job " + tell(cell.Name(name)) + ": " + what, Hint: hint}})
			return
		}
		end := at + n + 1
		if n < 0 {
			end = len(c.buf)
		}
		further, bytes, known := c.runsOn(at, end)
		if !c.ended && (n < 0 || !known && len(c.buf)-from <= model.MostBytes) {
			c.buf, at, from = c.buf[from:], at-from, 0
			c.fill()
			continue
		}
		if job, ok := c.job(c.buf[at:end]); ok && !(named && job == name) {
			if named && cell.Name(job) != cell.Name(name) {
				if !c.send(name, c.buf[from:at], rows, hidden) {
					return
				}
				from, rows, hidden = at, 0, 0
			}
			name, named = job, true
		}
		rows, hidden = rows+1+further, hidden+further
		if at = end + bytes; n < 0 {
			break
		}
	}
	switch { // the last job has no successor that would end it
	case c.err != nil:
		what, hint := why(c.err)
		c.give(&Unread{shared: c.shared, repeat: &model.Fault{Src: c.place(c.line+rows, 0), What: what, Hint: hint}})
	case from < len(c.buf):
		c.send(name, c.buf[from:], rows, hidden)
	}
	if r := c.shared.reader; c.held != nil && r.opt.Journal != nil { // one job alone
		if raw, err := readSteady(r.fsys, r.log); err == nil {
			r.opt.Journal(r, raw)
		}
	}
	c.flush()
	if fault := c.changed(); fault != nil && c.err == nil {
		c.give(&Unread{shared: c.shared, repeat: fault})
	}
}

// runsOn tells how many lines and bytes behind a line a cell runs on that a quote opens in it.
// known is whether enough of the log is at hand to say so.
func (c *jobCutter) runsOn(at, end int) (further, bytes int, known bool) {
	if c.quote < at {
		if c.quote = strings.IndexByte(c.buf[at:], '"') + at; c.quote < at {
			c.quote = len(c.buf)
		}
	}
	if c.quote >= end {
		return 0, 0, true
	}
	open := 0
	if c.cells, open = c.cut.cut(strings.TrimRight(c.buf[at:end], "\r\n"), c.cells[:0]); open == 0 {
		return 0, 0, true
	}
	rest := c.buf[end:]
	if !c.ended {
		rest = rest[:strings.LastIndexByte(rest, c.end)+1] // whole lines
	}
	further = c.cut.closing(lines{rest: rest, end: c.end})
	for range further {
		if n := strings.IndexByte(rest[bytes:], c.end); n >= 0 {
			bytes += n + 1
		} else {
			bytes = len(rest)
		}
	}
	return further, bytes, further > 0 || c.ended || strings.Count(rest, string(c.end)) >= maxBreak
}

// job is the job cell of a line, as written; it answers false for a line that names none: a blank
// one, the header again.
func (c *jobCutter) job(line string) (string, bool) {
	if c.field > 0 || line != "" && line[0] == '"' {
		line = strings.TrimRight(line, "\r\n")
		cells, _ := c.cut.cut(line, nil)
		job := at(cells, c.field)
		return job, line != c.head && !cell.Blank(job)
	}
	n := strings.IndexByte(line, c.cut.sep) // most logs: the first cell, without quotes
	if n < 0 {
		n = len(strings.TrimRight(line, "\r\n"))
	}
	if n == 0 || strings.HasPrefix(c.head, line[:n]) && strings.TrimRight(line, "\r\n") == c.head {
		return "", false
	}
	return line[:n], true
}

// start reads the header. It answers true where the log has a column job and its rows can be cut.
func (c *jobCutter) start() bool {
	for !c.ended && len(c.buf) <= model.MostBytes && strings.Count(c.buf, "\n") < 3 {
		c.fill()
	}
	r := c.shared.reader
	buf, wide := c.buf, utf16Of(c.buf)
	if wide.wide() {
		buf, _ = wide.coder().NewDecoder().String(buf[:len(buf)&^1])
	}
	if strings.IndexByte(buf[:min(len(buf), 4096)], 0) >= 0 {
		return false
	}
	head, n := headerOf(buf)
	if n < 0 {
		return false
	}
	probe := faultList{}
	text, ok := decode(r.log, 1, buf[:n], &probe)
	if !ok {
		return false
	}
	s, ok := openSheet(r.log, text, bayColumns(r.columns), &probe)
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
	c.end = newLines(buf, 0).end
	c.line = strings.Count(buf[:n], string(c.end))
	if wide.wide() { // from here on the file is read as UTF-8
		c.from = transform.NewReader(io.MultiReader(strings.NewReader(c.buf), c.from), wide.coder().NewDecoder())
		c.buf, c.ended = "", false
		for !c.ended && len(c.buf) < n {
			c.fill()
		}
	}
	c.buf = c.buf[n:]
	c.first = map[string]int{}
	return true
}

// headerOf finds the header line, the first that holds something and is no separator line, and
// where the rows begin; -1 where there is none.
func headerOf(b string) (line string, rows int) {
	l := newLines(b, 0)
	for {
		line, ok := l.next()
		if !ok {
			return "", -1
		}
		if text := strings.TrimPrefix(line, bom); !blankLine(text) && sepLine(text) == 0 {
			return line, len(b) - len(l.rest)
		}
	}
}

// send gives one job.
func (c *jobCutter) send(name string, rows string, lines, hidden int) bool {
	u := &Unread{Name: cell.Name(name), Line: c.line + 1, Many: true, text: rows, cut: true, hidden: c.hidden, shared: c.shared}
	src := c.place(u.Line, c.field+1)
	c.line, c.hidden = c.line+lines, c.hidden+hidden
	if before, again := c.first[u.Name]; again {
		u.repeat = &model.Fault{Src: src, What: fmt.Sprintf("job %s comes again: it began in row %d, and another job stands in between", tell(u.Name), before),
			Hint: "put a job's rows together; was the file sorted?"}
	} else if u.Name == "" {
		u.repeat = &model.Fault{Src: src, What: "job is blank", Hint: "fill the name down"}
	} else {
		c.first[strings.Clone(u.Name)] = src.Row // the name alone, not the block that it stands in
	}
	return c.after(u)
}

// place is a place in the rows that are gathered.
func (c *jobCutter) place(line, col int) model.Place {
	src := model.Source{File: c.shared.reader.log, Line: line, Col: col}
	if c.shared.plan == nil {
		return model.Place{Source: src}
	}
	return c.shared.plan.sheet.frame.Behind(c.line+1, c.hidden).Place(src)
}

// after gives a job, the first one only once it is known whether there is another: what stands
// beside the log may be the first one's alone.
func (c *jobCutter) after(u *Unread) bool {
	if len(c.first) == 1 && c.held == nil && u.repeat == nil {
		c.held = u
		return true
	}
	if c.held != nil {
		if c.shared.reader.oneJobBeside() {
			c.shared.failed = true
			c.held = nil
			c.give(u)
			return false
		}
		c.shared.reader.journalsOfMany()
	}
	return c.flush() && c.give(u)
}

// flush gives the job that was held back.
func (c *jobCutter) flush() bool {
	u := c.held
	c.held = nil
	return u == nil || c.give(u)
}

// oneJobBeside refuses files beside a log of many jobs that do not say which job their rows belong
// to.
func (r *reader) oneJobBeside() bool {
	bad := false
	for _, t := range []*rawTable{r.sections, r.cores} {
		if t != nil && t.sheet.field("job") < 0 {
			r.f.add(model.Source{File: t.sheet.file, Line: 1}, "the log beside it has many jobs, and this file has no column job", "add a column job")
			bad = true
		}
	}
	return bad
}

// journalsOfMany tells of journals beside a log of many jobs: they are one job's, and not compared.
func (r *reader) journalsOfMany() {
	for _, file := range []string{r.log, r.name(coresFile)} {
		if _, err := fs.Stat(r.fsys, JournalOf(file)); err == nil && r.opt.Journal != nil {
			r.f.warn("journal", model.Source{File: JournalOf(file)}, "the journal is one job's, and the log has many: it is not compared")
		}
	}
}

// stamp shows that a file was written to while it was read. A file that was replaced or deleted
// meanwhile is read to its end as it was: that is no harm.
type stamp struct {
	bytes int64
	at    time.Time
}

// stampOf is the stamp of an open file, as the system has it now.
func stampOf(f fs.File) stamp {
	info, err := f.Stat()
	if err != nil {
		return stamp{} // what keeps it from being read says so itself
	}
	return stamp{info.Size(), info.ModTime()}
}

// errChanged says that a file is not as it was when it was opened: what was read may be part old
// and part new.
var errChanged = errors.New("was written to while it was read")

// errTooLarge says that a file is larger than any job's.
var errTooLarge = fmt.Errorf("over %d MB, more than any job has", model.MostBytes>>20)

// steady tells whether the open file is as it was.
func (s stamp) steady(f fs.File) bool {
	now := stampOf(f)
	return now.bytes == s.bytes && now.at.Equal(s.at)
}

// changed is the fault of a log that is not as it was when it was opened; nil where it is.
func (c *jobCutter) changed() *model.Fault {
	if c.opened.steady(c.in) {
		return nil
	}
	what, hint := why(errChanged)
	return &model.Fault{Src: c.place(0, 0), What: what, Hint: hint}
}

// readSteady reads a file whole; it answers errChanged where the file was written to meanwhile.
func readSteady(fsys fs.FS, name string) ([]byte, error) {
	f, err := fsys.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	opened := stampOf(f)
	var b bytes.Buffer
	b.Grow(int(min(max(opened.bytes, 0), model.MostBytes)) + bytes.MinRead)
	if _, err := b.ReadFrom(io.LimitReader(f, model.MostBytes+1)); err != nil {
		return nil, err
	}
	if b.Len() > model.MostBytes {
		return nil, errTooLarge
	}
	if !opened.steady(f) {
		return nil, errChanged
	}
	return b.Bytes(), nil
}
