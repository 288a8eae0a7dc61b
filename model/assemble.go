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
	recent    *gathered       // the bay of the row before
	log       []Entry         // of Upto
	loose     map[loose]bool  // _within settings that were told already
	columns   []Column[Entry] // of the log; nil until a row asks
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
	k.Bays, k.Left, k.Warnings, k.OrderDoubtful = nil, nil, nil, false
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

// finish fills in what follows from all rows: fill order, material in force, and whether bays can hold
// what is said of them.
func (a *Assembler) finish() {
	order := 0
	for _, e := range a.feed {
		if e == nil || e.Kind != EntryFill && e.Kind != EntryAmend {
			continue
		}
		if g := a.byRow[e.Index]; g.struck == nil && !g.bay.Waiting {
			order++
			g.bay.Order, g.bay.Fill = order, g.fill
		}
	}
	for _, g := range a.order {
		a.moves(g)
	}
	for _, g := range a.order {
		a.checkAmounts(g.bay)
		a.checkLess(g)
		a.checkPlaces(g)
		if g.bay.Left != nil && !g.bay.Struck {
			a.job.Left = append(a.job.Left, g.bay)
			continue
		}
		a.slabs.list = append(a.slabs.list, g.bay)
	}
	a.checkWithin()
	a.job.Bays = a.slabs.list
}

// moves lists the rows in force that carry material.
func (a *Assembler) moves(g *gathered) {
	b := g.bay
	if b.Fill == nil {
		return
	}
	from := len(a.slabs.moves)
	for _, e := range b.Rows {
		if e == b.Fill || e.Kind == EntryTopup || e.Kind == EntryLost {
			if _, dead := b.Dead[e]; !dead {
				a.slabs.moves = append(a.slabs.moves, e)
			}
		}
	}
	b.Moves = a.slabs.moves[from:len(a.slabs.moves):len(a.slabs.moves)]
}

// checkLess refuses a bay that nothing is left of.
func (a *Assembler) checkLess(g *gathered) {
	if len(g.bay.Pieces) < 2 || !(g.bay.Volume() <= 0) {
		return
	}
	for i := len(g.bay.Pieces) - 1; i > 0; i-- {
		if p := &g.bay.Pieces[i]; p.Less {
			a.faultAt(p.Src, "look at the units of its sizes", "less takes away more than %s holds", g.bay.title())
			return
		}
	}
}

// slabs hold what a job is put together of, and are used again for the next job: a review reads millions of bays.
type slabs struct {
	bays   []Bay
	gather []gathered
	pieces []Piece
	rows   []*Entry
	moves  []*Entry
	list   []*Bay
	named  []*Section // sections that only logs name, this job's first
	used   int        // of them
}

// reset makes the assembler ready for a job.
func (a *Assembler) reset(j *Job) {
	a.job, a.faults, a.order, a.run, a.recent, a.tail, a.unstarted = j, nil, a.order[:0], 0, nil, nil, nil
	if a.sections == nil {
		a.sections, a.used = map[string]*Section{}, map[*Section]bool{}
		a.lastIn = map[*Section]*gathered{}
	}
	clear(a.sections)
	clear(a.used)
	clear(a.lastIn)
	clear(a.loose)
	a.resetSections(j)
	n := len(j.Log)
	a.bays.reset(n)
	a.byRow, a.feed = zeroed(a.byRow, n), zeroed(a.feed, n)
	s := &a.slabs
	s.bays, s.gather, s.pieces = zeroed(s.bays, n)[:0], roomFor(s.gather, n), roomFor(s.pieces, n)
	s.rows, s.moves, s.list = roomFor(s.rows, n), roomFor(s.moves, n), roomFor(s.list, n)
	s.used = 0
}

// resetSections keeps the listed sections; those that only the log names are added again when a row names them.
func (a *Assembler) resetSections(j *Job) {
	var listed []*Section
	for _, s := range j.Sections {
		a.sections[Fold(s.Name)] = s
		if s.Listed {
			listed = append(listed, s)
		}
	}
	j.Sections, a.listed = listed, len(listed) > 0
}

// zeroed returns a slice of n zero values, in the old one's memory where that suffices.
func zeroed[T any](old []T, n int) []T {
	if cap(old) < n {
		return make([]T, n, room(old, n))
	}
	old = old[:n]
	clear(old)
	return old
}

// roomFor returns an empty slice with room for n values that are each written whole, in the old one's memory where that
// suffices. What stood there need not be cleared.
func roomFor[T any](old []T, n int) []T {
	if cap(old) < n {
		return make([]T, 0, room(old, n))
	}
	return old[:0]
}

// room is how much is asked for: what is needed, and where it was not enough before, some more.
func room[T any](old []T, n int) int {
	if cap(old) > 0 {
		n += n / 4
	}
	return n
}

// bay, gathered and body hand out one value each; there are never more than rows, so that what was handed out never moves.
func (s *slabs) bay() *Bay {
	s.bays = s.bays[:len(s.bays)+1]
	return &s.bays[len(s.bays)-1]
}

func (s *slabs) section() *Section {
	if s.used == len(s.named) {
		s.named = append(s.named, new(Section))
	}
	s.used++
	return s.named[s.used-1]
}

// gathered and body hand out what the last job left there: it is written whole.
func (s *slabs) gathered() *gathered {
	s.gather = s.gather[:len(s.gather)+1]
	return &s.gather[len(s.gather)-1]
}

func (s *slabs) body() []Piece {
	n := len(s.pieces)
	s.pieces = s.pieces[:n+1]
	return s.pieces[n : n+1 : n+1]
}

// makeRoom gives every bay room for exactly its rows.
func (a *Assembler) makeRoom() {
	at := 0
	for _, g := range a.order {
		g.bay.Rows = a.slabs.rows[at : at : at+g.rows]
		at += g.rows
	}
}
