package model

import "fmt"

// Assemble puts the log together: it fills in Bays, adds the sections that only the log names to Sections, and what
// stood before each reading of the counter. It reads Log, the listed Sections and Settings, and returns every fault in
// the log's order. It is a function of the rows alone, so that Upto can ask what held at any time.
func (j *Job) Assemble() []Fault {
	var a Assembler
	return a.Assemble(j)
}

// Upto returns the job as it stood when its first n rows were logged, put together anew; sections are the same objects,
// rows and bays are not. A part of a good log may have faults of its own, where a later row mended them.
func (j *Job) Upto(n int) (*Job, []Fault) {
	var a Assembler
	return a.Upto(j, n)
}

// Assembler puts logs together one after the other and takes its memory again for the next: a job that came out of it
// is good until then. Its zero value is ready.
type Assembler struct {
	job      *Job
	faults   []Fault
	sections map[string]*Section // by folded name
	used     map[*Section]bool   // sections that only the log names, once they stand in the job
	bays     bayTable
	order    []*gathered            // in the order in which the log first names them
	tail     *gathered              // the last bay of the section named last
	lastIn   map[*Section]*gathered // the last bay of every other section
	byRow    []*gathered            // by row; nil where a row names no bay
	feed     []*Entry               // by row: the row whose material stands in this place of the counter's order
	run      int                    // `set` rows so far
	// unstarted is the first reading of the counter where no count row stands before it: it is read from 0.
	unstarted *Entry
	listed    bool // sections.csv lists sections
	slabs     slabs
	recent    *gathered      // the bay of the row before
	log       []Entry        // of Upto
	loose     map[loose]bool // _within settings that were told already
}

// gathered is a bay while its rows come together.
type gathered struct {
	bay    *Bay
	folded string    // its name
	above  *gathered // the bay above it in the same section
	first  int       // the row that names it first
	rows   int
	place  int    // row of its first fill: its place in fill order; -1 while not filled
	fill   *Entry // the fill in force, of a withdrawn bay too
	struck *Entry
	shape  *Entry // the row that said the shape
}

// Assemble is as Job.Assemble.
func (a *Assembler) Assemble(j *Job) []Fault {
	a.reset(j)
	a.name()
	a.checkTimes()
	for i := range j.Log {
		a.take(&j.Log[i], a.byRow[i])
	}
	a.chainCounter()
	a.share()
	a.finish()
	return a.faults
}

// Upto is as Job.Upto.
func (a *Assembler) Upto(j *Job, n int) (*Job, []Fault) {
	k := *j
	a.log = append(a.log[:0], j.Log[:n]...)
	k.Log = a.log
	k.Bays, k.Warnings, k.OrderDoubtful = nil, nil, false
	faults := a.Assemble(&k)
	return &k, faults
}

func (a *Assembler) fault(e *Entry, column, hint, format string, args ...any) {
	src := e.Src
	if src.Col = a.column(column); src.Col == 0 {
		src.Col = a.column("bay")
	}
	a.faultAt(src, hint, format, args...)
}

func (a *Assembler) faultAt(src Source, hint, format string, args ...any) {
	a.faults = append(a.faults, Fault{Src: src, What: fmt.Sprintf(format, args...), Hint: hint})
}

func (a *Assembler) warn(e *Entry, code, format string, args ...any) {
	a.job.Warnings = append(a.job.Warnings, Warning{Code: code, Text: fmt.Sprintf(format, args...), Src: e.Src,
		Section: e.Section, Bay: e.Bay})
}

// column is the field of a known column, 0 where the log has none.
func (a *Assembler) column(name string) int {
	for i, c := range a.job.Columns {
		if c == name && name != "" {
			return i + 1
		}
	}
	return 0
}

// title is a bay as messages name it.
func title(section, bay string) string {
	if section == "" {
		return bay
	}
	return section + " " + bay
}

func (b *Bay) title() string { return title(b.Section.Name, b.Name) }

// at names the line of a row.
func at(e *Entry) string { return fmt.Sprintf("line %d", e.Src.Line) }
