package joblog

import (
	"io"
	"io/fs"
	"time"

	"bayproof/model"
)

// Options say how a job is read. The zero value reads all that a verdict needs.
type Options struct {
	Name    string            // the job's name where its files give none: the folder's
	Flags   map[string]string // settings given on the command line, by their name in job.csv
	KeepRaw bool              // keep the bytes of every input (Input.Raw)
	Photos  bool              // list photos/ with SHA-256 and size; without it only their names are looked at
	// Taken tells when a photo was taken, where its file says so; nil when nobody asks.
	Taken func(photo io.Reader) time.Time
	Hash  bool // SHA-256 of a log of many jobs too, which costs reading it twice
}

// Read reads one job from fsys. log names the log in it, "bays.csv" where it is empty; job.csv, sections.csv, cores.csv
// and photos/ are taken from the same folder. All faults of all files come back together, in the order of files, lines
// and columns; with any of them the job is nil. A log that holds several jobs is a fault here: see Map.
func Read(fsys fs.FS, log string, opt Options) (*model.Job, []model.Fault) {
	r := newReader(fsys, log, opt)
	raw, ok := r.bytes(r.log, true)
	if !ok {
		r.beside()
		return nil, r.faults()
	}
	plan := r.prepare(string(raw))
	if plan == nil {
		return nil, r.faults()
	}
	b := newBuilder(r, plan)
	job := b.build("", plan.sheet.lines)
	r.f.absorb(&b.f)
	if faults := r.faults(); len(faults) > 0 {
		return nil, faults
	}
	return job, nil
}
