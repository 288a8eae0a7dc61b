package prompt

import (
	"errors"
	"strings"

	"bayproof/model"
	"bayproof/report/say"
	"bayproof/verify"
)

// submit makes a row of a whole draft and puts it to the log.
func (s *Session) submit(d draft) {
	row := Row{}
	for k, v := range d.said {
		row[k] = v
	}
	b := s.bay(d.name)
	s.sizesOf(d, b, row)
	if d.mass != "" {
		row[s.columnOf(d.mass)] = d.mass
	}
	if d.mass == "" && !d.amountSaid() && b != nil && b.Fill != nil && !measured(b) && len(d.sizes) > 0 {
		s.sizeLater(b, row)
		return
	}
	filled := row["bags"] != "" || row["counter"] != "" || row["weight"] != ""
	switch {
	case d.kind == "amend" || filled && b != nil && b.Struck && everFilled(b):
		row["entry"] = "amend"
	case filled:
		row["entry"] = "fill"
	default:
		row["entry"] = "size"
	}
	again := func() {}
	if d.stepped {
		again = func() { s.again(d) }
	}
	s.putOr(again, s.rowOf(d.name, row))
}

// again asks anew for what went in, with the sizes that were typed one by one kept.
func (s *Session) again(d draft) {
	var kept []string
	names := sizeNames(d.said["shape"])
	for i, size := range d.sizes {
		if size == `"` {
			size = "as above"
		}
		kept = append(kept, names[i]+" "+size)
	}
	s.sayf("  kept: %s; say again what went in, or cancel to drop the entry", strings.Join(kept, ", "))
	for _, column := range []string{"bags", "counter", "weight"} {
		delete(d.said, column)
	}
	d.kind, d.mass = "", ""
	s.askMass(d)
}

// rowOf adds what every row has.
func (s *Session) rowOf(bay string, row Row) Row {
	if s.section != "" {
		row["section"] = s.section
	}
	if bay != "" {
		row["bay"] = bay
	}
	if s.opt.By != "" && row["by"] == "" {
		row["by"] = s.opt.By
	}
	return row
}

// put tries rows against the whole log, asks once about what looks odd, and writes them.
func (s *Session) put(rows ...Row) { s.putOr(func() {}, rows...) }

// putOr is put, and goes on with otherwise where the rows cannot be written.
func (s *Session) putOr(otherwise func(), rows ...Row) {
	for _, row := range rows {
		if bad := plain(row, s.job.Settings.Units); bad != nil {
			s.sayf("  not written: %s", bad.What)
			s.sayf("  %s", bad.Hint)
			otherwise()
			return
		}
	}
	job, faults := s.book.Try(rows...)
	if len(faults) > 0 {
		s.refuse(faults)
		otherwise()
		return
	}
	f := findings(job, s.section)
	write := func() { s.write(rows, rows, job, f) }
	if doubt := s.doubt(rows, job, f); doubt != "" {
		s.question("  "+doubt+" right? [y/n] ", func(line string) { s.settle(line, write) })
		return
	}
	write()
}

// settle takes the answer to a doubt: yes writes, no drops, a bay's line instead is taken as the correction.
func (s *Session) settle(line string, write func()) {
	answer, known := model.ParseAnswer(line)
	switch {
	case answer == model.Yes:
		write()
	case known || line == "":
		s.sayf("  dropped; type it again")
	default:
		s.rest(line)
	}
}

// refuse says why rows cannot be written.
func (s *Session) refuse(faults []model.Fault) {
	last := 0
	if n := len(s.job.Log); n > 0 {
		last = s.job.Log[n-1].Src.Line
	}
	s.tell(faults, func(src model.Source) bool { // the rows just typed would come after the last
		return src.File == "" || src.File == s.job.Inputs[0].File && src.Line > last
	})
}

// tell lists faults with their place, but for those whose place says nothing to who is typing.
func (s *Session) tell(faults []model.Fault, placeless func(model.Source) bool) {
	for i, fault := range faults {
		if i == 3 {
			s.sayf("  and %d more", len(faults)-i)
			break
		}
		where := ""
		if src := fault.Src; !placeless(src) {
			src.Col = 0 // nobody counts fields at a prompt
			where = say.Place(src) + ": "
		}
		s.sayf("  not written: %s%s", where, fault.What)
		if fault.Hint != "" {
			s.sayf("  %s", fault.Hint)
		}
	}
}

// write appends the rows still to come, one write each; all is the whole entry, job what the log then says.
func (s *Session) write(rest, all []Row, job *model.Job, f *verify.Findings) {
	for i, row := range rest {
		err := s.book.Append(row)
		switch {
		case errors.Is(err, ErrChanged):
			s.reconcile(rest[i:])
			return
		case err != nil:
			s.retry(rest[i:], all, job, f, err)
			return
		}
	}
	before, old := s.job, s.f
	for _, row := range all {
		s.own = append(s.own, deed{row: row, before: before})
	}
	s.accept(job, f)
	s.reply(all, old)
}
