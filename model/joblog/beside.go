package joblog

import (
	"bayproof/model"
	"bayproof/model/cell"
)

// jobKnown are the columns of job.csv.
func jobKnown() *knownColumns {
	k := newKnown("job.csv")
	k.add(0, "name", "value")
	return k
}

// readJob reads job.csv: a setting a row.
func (r *reader) readJob() {
	file := r.name("job.csv")
	text, ok := r.text(file, false)
	if !ok || allBlank([]string{text}) {
		return
	}
	s, ok := openSheet(file, text, jobKnown(), &r.f)
	if !ok {
		return
	}
	name, value := s.field("name"), s.field("value")
	if name < 0 || value < 0 {
		r.f.add(model.Source{File: file, Line: s.lines.n}, "job.csv has the columns name and value", "its first row is name,value")
		return
	}
	comma := tableComma(s.lines, s, &r.f, func(i int) bool { return i == value })
	for {
		row, line, more := s.next()
		if !more {
			return
		}
		key := headerKey(at(row, name))
		src := model.Source{File: file, Line: line, Col: name + 1}
		switch known, _ := r.resolver.Known(key); {
		case known:
			src.Col = value + 1
			r.given = append(r.given, Given{Name: key, Text: at(row, value), Src: src, Comma: comma})
		case key == "":
			r.f.add(src, "a value without a name", "bayproof fields lists the settings")
		default:
			r.strangeSetting(src, key)
		}
	}
}

// strangeSetting refuses a name that is nearly a setting, and warns of any other.
func (r *reader) strangeSetting(src model.Source, key string) {
	var names []string
	for _, d := range model.SettingDefs() {
		names = append(names, d.Name)
	}
	if near := cell.Nearest(key, names); near != "" {
		r.f.addf(src, "write "+near, "setting %s: %s?", key, near)
		return
	}
	r.f.warn("unknown-setting", src, "%s: no such setting, not used", key)
}

// field is the column of a name, -1 where there is none.
func (s *sheet) field(name string) int {
	for i, c := range s.cols {
		if c.name == name {
			return i
		}
	}
	return -1
}

// at is a cell of a row that may be short.
func at(row []string, field int) string {
	if field < 0 || field >= len(row) {
		return ""
	}
	return row[field]
}

// rawTable is a table that is read for every job anew, since its cells depend on the job's units.
type rawTable struct {
	sheet *sheet
	comma bool
	rows  []rawRow
}

type rawRow struct {
	line  int
	cells []string
}

// table reads the rows of a file beside the log; nil where there is none.
func (r *reader) table(base string, k *knownColumns) *rawTable {
	file := r.name(base)
	text, ok := r.text(file, false)
	if !ok || allBlank([]string{text}) {
		return nil
	}
	s, ok := openSheet(file, text, k, &r.f)
	if !ok {
		return nil
	}
	t := &rawTable{sheet: s}
	s.cut.ditto = make([]bool, len(s.cols))
	t.comma = tableComma(s.lines, s, &r.f, func(i int) bool { _, num := cell.Column(s.cols[i].name, model.US); return num })
	for {
		row, line, more := s.next()
		if !more {
			return t
		}
		t.rows = append(t.rows, rawRow{line, row})
	}
}
