// Putting a log together: rows become bays.
//
// A log is only appended to. What holds at the end follows from its rows alone, in three passes:
// every row finds its section and bay by name (name); then each row is applied to its bay in the
// log's order, amends and strikes having been looked up before (undo, take); then follows what
// needs whole bays or the whole job: the counter, shared figures, the order of filling, and checks
// of what cannot be (chainCounter, share, finish, check). The same on any beginning of a log is
// what was known then (Beginnings).

package model

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Assemble puts the log together: it fills in Bays and Left, adds the sections that only the log
// names to Sections, and sets what stood before each reading of the counter. It reads Log, the
// listed Sections and Settings, and returns every fault in the log's order; nil for a good log. It
// is a function of the rows alone, so that Upto can ask what held at any time.
func (j *Job) Assemble() []Fault { return j.AssembleIn(new(Memory)) }

// AssembleIn is Assemble for a reader of many jobs: the bays stand in m, and are good until the
// next job is put together in it. Sections are not: whoever keeps one may.
func (j *Job) AssembleIn(m *Memory) []Fault {
	m.again(len(j.Log))
	j.Bays = nil
	a := assembler(j, m)
	a.name(0)
	if a.overLimits() {
		return a.faults
	}
	a.undo()
	for i := range j.Log {
		a.take(&j.Log[i], a.byRow[i])
	}
	a.checkTimes()
	a.warnTimes()
	a.chainCounter(0)
	a.share(0)
	a.finish(a.order, true)
	a.check()
	m.order = a.order
	return a.faults
}

// assembler returns one that is ready for the first row of a job's log.
//
// Sections of an earlier putting together are found again by name, so that they stay the same
// objects; but only where a row of this beginning of the log names them do they stand in the job.
func assembler(j *Job, m *Memory) Assembler {
	a := Assembler{job: j, mem: m, sections: map[string]*named{}, order: m.order[:0], byRow: m.byRow, feed: m.feed,
		loose: map[loose]bool{}, run: map[string]int{}, unstarted: map[*Entry]bool{}, changed: map[*Section]bool{}}
	a.fromTheFirst()
	for _, s := range j.Sections {
		a.sections[Fold(s.Name)] = &named{section: s, bays: m.names(0)}
	}
	j.Sections = slices.DeleteFunc(slices.Clone(j.Sections), func(s *Section) bool { return !s.Listed })
	a.listed = len(j.Sections) > 0
	return a
}

// Assembler puts one log together, or any beginning of one. A row with a fault is passed over and
// the rest goes on, so that all faults of a log are told at once.
type Assembler struct {
	job      *Job
	mem      *Memory
	faults   []Fault
	sections map[string]*named // by folded name
	listed   bool              // sections.csv lists sections
	order    []*gathered       // bays in the order in which the log first names them
	byRow    []*gathered       // by row; nil where a row names no bay
	// sectioned is set where a row names a section.
	sectioned bool
	// feed is the material in the order in which it was blown: an amend stands in the place of the
	// fill that it replaces, so that a counter is read in the order of the work and not of the
	// writing. By row; nil where nothing is blown.
	feed []*Entry
	run  map[string]int // `set` rows so far, by machine
	counters
	clocks
	// waiting are fills whose figure is that of the next bay, which is not filled yet; by machine.
	waiting map[string][]*Entry
	// fresh is the first row that is not put together with the others yet. reread and renamed say
	// that one before it counts otherwise since: in the feed, or as another machine's.
	fresh           int
	reread, renamed bool
	changed         map[*Section]bool // sections of bays that something but their own new rows changed
	// unstarted has the first reading of a machine's counter where no count row stands before it:
	// it is read from 0.
	unstarted map[*Entry]bool
	loose     map[loose]bool  // _within settings that were told already
	columns   []Column[Entry] // of the log; nil until a row asks
}

// named is a section that the files name.
type named struct {
	section *Section
	bays    map[string]*gathered // by folded name
	last    *gathered            // of its bays the one that the log named first after all the others
	used    bool                 // a row of the log names it
}

// slot is the memory that nearly every bay needs: itself, one piece, and two rows.
type slot struct {
	gathered
	bay    Bay
	pieces [1]*Piece
	rows   [2]*Entry
}

// mostAhead is for how many bays memory is taken at a time.
const mostAhead = 64

// Memory is where bays are put together, to be used again for the next job. The zero value is
// ready. It is not safe for use by several goroutines.
type Memory struct {
	blocks    [][]slot    // each of them never moves, as bays point into it
	at, used  int         // what is taken: blocks before at, and so many of that one
	order     []*gathered // these three as in Assembler
	byRow     []*gathered
	feed      []*Entry
	bays      []map[string]*gathered // those of sections
	bySection int                    // so many of bays are taken
}

// again gives up what the job before was put together in, for one of so many rows.
func (m *Memory) again(rows int) {
	for _, names := range m.bays[:m.bySection] {
		clear(names)
	}
	m.at, m.used, m.bySection = 0, 0, 0
	if cap(m.feed) < rows {
		m.order, m.byRow, m.feed = make([]*gathered, 0, rows), make([]*gathered, rows), make([]*Entry, rows)
	}
	m.byRow, m.feed = m.byRow[:rows], m.feed[:rows]
	clear(m.byRow)
	clear(m.feed)
}

// slot returns an empty slot, for one bay of at most so many.
func (m *Memory) slot(most int) *slot {
	if m.at < len(m.blocks) && m.used == len(m.blocks[m.at]) {
		m.at, m.used = m.at+1, 0
	}
	if m.at == len(m.blocks) {
		m.blocks = append(m.blocks, make([]slot, min(most, mostAhead)))
	}
	m.used++
	r := &m.blocks[m.at][m.used-1]
	*r = slot{}
	return r
}

// names returns an empty map for the bays of a section, about so many.
func (m *Memory) names(about int) map[string]*gathered {
	if m.bySection == len(m.bays) {
		m.bays = append(m.bays, make(map[string]*gathered, about))
	}
	m.bySection++
	return m.bays[m.bySection-1]
}

// gathered is a bay while its rows come together.
type gathered struct {
	bay    *Bay
	above  *gathered // the bay above it in the same section, whose sizes a ditto takes over
	first  *Entry    // the row that names it first
	place  int       // row of its first fill: its place in fill order; -1 while not filled
	fill   *Entry    // the fill in force, of a withdrawn bay too
	struck *Entry    // the row that withdrew it; nil while it counts
	// withdrew is the last row that withdrew it, whether it counts again or not.
	withdrew *Entry
	shape    *Entry // the row that said the shape
	owned    bool   // the bay's first piece is its own, and not that of a row
	grown    bool   // it is to be put together anew (see Beginnings)
	killed   int    // so many of the bay's rows, from the first, are out of force or closings
	// What came of putting it together: the bays that share its figure, it among them; whether it
	// waits for one; its fill's row where it has a place in the order of filling, else −1; whether
	// it stands among the job's bays or those that are left, and among which.
	with      []*gathered
	owesShare bool
	numbered  int
	listed    bool
	leftOut   bool
}

// filled tells whether a fill of the bay is in force: one that was withdrawn and measured again
// since is not filled.
func (g *gathered) filled() bool { return g.struck == nil && g.fill != nil }

// fault refuses a row. The place is the named column, or where the log has none such the bay's.
func (a *Assembler) fault(e *Entry, column, hint, format string, args ...any) {
	src := e.Src
	if src.Col = a.column(column); src.Col == 0 {
		src.Col = a.column("bay")
	}
	a.faultAt(src, hint, format, args...)
}

// faultAt refuses what stands at a place.
func (a *Assembler) faultAt(src Source, hint, format string, args ...any) {
	a.faults = append(a.faults, Fault{Src: a.job.Place(src), What: fmt.Sprintf(format, args...), Hint: hint})
}

// warn tells of a row what stops nothing.
func (a *Assembler) warn(e *Entry, code, format string, args ...any) {
	a.job.Warnings = append(a.job.Warnings, Warning{Code: code, Text: fmt.Sprintf(format, args...), Src: a.job.Place(e.Src),
		Section: e.Section, Bay: e.Bay})
}

// column returns the field of a known column, from 1; 0 where the log has none. Columns holds ""
// for those that no one knows.
func (a *Assembler) column(name string) int {
	if name == "" {
		return 0
	}
	return slices.Index(a.job.Columns, name) + 1
}

// title returns the bay as messages name it: with its section, where the job has sections.
func (b *Bay) title() string { return strings.TrimPrefix(b.Section.Name+" "+b.Name, " ") }

// at names a row, as a spreadsheet numbers it.
func (a *Assembler) at(e *Entry) string { return a.atLine(e.Src.Line) }

// atLine names the row that shows a line.
func (a *Assembler) atLine(line int) string { return fmt.Sprintf("row %d", a.job.Row(line)) }

// machine returns the machine of a row, folded: what it says itself, else what filled its bay.
func (a *Assembler) machine(e *Entry) string {
	if g := a.byRow[e.Index]; e.Machine == "" && g != nil {
		return Fold(g.bay.Machine)
	}
	return Fold(e.Machine)
}

// name finds the section and the bay of every row from one on; a row without them is a fault and is
// passed over.
func (a *Assembler) name(from int) {
	// A job has either no sections or one on every row: a blank among them is a name that was not
	// filled down.
	for i := from; i < len(a.job.Log); i++ {
		a.sectioned = a.sectioned || a.job.Log[i].Section != ""
	}
	var in *named
	var g *gathered
	for i := from; i < len(a.job.Log); i++ {
		e := &a.job.Log[i]
		e.Index = i
		switch {
		case entryDefs[e.Kind].Nameless, e.Kind == EntryStrike && e.Bay == "":
			if e.Bay != "" {
				a.fault(e, "bay", "leave bay blank", "this %s row belongs to no bay, and it names %s", e.Kind, e.Bay)
			}
			continue
		case totals(e):
			a.fault(e, "section", "delete the row: the log holds bays only", "this is a row of totals")
			continue
		case e.Section == "" && a.sectioned:
			a.fault(e, "section", "fill the name down; delete a row of totals", "section is blank")
			continue
		case e.Bay == "":
			a.fault(e, "bay", "name the bay; only count, set, empties and elsewhere rows have none", "bay is blank")
			continue
		}
		// Rows about one section, and about one bay, mostly follow each other.
		if in == nil || in.section.Name != e.Section {
			in, g = a.sectionOf(e), nil
		}
		if g == nil || g.bay.Name != e.Bay {
			g = a.bayOf(in, e)
		}
		a.byRow[i] = g
	}
}

// totals tells whether a row is the line of totals that many a spreadsheet ends with.
func totals(e *Entry) bool {
	if e.Bay != "" && e.Section != "" {
		return false
	}
	// One of the two is blank; a bay that is called "sum" within a section is one.
	word := Fold(e.Section + e.Bay)
	return slices.Contains([]string{"total", "totals", "sum", "grandtotal", "subtotal"}, strings.TrimSuffix(word, ":"))
}

// bayOf finds or makes the row's bay in its section. The order in which bays are first named is
// that of Job.Bays, and within a section it says which bay a ditto means.
func (a *Assembler) bayOf(in *named, e *Entry) *gathered {
	key := Fold(e.Bay)
	g := in.bays[key]
	if g == nil {
		made := a.mem.slot(len(a.job.Log) - e.Index) // every row may name one more
		made.bay.Section, made.bay.Name = in.section, e.Bay
		made.bay.Pieces, made.bay.Rows = made.pieces[:0], made.rows[:0]
		g = &made.gathered
		g.bay, g.above, g.first, g.place, g.numbered = &made.bay, in.last, e, -1, -1
		in.bays[key], in.last = g, g
		a.order = append(a.order, g)
	} else if g.bay.Name != e.Bay {
		what, hint := differs(e.Bay, g.bay.Name)
		a.fault(e, "bay", hint, "bay %s differs from %s in %s only by %s", e.Bay, g.bay.Name, a.at(g.first), what)
	}
	return g
}

// sectionOf finds or makes the row's section. One that sections.csv does not list has the settings
// of the job.
func (a *Assembler) sectionOf(e *Entry) *named {
	key := Fold(e.Section)
	in := a.sections[key]
	if in == nil {
		in = &named{section: NewSection(e.Section, a.job.Settings), bays: a.mem.names(min(len(a.job.Log)-e.Index, mostAhead))}
		in.section.Src = a.job.Place(e.Src)
		if a.listed && e.Section != "" {
			a.warn(e, "section-not-listed", "section %s is not in sections.csv", e.Section)
		}
		a.sections[key] = in
	}
	s := in.section
	if s.Name != e.Section {
		of := ""
		if s.Src.File != e.Src.File {
			of = " of " + s.Src.File
		}
		what, hint := differs(e.Section, s.Name)
		a.fault(e, "section", hint, "section %s differs from %s in row %d%s only by %s", e.Section, s.Name, s.Src.Row, of, what)
	}
	if !s.Listed && !in.used {
		a.job.Sections = append(a.job.Sections, s)
	}
	in.used = true
	return in
}

// differs says what two names that fold to one differ in, and what to do.
func differs(a, b string) (what, hint string) {
	if r, ok := unseen(a, b); ok {
		return fmt.Sprintf("%U, which does not show", r), "type the name again in both rows"
	}
	return "case or spaces", "write it one way"
}

// finish fills in what follows from all rows for some bays, all of them or those that something
// changed: fill order, material in force, and what the job's bays are. A bay that is struck, or
// that waits for its shared figure or its sizes, has no place in the order of filling: its fill is
// not in force. It tells whether bays that were listed before have other places now.
func (a *Assembler) finish(bays []*gathered, all bool) (moved bool) {
	first := len(a.job.Log) // row of the first fill whose place in the order changed
	for _, g := range bays {
		a.owe(g)
	}
	for _, g := range bays {
		at := -1
		if g.filled() && g.bay.Owes == OwesNothing {
			at, g.bay.Fill = g.place, g.fill
		} else {
			g.bay.Order = 0
		}
		for _, row := range [...]int{at, g.numbered} {
			if at != g.numbered && row >= 0 {
				first = min(first, row)
			}
		}
		g.numbered = at
		g.bay.Struck = g.bay.Struck || g.bay.Undone()
		// A bay that is left on purpose is no bay of the job's: nothing is missing where it is.
		left := g.bay.Left != nil && !g.bay.Struck
		moved = moved || left != g.leftOut && g.listed
		g.leftOut = left
	}
	a.place(first)
	a.list(all || moved)
	for _, g := range bays {
		if g.bay.Moves == nil && !g.leftOut {
			g.bay.listMoves()
		}
	}
	return moved
}

// place gives the bays from a fill's row on their places in the order of filling. An amend stands
// in the place of its fill, so that an amended bay keeps its number.
func (a *Assembler) place(from int) {
	order := 0
	for row := from - 1; row >= 0 && from < len(a.job.Log) && order == 0; row-- {
		if g := a.filledAt(row); g != nil {
			order = g.bay.Order
		}
	}
	for row := from; row < len(a.job.Log); row++ {
		if g := a.filledAt(row); g != nil {
			order++
			g.bay.Order = order
		}
	}
}

// filledAt is the bay whose fill has its place in the order of filling at a row; nil for none.
func (a *Assembler) filledAt(row int) *gathered {
	if e := a.feed[row]; e != nil {
		if g := a.byRow[e.Index]; g != nil && g.numbered == row {
			return g
		}
	}
	return nil
}

// list lists the job's bays and those that are left on purpose, in the order in which the log first
// names them: all of them, or those that are named since the others were listed.
func (a *Assembler) list(all bool) {
	from := len(a.job.Bays) + len(a.job.Left)
	if all {
		from, a.job.Bays, a.job.Left = 0, slices.Grow(a.job.Bays[:0], len(a.order)), nil
	}
	for _, g := range a.order[from:] {
		g.listed = true
		if g.leftOut {
			a.job.Left = append(a.job.Left, g.bay)
		} else {
			a.job.Bays = append(a.job.Bays, g.bay)
		}
	}
}

// check refuses bays that cannot hold what is said of them. Those that share a figure are checked
// together, so all must have their moves by now.
func (a *Assembler) check() {
	for _, g := range a.order {
		a.checkAmounts(g.bay)
		a.checkLess(g.bay)
		a.checkPlaces(g.bay)
	}
	a.checkWithin()
}

// owe finds whether one of the two sheets of a bay is not typed in yet: material without sizes, or
// what only the filling shows without material.
func (a *Assembler) owe(g *gathered) {
	b := g.bay
	switch {
	case g.struck != nil || b.Left != nil:
	case g.fill != nil && len(b.Pieces) > 0 && math.IsNaN(b.Pieces[0].Volume()):
		b.Owes = OwesSizes
		for _, other := range b.SharedWith { // one figure for all of them
			other.Owes = OwesSizes
		}
	case g.fill == nil && slices.ContainsFunc(b.Rows, func(e *Entry) bool { return b.Dead[e] == "" && e.afterwards() }):
		b.Owes = OwesCount
	}
}

// Undone tells whether every row of the bay was taken back by itself: it is as if it had not been
// named.
func (b *Bay) Undone() bool {
	return !slices.ContainsFunc(b.Rows, func(e *Entry) bool {
		_, one := withdraws(e)
		return !e.Withdrawn && !one
	})
}

// afterwards tells whether the row says what only the filling shows.
func (e *Entry) afterwards() bool {
	return len(e.Reach) > 0 || e.Stall != Unsaid || e.Feed != Feed{} || e.Size.Bulge.State == Measured
}

// listMoves lists the rows in force that carry material, the fill, top-ups and losses, in the log's
// order.
func (b *Bay) listMoves() {
	if b.Fill == nil {
		return
	}
	for i, e := range b.Rows {
		switch {
		case e != b.Fill && e.Kind != EntryTopup && e.Kind != EntryLost || b.Dead[e] != "":
		case len(b.Moves) == i: // as far as all rows carry material they are the moves themselves
			b.Moves = b.Rows[: i+1 : i+1]
		default:
			b.Moves = append(b.Moves, e)
		}
	}
}

// checkLess refuses a bay that nothing is left of, at the last piece taken away.
func (a *Assembler) checkLess(b *Bay) {
	if len(b.Pieces) < 2 || !(b.Volume() <= 0) {
		return
	}
	for _, p := range slices.Backward(b.Pieces) {
		if p.Less {
			a.faultAt(p.Src, "check the units of its sizes", "less takes away more than %s holds", b.title())
			return
		}
	}
}

// Limits of one job's files. No crew comes near them; a file that does holds something else than it
// should, or several jobs, and would take minutes and gigabytes where a job takes milliseconds:
// what a row means can hang on all rows before it. Each is refused in words that say what to do.
const (
	MostBytes    = 32 << 20 // of a file, and of one job in a log of many
	MostLine     = 64 << 10 // bytes of a row
	MostColumns  = 500      // of a table
	MostRows     = 20_000   // of a job's log
	MostBayRows  = 500      // of one bay
	MostBays     = 1000     // of a section
	MostSections = 500      // of a job
	MostSharing  = 100      // bays that share one figure
)

// overLimits refuses a job with more sections, bays or rows than any has, once for each, before
// anything is put together that grows with their square.
func (a *Assembler) overLimits() bool {
	if len(a.job.Log) <= min(MostBayRows, MostBays, MostSections) {
		return false
	}
	over := false
	refuse := func(e *Entry, column, hint, format string, args ...any) {
		over = true
		a.fault(e, column, hint, format, args...)
	}
	bays, rows := map[*Section]int{}, map[*gathered]int{}
	for i, g := range a.byRow {
		if g == nil {
			continue
		}
		e := &a.job.Log[i]
		if rows[g]++; rows[g] == 1 {
			if bays[g.bay.Section]++; bays[g.bay.Section] == MostBays+1 {
				refuse(e, "section", "split it, and give each part its name: a section is a run of like bays", "section %s has more than %d bays", e.Section, MostBays)
			}
			if bays[g.bay.Section] == 1 && len(bays) == MostSections+1 {
				refuse(e, "section", "make each part of the house a job, in its own folder", "the job has more than %d sections", MostSections)
			}
		}
		if rows[g] == MostBayRows+1 {
			refuse(e, "bay", "give other bays their own names, and a new job a new log", "%s has more than %d rows", g.bay.title(), MostBayRows)
		}
	}
	return over
}
