package model

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
