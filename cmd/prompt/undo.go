package prompt

import (
	"maps"
	"slices"
	"strings"

	"bayproof/model"
	"bayproof/model/cell"
)

// undo takes back the last entry of this sitting: a strike for each of its rows, the last one
// first, which names the kind of row that it takes back. Nothing in the log is ever changed; it
// reads from then on as if those rows had not been written, so that the bay can be typed again. A
// row of cores.csv, which no strike can name, is taken out of that file.
func (s *Session) undo() {
	if s.bad != nil { // who types undo means the line above
		s.bad = nil
		s.refusals--
		s.sayf("The line above was not written. undo once more takes back the entry before it.")
		return
	}
	if len(s.own) == 0 {
		s.sayf("Nothing to take back.")
		return
	}
	at := len(s.own) - 1
	last := s.own[at]
	if at > 0 && s.own[at-1].core["kind"] == testBox && last.core == nil && last.rows[0]["note"] == testBox { // one entry wrote both
		at--
	}
	core := s.own[at].core
	if last.core != nil {
		if s.uncored(core) {
			s.own = s.own[:at]
		}
		return
	}
	var rows []Row
	for _, row := range slices.Backward(last.rows) {
		strike := Row{"entry": "strike", "note": row["entry"]}
		if row["machine"] != "" && row["bay"] == "" {
			strike["machine"] = row["machine"]
		}
		rows = append(rows, s.rowIn(row["section"], row["bay"], strike))
	}
	job, faults := s.book.Try(rows...)
	if len(faults) > 0 {
		s.refuse(faults)
		return
	}
	s.own = s.own[:at]
	kept := s.own
	for _, row := range last.rows {
		s.sayf("Taken back: %s", row.inWords())
	}
	s.write(rows, rows, job)
	if s.ask == nil {
		s.own = kept
		if core != nil {
			s.uncored(core)
		}
	}
}

// uncored takes a row out of the file of cores and test boxes again, and tells whether it could.
func (s *Session) uncored(core Row) bool {
	if err := s.book.TakeBackCore(); err != nil {
		s.sayf("Not taken back: %s", err)
		return false
	}
	if job, faults := s.book.Job(); len(faults) == 0 {
		s.take(job)
	}
	s.sayf("Taken back: %s, %s", s.kind(core), core["weight"])
	return true
}

// rowIn adds what a row of a section has; both names may be empty, of a row that belongs to no bay.
func (s *Session) rowIn(section, bay string, row Row) Row {
	if section != "" {
		row["section"] = section
	}
	if bay != "" {
		row["bay"] = bay
	}
	if s.opt.By != "" {
		row["by"] = s.opt.By
	}
	switch row["entry"] { // what runs through a machine
	case "fill", "count", "set", "empties", "elsewhere":
		if s.machine != "" && row["machine"] == "" {
			row["machine"] = s.machine
		}
	}
	return row
}

// fix mends a slip in the last entry of a bay: the row that says the column is said again with what
// is typed now. A fill keeps its place, and what it says else; what was replaced stays in the log,
// struck through.
func (s *Session) fix(tail string) {
	if s.bad != nil && !s.bad.fix {
		s.fixRefused(tail)
		return
	}
	s.bad = nil
	defer func() {
		if s.bad != nil {
			s.bad.fix = true
		}
	}()
	b, tokens := s.target(tail)
	if b == nil && len(tokens) > 0 {
		s.noBay(tokens)
		return
	}
	if len(tokens) == 0 {
		s.usagef("Fix what? As in: fix width 22.5, or fix b7 bags 2")
		return
	}
	s.parsed(tokens, func(t typed) {
		if len(t.loose) > 0 || len(t.said) == 0 {
			s.refusef("Say what it is too, as in: fix width 22.5")
			return
		}
		if rows := s.mended(b, t.said); rows != nil {
			s.put(rows...)
			return
		}
		s.refusef("No row of %s says %s.", b.Name, t.said.inWords())
	})
}

// fixRefused mends the line above, which was not written, and writes it.
func (s *Session) fixRefused(tail string) {
	if len(s.bad.rows) != 1 {
		s.refusef("The line above was not understood. Type it again.")
		return
	}
	row := maps.Clone(s.bad.rows[0])
	tokens := strings.Fields(tail)
	if len(tokens) > 0 && strings.EqualFold(tokens[0], row["bay"]) {
		tokens = tokens[1:]
	}
	t, err := parseWords(s.say.Units, tokens)
	if err != nil || len(t.loose) > 0 || len(t.said) == 0 {
		s.refusef("Fix what of %s? As in: fix width 22.5", row["bay"])
		return
	}
	change(row, t.said)
	s.put(row)
}

// mended returns the rows that say a bay's rows again with some cells changed; nil where none of
// its rows can say them. A fill is amended. Any other row is taken back with those of its kind
// after it, and all of them are written again.
func (s *Session) mended(b *model.Bay, said Row) []Row {
	row := lastSaying(b, said)
	if row == nil {
		return nil
	}
	if row.Kind == model.EntryFill || row.Kind == model.EntryAmend {
		rows := s.restate(b, row)
		change(rows[0], said)
		return rows
	}
	var strikes, again []Row
	for _, e := range b.Rows[slices.Index(b.Rows, row):] {
		if e.Kind != row.Kind || b.Dead[e] != "" {
			continue
		}
		strikes = append(strikes, s.rowIn(b.Section.Name, b.Name, Row{"entry": "strike", "note": e.Kind.String()}))
		cells := cells(s.job.Columns, e)
		cells["entry"] = e.Kind.String()
		if e == row {
			change(cells, said)
		}
		again = append(again, s.rowIn(b.Section.Name, b.Name, cells))
	}
	return append(strikes, again...)
}

// change puts cells into a row; of what went in only one column is said.
func change(row, said Row) {
	for column, text := range said {
		beside := row["weight"] != "" && row["counter"] != ""
		if material := []string{"bags", "counter", "weight"}; slices.Contains(material, column) && !beside {
			for _, other := range material {
				delete(row, other)
			}
		}
		row[column] = text
	}
}

// lastSaying is the last row in force of a bay that says one of the columns, else its fill, else
// its last row in force that may say them.
func lastSaying(b *model.Bay, said Row) (row *model.Entry) {
	columns := slices.DeleteFunc(model.LogColumns(), func(c model.Column[model.Entry]) bool { return said[c.Name] == "" })
	var otherwise *model.Entry
	for _, e := range b.Rows {
		if b.Dead[e] != "" || e.Kind == model.EntryStrike {
			continue
		}
		if slices.ContainsFunc(columns, func(c model.Column[model.Entry]) bool { return c.Said(e) }) {
			row = e
		}
		if e.Kind == model.EntryFill || e.Kind == model.EntryAmend || e.Kind == model.EntrySize && otherwise == nil {
			otherwise = e
		}
	}
	if row == nil {
		return otherwise
	}
	return row
}

// filling is the row that says what went into a bay, one that waits for its sizes too; nil where
// none does, as of no bay.
func filling(b *model.Bay) *model.Entry {
	if b == nil {
		return nil
	}
	for _, e := range slices.Backward(b.Rows) {
		if (e.Kind == model.EntryFill || e.Kind == model.EntryAmend) && b.Dead[e] == "" && !b.Struck {
			return e
		}
	}
	return nil
}

// amountOf is what the fill in force of a bay says went in.
func amountOf(b *model.Bay) Row {
	m := filling(b)
	switch {
	case m == nil:
		return Row{}
	case m.Material.Shared:
		return Row{m.Material.Kind.Column(): "shared"}
	}
	return Row{m.Material.Kind.Column(): m.Material.Raw}
}

// restate returns rows that say again all that holds of a bay with a fill: its fill with its sizes
// as an amend, then pieces, top-ups, losses and what was seen. A top-up by the counter is said in
// bags, since its reading stands where it was; the counter then starts anew from its last reading.
func (s *Session) restate(b *model.Bay, fill *model.Entry) []Row {
	head := cells(s.job.Columns, fill)
	head["entry"] = "amend"
	restateSizes(b.Pieces[0], head, s.job.Settings.Units)
	rows := []Row{s.rowIn(b.Section.Name, b.Name, head)}
	counted := false
	for _, e := range besides(b) {
		row := cells(s.job.Columns, e)
		row["entry"] = e.Kind.String()
		if e.Kind == model.EntrySize { // its sizes stand in the amend
			row["entry"] = model.EntrySeen.String()
			delete(row, "shape")
			for _, name := range model.SizeNames() {
				delete(row, name)
			}
		}
		if e.Kind == model.EntryTopup && row["counter"] != "" {
			delete(row, "counter")
			if row["weight"] == "" {
				row["bags"] = cell.FormatNumber(e.Material.Bags - e.Material.Prev)
			}
			counted = true
		}
		rows = append(rows, s.rowIn(b.Section.Name, b.Name, row))
	}
	if counted {
		last, _ := s.lastReading()
		rows = append(rows, s.rowIn("", "", Row{"entry": "count", "counter": cell.FormatNumber(last)}))
	}
	return rows
}

// cells returns a row of the log by its columns, without its time: what is said again is said now.
func cells(columns []string, e *model.Entry) Row {
	row := Row{}
	for i, text := range e.Cells {
		if i < len(columns) && columns[i] != "" && columns[i] != "time" && !cell.Blank(text) {
			row[columns[i]] = strings.TrimSpace(text)
		}
	}
	return row
}

// restateSizes writes the sizes of a bay as they stand, so that an amend says them again. What was
// read in several cells may have had several units: it is written in one.
func restateSizes(p *model.Piece, row Row, units model.System) {
	if p.Shape != model.ShapeUnsaid && row["shape"] == "" {
		row["shape"] = p.Shape.String()
	}
	names := model.SizeNames()
	for i, r := range p.Readings() {
		switch {
		case r.State == model.Ditto:
			row[names[i]] = `"`
		case r.State == model.Owed:
			row[names[i]] = "?"
		case r.State == model.Measured && len(r.Values) == 1:
			row[names[i]] = r.Raw
		case r.State == model.Measured:
			row[names[i]] = cell.FormatReadings(r, units.Unit(model.ShowSize))
		}
	}
}
