// What each kind of row does to its bay, and what it may carry.
//
// A log is never edited: a slip is mended by a later row. An amend takes a bay's rows before it out
// of force and stands in the place of its fill; a strike withdraws a bay, or the one row that its
// note names. Rows that are out of force stay among the bay's rows, with why (Bay.Dead), so that
// what was known before can be told.

package model

import (
	"math"
	"slices"
	"strings"
	"time"
)

// take applies one row to its bay, which is nil where it names none. A row that comes out of turn,
// or that carries what its entry may not, is a fault and does nothing; but a fill with a fault is
// one all the same, or every later row of the bay would be refused for coming before its fill.
func (a *Assembler) take(e *Entry, g *gathered) {
	if g == nil {
		a.takeNameless(e)
		return
	}
	g.bay.Rows = append(g.bay.Rows, e)
	if e.Withdrawn {
		g.killRow(e, "struck")
	}
	if _, one := withdraws(e); e.Withdrawn || one {
		return
	}
	if e.Machine != "" && e.Machine != g.bay.Machine && (g.bay.Machine == "" || e.Kind == EntryFill || e.Kind == EntryAmend) {
		g.bay.Machine = e.Machine
		a.renamed = a.renamed || g.first.Index < a.fresh
		a.refeed(g.place)
	}
	if !a.inTurn(e, g) || !a.carries(e) && e.Kind != EntryFill && e.Kind != EntryAmend {
		return
	}
	if g.struck != nil { // it is as if the bay were new, but for its place
		a.kill(g, "struck", len(g.bay.Rows)-1)
		g.struck, g.bay.Struck = nil, false
		g.fill, g.bay.Pieces, g.shape = nil, nil, nil
	}
	// Seen rows are done with here: they are found again among the bay's rows, and so is what was
	// lost.
	switch e.Kind {
	case EntrySize:
		a.measure(e, g, nil)
	case EntryFill:
		a.fill(e, g)
	case EntryAmend:
		a.amend(e, g)
	case EntryPiece, EntryLess:
		a.piece(e, g)
	case EntryTopup:
		a.topup(e, g)
	case EntryLost:
		if e.Material.Beside {
			a.feed[e.Index] = e
		}
	case EntryClosed:
		g.bay.Closed = append(g.bay.Closed, e)
	case EntryStrike:
		a.strike(e, g)
	case EntryLeave:
		g.bay.Left = e
	case EntryDecided:
		g.bay.Decided = e
	}
}

// takeNameless applies a row that belongs to no bay: a count, from which the counter goes on, or a
// set, which parts the bays before it from those after it (Bay.Run), since the machine blows
// otherwise now. Empties and what went elsewhere stay in the log, where whoever adds them up finds
// them.
func (a *Assembler) takeNameless(e *Entry) {
	switch {
	case e.Withdrawn:
	case e.Kind == EntryStrike:
		if _, one := withdraws(e); one {
			return
		}
		a.fault(e, "bay", "name the bay, or write in the note what to withdraw: "+strings.Join(namelessWords(), ", "), "this strike names no bay")
	case !entryDefs[e.Kind].Nameless || !a.carries(e):
	case e.Kind == EntrySet:
		a.run[Fold(e.Machine)]++
	case e.Kind == EntryEmpties:
		a.empties(e)
	case e.Kind == EntryElsewhere:
		a.elsewhere(e)
		if e.Material.Beside {
			a.feed[e.Index] = e
		}
	case e.Material.Kind != MaterialCounter || e.Material.Shared:
		a.fault(e, "counter", "write where the counter stands", "this count row has no counter reading")
	default:
		a.feed[e.Index] = e
	}
}

// empties checks a count of empty bags.
func (a *Assembler) empties(e *Entry) {
	switch m := &e.Material; {
	case m.Kind == MaterialNone:
		a.fault(e, "bags", "write how many, even 0", "this empties row has no bags")
	case m.Kind != MaterialBags:
		a.fault(e, m.Kind.Column(), entryDefs[e.Kind].Hint, "this empties row can't carry %s", m.Kind.Column())
	case m.Shared || m.Part != 0 || m.Bags != math.Trunc(m.Bags):
		a.fault(e, "bags", "count whole empty bags", "empties %s is not a whole number", m.Raw)
	case e.Section != "" && !slices.ContainsFunc(a.order, func(g *gathered) bool { return Fold(g.bay.Section.Name) == Fold(e.Section) }):
		a.fault(e, "section", "write the section as the bays' rows do, or leave it blank if the bags are the whole job's", "the log has no bay in section %s", e.Section)
	}
}

// elsewhere checks what left the truck and went into no bay.
func (a *Assembler) elsewhere(e *Entry) {
	switch m := &e.Material; {
	case m.Kind == MaterialNone:
		a.fault(e, "bags", "write how much, in bags or weight", "this elsewhere row has no bags or weight")
	case m.Kind == MaterialCounter:
		a.fault(e, "counter", "write the bags or the weight; the counter may stand beside a weight", "the counter alone does not say how much went elsewhere")
	case m.Shared:
		a.fault(e, m.Kind.Column(), "write how much; only a fill can say shared", "this elsewhere row can't share the next bay's figure")
	case e.Note == "":
		a.fault(e, "note", "write where it went: attic, test box, torn", "this elsewhere row has no note")
	}
}

// inTurn checks that what the row hangs on came before it. Most of its faults mean that the file
// was sorted, or that a row belongs to another bay.
func (a *Assembler) inTurn(e *Entry, g *gathered) bool {
	b := g.bay
	switch {
	// A bay that was withdrawn is new: measured, filled, left, or where it was filled before
	// amended to what is in it now.
	case g.struck != nil && e.Kind != EntryFill && e.Kind != EntrySize && e.Kind != EntryLeave && !(e.Kind == EntryAmend && g.place >= 0):
		hint := "fill it to bring it back"
		if g.place >= 0 {
			hint = "write a fill or an amend to bring it back"
		}
		a.fault(e, "entry", hint, "%s for %s, which was struck in %s", e.Kind, b.title(), a.at(g.struck))
	case g.struck != nil:
		return true
	case e.Kind == EntryFill && g.fill != nil:
		a.fault(e, "entry", "write topup to add material, piece to add volume, amend to replace the fill",
			"%s was filled already, in %s", b.title(), a.at(g.fill))
	case e.Kind == EntryLeave && g.fill != nil:
		a.fault(e, "entry", "write strike to withdraw the fill; leave is for a bay that stays empty", "leave for %s, which was filled in %s", b.title(), a.at(g.fill))
	case e.Kind == EntryLeave && e.Note == "":
		a.fault(e, "note", "write why: a flue, a duct, full already", "leave without a note does not say why %s stays empty", b.title())
	case e.Kind == EntryDecided && (e.Note == "" || e.By == ""):
		a.fault(e, "by", "type who in by, and why in note: a person decides", "decided without by and note does not say who closes %s, and why", b.title())
	case (e.Kind == EntryPiece || e.Kind == EntryLess) && len(b.Pieces) == 0:
		a.fault(e, "entry", "measure or fill it first; was the file sorted?", "%s comes before any size of %s", e.Kind, b.title())
	case e.Kind == EntryStrike && len(b.Rows) == 1:
		a.fault(e, "entry", "put the bay's rows first; was the file sorted?", "strike comes before any row of %s", b.title())
	case entryDefs[e.Kind].AfterFill && g.fill == nil && !(e.Kind == EntrySeen && len(b.Pieces) > 0):
		a.fault(e, "entry", "fill it first; was the file sorted?", "%s comes before the fill of %s", e.Kind, b.title())
	default:
		return true
	}
	return false
}

// fill takes the row as the bay's fill. Its place in the order of filling is that of the row, by
// which the counter is read and neighbors in time are known. A bay that was withdrawn and is filled
// again stands where it is filled now, and what the counter read at its old fill is not read.
func (a *Assembler) fill(e *Entry, g *gathered) {
	if g.place >= 0 {
		a.feed[g.place] = nil
		a.refeed(g.place)
	}
	g.place, g.bay.Run = e.Index, a.runOf(Fold(g.bay.Machine))
	g.fill, g.bay.Left = e, nil
	a.feed[g.place] = e
	a.measure(e, g, nil)
	a.require(e, g, g.bay.Pieces[0])
}

// runOf is how many set rows of a machine there were; one that names none is for all.
func (a *Assembler) runOf(machine string) int {
	if machine == "" {
		return a.run[""]
	}
	return a.run[""] + a.run[machine]
}

// RunAt is how many of a log's set rows up to a time are a machine's, without those that were taken
// back; ok is false where that cannot be told: one of them or the time itself has none.
func RunAt(sets []*Entry, machine string, at time.Time) (run int, ok bool) {
	for _, e := range sets {
		if e.Withdrawn || e.Machine != "" && Fold(e.Machine) != Fold(machine) {
			continue
		}
		if at.IsZero() || e.Time.IsZero() {
			return 0, false
		}
		if !e.Time.After(at) {
			run++
		}
	}
	return run, true
}

// amend takes the row as the bay's whole new fill: it stands in the old one's place, and nothing is
// inherited but what was read before (see join). Who amends a bay says all that is known of it now;
// half a correction that leaned on a row before it could not be read by itself.
func (a *Assembler) amend(e *Entry, g *gathered) {
	a.kill(g, "amended", len(g.bay.Rows)-1)
	a.feed[g.place], g.fill = e, e
	a.refeed(g.place)
	var old *Piece
	if len(g.bay.Pieces) > 0 {
		old = g.bay.Pieces[0]
	}
	g.bay.Pieces, g.shape = nil, nil
	a.measure(e, g, old)
	if old != nil {
		a.join(e, g, old)
	}
	a.require(e, g, g.bay.Pieces[0])
}

// strike withdraws the bay: its rows go out of force, and its fill is none any more. A strike that
// withdraws one row alone is done with before (see undo).
func (a *Assembler) strike(e *Entry, g *gathered) {
	g.struck, g.withdrew, g.bay.Struck = e, e, true
	a.kill(g, "struck", len(g.bay.Rows)-1)
}

// StrikeClosing is the note of a strike that withdraws the bay's last closing and nothing else.
const StrikeClosing = "closed"

// undo finds the rows that a strike withdraws by itself: one whose note is the word of an entry
// (fill, topup, closed) takes the last row of that kind back that still holds, of its bay, or where
// it names none of the job. It is then as if that row had never been written, for whatever came
// after it too; both rows stay in the log.
func (a *Assembler) undo() {
	var took map[int]int // by strike: the row that it takes back
	for i := range a.job.Log {
		e := &a.job.Log[i]
		e.Withdrawn = false
		kind, ok := withdraws(e)
		if !ok {
			continue
		}
		at := i - 1
		for ; at >= 0; at-- {
			other := &a.job.Log[at]
			if other.Kind != kind || other.Withdrawn || a.byRow[at] != a.byRow[i] {
				continue
			}
			if e.Bay != "" || other.Section == e.Section && other.Machine == e.Machine {
				break
			}
		}
		if at < 0 {
			what := "strike of a " + kind.String() + " row"
			if e.Bay != "" {
				what += " of " + e.Bay
			}
			a.fault(e, "note", "leave the note blank to withdraw the whole bay", "%s, but there is none above it", what)
			continue
		}
		a.job.Log[at].Withdrawn = true
		if before, ok := took[at]; ok { // the strike of a strike brings back what that one took
			a.job.Log[before].Withdrawn = false
		}
		if took == nil {
			took = map[int]int{}
		}
		took[i] = at
	}
}

// withdraws is the kind of the one row that a strike takes back; false where it withdraws its bay,
// or is no strike.
func withdraws(e *Entry) (EntryKind, bool) {
	if e.Kind != EntryStrike || e.Note == "" {
		return 0, false
	}
	kind := slices.IndexFunc(entryDefs[:], func(d EntryDef) bool { return d.Word == Fold(e.Note) })
	return EntryKind(max(kind, 0)), kind >= 0 && (e.Bay != "" || entryDefs[kind].Nameless)
}

// namelessWords are the words of the entries that belong to no bay.
func namelessWords() (words []string) {
	for i := range entryDefs {
		if entryDefs[i].Nameless {
			words = append(words, entryDefs[i].Word)
		}
	}
	return words
}

// topup takes the row's material. A row that says again what an amend took out of force stands
// where that row stood, so that the counter's order holds.
func (a *Assembler) topup(e *Entry, g *gathered) {
	a.feed[e.Index] = e
	if e.Material.Kind != MaterialCounter {
		return
	}
	for _, r := range g.bay.Rows {
		if r.Kind == EntryTopup && a.feed[r.Index] == r && r != e && r.Material.Bags == e.Material.Bags && g.bay.Dead[r] != "" {
			a.feed[r.Index], a.feed[e.Index] = e, nil
			a.refeed(r.Index)
			return
		}
	}
}

// kill takes the bay's first n rows out of force; that it was closed stays a fact.
func (a *Assembler) kill(g *gathered, why string, n int) {
	a.refeed(g.place)
	g.bay.Left, g.bay.Decided = nil, nil
	for _, r := range g.bay.Rows[min(g.killed, n):n] { // those before are out of force already
		if r.Kind != EntryClosed {
			g.killRow(r, why)
		}
	}
	g.killed = n
}

// refeed notes that what a row blew, −1 for none, counts otherwise than when it was put together.
func (a *Assembler) refeed(row int) { a.reread = a.reread || row >= 0 && row < a.fresh }

// killRow takes one row out of force, unless it is already.
func (g *gathered) killRow(r *Entry, why string) {
	if g.bay.Dead == nil {
		g.bay.Dead = map[*Entry]string{}
	}
	if _, dead := g.bay.Dead[r]; !dead {
		g.bay.Dead[r] = why
	}
}

// said tells whether a number was given: NaN is what was not.
func said(v float64) bool { return !math.IsNaN(v) }

// carries checks that the row holds what its entry may and must hold: see EntryDef.
func (a *Assembler) carries(e *Entry) bool {
	def := entryDefs[e.Kind]
	if c := a.stray(e, &def); c != nil {
		what := "this %s row can't carry a %s"
		if c.Is != ColumnSize {
			what = "this %s row can't carry %s"
		}
		a.fault(e, c.Name, def.Hint, what, e.Kind, c.Name)
		return false
	}
	return a.carriesMaterial(e)
}

// stray is the first column, in the order of the table, that says something and that the row's
// entry may not carry; nil where there is none.
func (a *Assembler) stray(e *Entry, def *EntryDef) *Column[Entry] {
	if def.Sizes && def.Material && def.Observations {
		return nil
	}
	if a.columns == nil {
		a.columns = LogColumns()
	}
	for i := range a.columns {
		if c := &a.columns[i]; !def.carries(c) && c.Said(e) {
			return c
		}
	}
	return nil
}

// carriesMaterial checks what is particular about the material of each entry.
func (a *Assembler) carriesMaterial(e *Entry) bool {
	m := &e.Material
	column := m.Kind.Column()
	if m.Beside && e.Kind != EntryTopup && e.Kind != EntryLost && e.Kind != EntryElsewhere {
		a.fault(e, "counter", "keep one of bags, counter and weight", "this row says the material twice: %s and %s", e.Cells[a.column("counter")-1], m.Raw)
		return false
	}
	switch e.Kind {
	case EntryFill, EntryAmend:
		if m.Kind == MaterialNone {
			a.fault(e, "bags", "log what went in, even 0; a bay that is measured and not filled is entry size", "%s without bags, counter or weight", e.Kind)
			return false
		}
	case EntryTopup, EntryLost:
		return a.carriesMove(e)
	case EntrySize:
		if !anySize(&e.Size) && len(e.Photos) == 0 && !e.Observes() {
			a.fault(e, "entry", "seen is for a look into a filled bay; or delete the row", "a size row without any size")
			return false
		}
	case EntryCount:
		if m.Kind != MaterialCounter && m.Kind != MaterialNone {
			a.fault(e, column, "write the counter alone", "this count row can't carry %s", column)
			return false
		}
	}
	return true
}

// Observes tells whether a row says anything that was seen of a bay.
func (e *Entry) Observes() bool {
	return len(e.Reach)+len(e.Hole)+len(e.Stops)+len(e.At) > 0 || e.Feed != Feed{} || e.Existing != "" || e.Stall != Unsaid || e.Probe != ProbeNone
}

// carriesMove checks a top-up or a loss.
func (a *Assembler) carriesMove(e *Entry) bool {
	m := &e.Material
	switch {
	case m.Kind == MaterialNone:
		a.fault(e, "bags", "log the pounds, even 0", "%s without bags, counter or weight", e.Kind)
	case m.Shared:
		a.fault(e, m.Kind.Column(), "write how much; only a fill can say shared", "this %s row can't share the next bay's figure", e.Kind)
	case e.Kind == EntryLost && m.Kind == MaterialCounter:
		a.fault(e, "counter", "write the bags or the weight; the counter may stand beside a weight", "the counter alone does not say how much was lost")
	default:
		return true
	}
	return false
}

// Column is the column that a kind of material stands in; empty for none.
func (k MaterialKind) Column() string { return wordOf(k, MaterialBags, materialWords) }

// anySize tells whether a row carries a shape or a size; a ditto is one.
func anySize(p *Piece) bool {
	for _, r := range p.Readings() {
		if r.State != Absent {
			return true
		}
	}
	return p.Shape != ShapeUnsaid
}
