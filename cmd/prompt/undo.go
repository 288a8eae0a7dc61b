package prompt

import (
	"strings"

	"bayproof/model"
	"bayproof/model/cell"
)

// undo takes back the last entry of this session by further rows: nothing in the log is ever changed. A fill or a size
// is withdrawn; whatever else was said of a filled bay is taken back by stating the bay anew as it stood before.
func (s *Session) undo() {
	if len(s.own) == 0 {
		s.sayf("nothing of this session to take back")
		return
	}
	last := s.own[len(s.own)-1]
	rows, why := s.undoing(last)
	if why != "" {
		s.sayf("%s", why)
		return
	}
	job, faults := s.book.Try(rows...)
	if len(faults) > 0 {
		s.refuse(faults)
		return
	}
	s.own = s.own[:len(s.own)-1]
	kept := s.own
	s.sayf("taken back: %s", last.row.inWords())
	s.write(rows, rows, job, findings(job, s.section))
	if s.ask == nil {
		s.own = kept
	}
}

// undoing returns the rows that take an entry back, or why nothing can.
func (s *Session) undoing(d deed) (rows []Row, why string) {
	section, name, entry := d.row["section"], d.row["bay"], d.row["entry"]
	before, reading := bayOf(d.before, section, name), lastReading(d.before)
	switch {
	case entry == "set":
		return nil, "a changed setting cannot be taken back; set the right one and it holds from here"
	case entry == "count":
		start := "0"
		if reading != nil {
			start = reading.Material.Raw
		}
		return []Row{s.rowIn(section, "", Row{"entry": "count", "counter": start})}, ""
	case entry == "closed":
		return nil, "that it was closed stays a fact; open it, log what was found, and close it again"
	case entry == "fill", entry == "size", before != nil && before.Struck:
		return []Row{s.rowIn(section, name, Row{"entry": "strike", "note": "typed by mistake"})}, ""
	case before == nil || before.Fill == nil:
		return nil, "this cannot be taken back; strike withdraws the bay"
	}
	rows = s.restate(before)
	if d.row["counter"] != "" && reading != nil {
		rows = append(rows, s.rowIn("", "", Row{"entry": "count", "counter": reading.Material.Raw}))
	}
	return rows, ""
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
	return row
}

// restate returns rows that say again all that holds of a filled bay: its fill with its sizes as an amend, then pieces,
// top-ups, losses and what was seen. A top-up by the counter is said in bags, since its reading stands where it was; the
// counter then starts anew from its last reading.
func (s *Session) restate(b *model.Bay) []Row {
	head := cells(s.job.Columns, b.Fill)
	head["entry"] = "amend"
	restateSizes(b.Pieces[0], head)
	rows := []Row{s.rowIn(b.Section.Name, b.Name, head)}
	counted := false
	for _, e := range besides(b) {
		row := cells(s.job.Columns, e)
		row["entry"] = e.Kind.String()
		if e.Kind == model.EntryTopup && row["counter"] != "" {
			delete(row, "counter")
			row["bags"] = cell.FormatNumber(e.Material.Bags - e.Material.Prev)
			counted = true
		}
		rows = append(rows, s.rowIn(b.Section.Name, b.Name, row))
	}
	if counted {
		rows = append(rows, s.rowIn("", "", Row{"entry": "count", "counter": lastReading(s.job).Material.Raw}))
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

// restateSizes writes the sizes of a bay as they stand, so that an amend says them again.
func restateSizes(p *model.Piece, row Row) {
	if p.Shape != model.ShapeUnsaid && row["shape"] == "" {
		row["shape"] = p.Shape.String()
	}
	names := model.SizeNames()
	for i, r := range p.Readings() {
		switch r.State {
		case model.Measured:
			row[names[i]] = r.Raw
		case model.Ditto:
			row[names[i]] = `"`
		}
	}
}
