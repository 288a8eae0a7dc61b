package joblog

import (
	"crypto/sha256"
	"encoding/hex"
	"io"
	"io/fs"
	"sync"

	"bayproof/model"
)

// Unread is a job whose rows were found and not read yet. Any goroutine may read it.
type Unread struct {
	Name   string // as the log's column job says; empty where the log holds one job
	Line   int    // the first of its rows
	Many   bool   // the log has a column job
	rows   lines  // of a log that was read whole
	text   string // of a log that was cut
	cut    bool
	repeat *model.Fault // why it is not read
	shared *shared
	desk   *builder
}

// shared is what the jobs of one log have in common: the files beside it, its columns, and the memory of readers.
type shared struct {
	reader *reader
	plan   *logPlan
	desks  sync.Pool
	failed bool // the reader's own faults are those of every job
}

// Scan finds the jobs of a log and gives them one after the other; it stops early when give returns false. A log without
// a column job is one job, as Read reads it. A log of many jobs is never held in memory whole: its rows are cut where
// the job changes, and Unread.Read does the rest.
func Scan(fsys fs.FS, log string, opt Options, give func(*Unread) bool) {
	r := newReader(fsys, log, opt)
	s := &shared{reader: r}
	f, err := fsys.Open(r.log)
	if err != nil {
		what, hint := why(err)
		r.f.add(model.Source{File: r.log}, what, hint)
		r.beside()
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
	if b, ok := s.desks.Get().(*builder); ok {
		u.desk = b
	} else {
		u.desk = newBuilder(s.reader, s.plan)
	}
	b := u.desk
	b.f = faultList{}
	if u.cut {
		text, ok := decode(s.reader.log, u.Line, u.text, &b.f)
		if !ok {
			return nil, b.f.sorted(s.reader.files)
		}
		u.rows = newLines(text, u.Line-1)
	}
	heard := b.f.warnings // of the job's own part of the log
	job := b.build(u.Name, u.rows)
	if len(heard) > 0 {
		job.Warnings = append(heard, job.Warnings...)
	}
	if len(b.f.list) > 0 || len(s.reader.f.list) > 0 {
		all := faultList{}
		all.absorb(&s.reader.f)
		all.absorb(&b.f)
		return nil, all.sorted(s.reader.files)
	}
	return job, nil
}

// Done gives the job's memory back for the next one.
func (u *Unread) Done() {
	if u.desk != nil {
		u.shared.desks.Put(u.desk)
		u.desk = nil
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
