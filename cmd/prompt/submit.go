package prompt

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"bayproof/model"
	"bayproof/model/cell"
	"bayproof/verify"
)

// submit makes a row of a whole draft and puts it to the log: an amend where a bay is stated anew,
// a fill where something went in, else a size. Where it cannot be written it goes on with otherwise,
// which is handed in so that the phone, which asks by forms, does not carry the grammar of lines.
func (s *Session) submit(d draft, otherwise func()) {
	// The log refuses sizes in the fill of a bay that was measured: what it says is said of files, and
	// here is what to type.
	if b := s.bay(d.name); measured(b) && b.Fill == nil && d.kind == "" && d.sized() && (d.mass != "" || d.amountSaid()) && !s.opt.Bare {
		s.refusef("%[1]s has its sizes. Type %[1]s and what went in alone. Measured again? First: size %[1]s and its sizes", d.name)
		return
	}
	row := maps.Clone(d.said)
	s.sizesOf(d, s.bay(d.name), row)
	if d.mass != "" {
		row[s.columnOf(d.mass)] = d.mass
	}
	if b := s.bay(d.name); d.mass == "" && !d.amountSaid() && d.kind == "" && b != nil {
		if rows := s.remeasured(b, row); rows != nil {
			s.put(rows...)
			return
		}
	}
	switch {
	case d.kind == "amend":
		row["entry"] = "amend"
	case d.mass != "" || d.amountSaid():
		row["entry"] = "fill"
	default:
		row["entry"] = "size"
	}
	s.putOr(otherwise, s.rowOf(d.name, row))
}

// slips is how many times its ± a size may differ from what was read before and be one more reading
// of it: as in an amend.
const slips = 3

// remeasured returns the rows that put sizes typed for a bay in place of those that it has, where
// one of them is too far from what was read before to be another reading of it; nil where they may
// stand beside each other.
func (s *Session) remeasured(b *model.Bay, row Row) []Row {
	if len(b.Pieces) == 0 || b.Struck {
		return nil
	}
	set := &b.Section.Settings
	within := [model.Sizes]float64{set.WidthWithin, set.WidthWithin, set.DepthWithin, set.DepthWithin, set.LengthWithin, set.LengthWithin, set.DepthWithin}
	sizes := Row{}
	var far []string
	for i, was := range b.Pieces[0].Readings() {
		name := model.SizeNames()[i]
		text := row[name]
		form, _ := cell.Column(name, s.job.Settings.Units)
		var now model.Reading
		if text == "" {
			continue
		}
		sizes[name] = text
		if _, bad := form.Reading(text, &now, nil); bad != nil || now.State != model.Measured || was.State != model.Measured {
			continue
		}
		if math.Abs(now.Mean()-was.Mean()) > slips*within[i] {
			far = append(far, s.say.F("%s %s is taken for a slip, and %s for what it is. undo brings it back.", name, was.Raw, text))
		}
	}
	if far == nil {
		return nil
	}
	if rows := s.mended(b, sizes); rows != nil {
		s.sayf("%s", strings.Join(far, "\n"))
		for column, text := range row { // what else the line says
			if sizes[column] == "" {
				rows[len(rows)-1][column] = text
			}
		}
		return rows
	}
	return nil
}

// again asks anew for what went in, with the sizes that were typed one by one kept.
func (s *Session) again(d draft) {
	d.said = maps.Clone(d.said)
	for _, column := range []string{"bags", "counter", "weight"} {
		delete(d.said, column)
	}
	s.sayf("Kept: %s. Say again what went in, or cancel.", Row(d.said).inWords())
	d.kind, d.mass = "", ""
	s.askMass(d)
}

// rowOf adds what every row of this section has. Initials that were typed in the line itself stand.
func (s *Session) rowOf(bay string, row Row) Row {
	by := row["by"]
	if row = s.rowIn(s.section, bay, row); by != "" {
		row["by"] = by
	}
	return row
}

// put tries rows against the whole log and writes them. Nothing is written that would not read back
// without a fault: the log on disk reads at any moment. What only looks odd is written, and said
// under the answer.
func (s *Session) put(rows ...Row) { s.putOr(func() {}, rows...) }

// putOr is put, and goes on with otherwise where the rows cannot be written.
func (s *Session) putOr(otherwise func(), rows ...Row) {
	for _, row := range rows {
		if bad := plain(row, s.job.Settings.Units); bad != nil {
			s.notWritten(rows...)
			s.refusef("%s", s.say.Told(bad.What))
			s.sayf("  %s", s.say.Told(bad.Hint))
			otherwise()
			return
		}
	}
	job, faults := s.book.Try(rows...)
	if len(faults) > 0 {
		s.notWritten(rows...)
		s.refuse(faults)
		otherwise()
		return
	}
	s.write(rows, rows, job)
}

// notWritten keeps the rows of a line that was not written; none of one that was not understood.
func (s *Session) notWritten(rows ...Row) {
	s.bad = &refused{rows: rows}
	s.refusals++
}

// notTaken keeps that a line was not understood, where nothing is kept of it yet: undo and fix then
// mean that line.
func (s *Session) notTaken() {
	if s.bad == nil {
		s.notWritten()
	}
}

// Refused is how many lines were not written and not taken back: who pipes a file of them in wants
// to know.
func (s *Session) Refused() int { return s.refusals }

// refuse says why rows cannot be written. A fault in the rows just typed has no place in a file yet
// and is told without one.
func (s *Session) refuse(faults []model.Fault) {
	last := 0
	if n := len(s.job.Log); n > 0 {
		last = s.job.Log[n-1].Src.Line
	}
	s.tell(faults, func(src model.Place) bool { // the rows just typed would come after the last
		return src.File == "" || src.File == s.job.Inputs[0].File && src.Line > last
	})
}

// tell lists faults with their place, but for those whose place says nothing to who is typing.
func (s *Session) tell(faults []model.Fault, placeless func(model.Place) bool) {
	for i, fault := range faults {
		if i == 3 {
			s.sayf("  and %d more", len(faults)-i)
			break
		}
		where := ""
		if src := fault.Src; !placeless(src) {
			src.Col = 0 // nobody counts fields at a prompt
			where = src.String() + ": "
		}
		s.refusef("%s%s", where, s.say.Told(fault.What))
		if fault.Hint != "" {
			s.sayf("  %s", s.say.Told(fault.Hint))
		}
	}
}

// write appends the rows still to come, one write each, and then judges; all is the whole entry,
// job what the log then says. Where a write fails the rows before it are on disk, and the rest is
// offered again: none is written twice.
func (s *Session) write(rest, all []Row, job *model.Job) {
	rows := [][]Row{rest}
	if _, whole := s.book.(wholeBook); !whole {
		rows = slices.Collect(slices.Chunk(rest, 1))
	}
	for i, row := range rows {
		err := s.append(row)
		switch {
		case errors.Is(err, ErrChanged):
			s.reconcile(rest[i:])
			return
		case err != nil:
			s.sayf("NOT on disk: %s", err) // the disk may be full, the share gone
			s.stillHere(rest[i:], s.say.S("  Enter tries again, cancel drops it: "), func() { s.write(rest[i:], all, job) })
			return
		}
	}
	old := s.f
	s.own, s.lost, s.bad = append(s.own, deed{rows: all}), nil, nil
	s.take(job)
	s.reply(all, old)
	var mend string
	if s.odd, mend = s.doubt(all, job, s.f); s.odd != "" {
		s.sayf("  %s %s", s.odd, mend)
	}
}

// wholeBook is a book that takes the rows of an entry all or none.
type wholeBook interface{ AppendAll(rows []Row) error }

// append puts rows on disk: one, or of a wholeBook all that are given.
func (s *Session) append(rows []Row) error {
	if book, ok := s.book.(wholeBook); ok {
		return book.AppendAll(rows)
	}
	return s.book.Append(rows[0])
}

// How far a figure may lie from its neighbours before it is asked about; moves no verdict. The
// ratios are of use and not measured: bays framed alike differ by some percent, a slip of the
// finger (12.5 for 22.5, 1 bag for 11) by far more.
const (
	oddSize   = 1.35 // width, depth: ratio to the nearest one of the section
	oddLength = 1.6
	oddThin   = 0.6  // of the target
	oddDense  = 1.25 // of the ceiling
)

// doubt says the first thing in the rows that looks odd, and how it is mended; empty where nothing
// does. Only sizes, fills and bags of a top-up are looked at: of anything else there is nothing to
// compare with.
func (s *Session) doubt(rows []Row, job *model.Job, f *verify.Findings) (odd, mend string) {
	first := rows[0]
	if first["entry"] == "topup" && first["bags"] != "" {
		return s.doubtTopup(f, bayOf(job, first["section"], first["bay"]), first["bags"])
	}
	if !slices.Contains([]string{"size", "fill", "amend"}, first["entry"]) {
		return "", ""
	}
	b := bayOf(job, first["section"], first["bay"])
	if b == nil || len(b.Pieces) == 0 {
		return "", ""
	}
	if odd, mend = s.doubtSizes(job, b); odd != "" {
		return odd, mend
	}
	return s.doubtDensity(f, b)
}

// doubtSizes compares what was measured with the section's other bays and its typical one.
func (s *Session) doubtSizes(job *model.Job, b *model.Bay) (odd, mend string) {
	p := b.Pieces[0]
	for _, x := range []struct {
		asks, column string
		of           func(*model.Piece) model.Reading
		limit        float64
		say          func(float64) string
	}{
		{s.say.S("%s is %s wide? Bays here are %s."), "width", func(p *model.Piece) model.Reading { return p.Width }, oddSize, s.say.Size},
		{s.say.S("%s is %s deep? Bays here are %s."), "depth", func(p *model.Piece) model.Reading { return p.Depth }, oddSize, s.say.Size},
		{s.say.S("%s is %s long? Bays here are %s."), "length", func(p *model.Piece) model.Reading { return p.Length }, oddLength, s.say.Length},
	} {
		r := x.of(p)
		if r.State != model.Measured {
			continue
		}
		for _, v := range r.Values {
			if near, ok := nearest(job, b, x.of, v); ok && ratio(v, near) > x.limit {
				return fmt.Sprintf(x.asks, b.Name, x.say(v), x.say(near)), s.say.F("If not: fix %s %s and what it is, or undo.", b.Name, x.column)
			}
		}
	}
	return "", ""
}

// nearest is the size in the section, the typical bay's among them, that comes closest to v.
func nearest(job *model.Job, b *model.Bay, of func(*model.Piece) model.Reading, v float64) (float64, bool) {
	best, found := 0.0, false
	take := func(p *model.Piece) {
		r := of(p)
		if r.State == model.Absent || len(r.Values) == 0 {
			return
		}
		if m := r.Mean(); !found || ratio(v, m) < ratio(v, best) {
			best, found = m, true
		}
	}
	for _, other := range job.Bays {
		if other.Section == b.Section && other != b && !other.Struck && len(other.Pieces) > 0 {
			take(other.Pieces[0])
		}
	}
	take(&b.Section.Typical)
	if !found && len(of(b.Pieces[0]).Values) > 1 {
		return of(b.Pieces[0]).Mean(), true // alone here: its readings against each other
	}
	return best, found
}

// ratio is how many times one positive number is the other, at least 1.
func ratio(a, b float64) float64 { return math.Exp(math.Abs(math.Log(a / b))) }

// doubtDensity doubts a count that would make the bay nearly empty or impossibly dense.
func (s *Session) doubtDensity(f *verify.Findings, b *model.Bay) (odd, mend string) {
	x := of(f, b)
	if x == nil || math.IsNaN(x.Density) || b.Fill == nil {
		return "", ""
	}
	set := &b.Section.Settings
	if x.Density >= oddThin*set.Target && x.Density <= oddDense*set.Ceiling {
		return "", ""
	}
	unit := s.say.Of(verify.Density).Name
	aim := s.amount(set.Aim*x.Volume, set)
	return s.say.F("%s: %s in %s makes %s %s. At the aim it takes %s.", b.Name, s.materialText(b.Fill), s.say.Volume(x.Volume), s.say.Target(x.Density), unit, aim),
		s.say.F("A slip? fix %s %s and what it was, or undo.", b.Name, b.Fill.Material.Kind.Column())
}

// doubtTopup doubts bags on top that make a bay impossibly dense: orders are said in pounds, and the
// figure alone is one of bags.
func (s *Session) doubtTopup(f *verify.Findings, b *model.Bay, bags string) (odd, mend string) {
	x := of(f, b)
	if x == nil || !(x.Density > oddDense*b.Section.Settings.Ceiling) {
		return "", ""
	}
	mass := s.say.Of(verify.Mass)
	return s.say.F("%s: %s more make it %s %s.", b.Name, s.bags(bags), s.say.Target(x.Density), s.say.Of(verify.Density).Name),
		s.say.F("Meant %[3]s? strike %[1]s topup, then: top %[1]s %[2]s %[3]s", b.Name, bags, mass.Symbol)
}

// of returns the findings of a bay; nil where there are none.
func of(f *verify.Findings, b *model.Bay) *verify.Bay {
	at := slices.IndexFunc(f.Bays, func(x verify.Bay) bool { return x.Bay == b })
	if at < 0 {
		return nil
	}
	return &f.Bays[at]
}

// materialText says what a row says went in.
func (s *Session) materialText(e *model.Entry) string {
	m := &e.Material
	switch m.Kind {
	case model.MaterialCounter:
		return s.say.F("counter %s after %s", m.Raw, cell.FormatNumber(m.Prev))
	case model.MaterialWeight:
		return m.Raw
	}
	return s.bags(m.Raw)
}

// stillHere shows rows that are not written, and goes on with them once that is answered. What is
// typed instead of an answer is taken after them.
func (s *Session) stillHere(rows []Row, question string, then func()) {
	for _, row := range rows {
		s.sayf("Still here: %s", row.inWords())
	}
	s.lost = rows
	s.question(question, func(line string) {
		s.queue(line)
		then()
	})
}

// reconcile reads a log that somebody else changed, offers rows that are gone from it, and puts the
// entry anew: against the log as it is now it may be a fault or odd. A spreadsheet that was open
// beside the prompt and saved is the usual cause.
func (s *Session) reconcile(rows []Row) {
	changed, err := s.book.Reload()
	job, faults := s.book.Job()
	switch {
	case err != nil:
		s.sayf("Another program changed the log. It cannot be read: %s", err)
	case len(faults) > 0:
		s.sayf("Another program changed the log. It no longer reads:")
		s.tell(faults, func(src model.Place) bool { return src.File == "" })
	default:
		s.sayf("Another program changed the log. It was read again.")
		s.take(job)
		s.own = nil // what a strike would take back may be somebody else's row now
		s.gone(changed)
		s.offer(changed, rows)
		return
	}
	s.gone(changed)
	s.stillHere(rows, s.say.S("  Mend the file, then Enter. cancel drops the entry: "), func() { s.reconcile(rows) })
}

// mostGone is how many rows that are gone are shown; they stand in the file that is named with
// them.
const mostGone = 10

// gone says what was set aside of a log that somebody else changed, and which rows are gone from
// it.
func (s *Session) gone(changed Changed) {
	if changed.Torn != "" {
		s.sayf("Its last line was torn, and is set aside in %s. Type that bay again.", changed.Torn)
	}
	if len(changed.Lost) > 0 {
		s.sayf("Rows that are gone from it:")
	}
	for i, row := range changed.Lost {
		if i == mostGone {
			s.sayf("  and %d more", len(changed.Lost)-i)
			break
		}
		s.sayf("  %s", row.inWords())
	}
	if changed.Kept != "" {
		s.sayf("The log as it was is kept in %s.", changed.Kept)
	}
}

// offer asks whether rows that the other program dropped are to be written again, until that is
// answered.
func (s *Session) offer(changed Changed, rows []Row) {
	if len(changed.Lost) == 0 {
		s.put(rows...)
		return
	}
	s.lost = rows
	s.question(s.say.S("  Write them again, at the end? [y/n] "), func(line string) {
		switch s.answer(line) {
		case model.Yes:
			s.putOr(func() {
				s.sayf("They cannot stand at the end. Put them back by hand from %s.", changed.Kept)
				s.put(rows...)
			}, slices.Concat(changed.Lost, rows)...)
		case model.No:
			s.put(rows...)
		default:
			s.queue(line)
			s.sayf("Type y or n first. Nothing is written yet.")
			s.offer(changed, rows)
		}
	})
}

// inWords shows a row on one line, in the order of the columns.
func (r Row) inWords() string {
	var parts []string
	for _, c := range model.LogColumns() {
		if v := r[c.Name]; v != "" && c.Name != "time" {
			parts = append(parts, c.Name+" "+v)
		}
	}
	return strings.Join(parts, ", ")
}
