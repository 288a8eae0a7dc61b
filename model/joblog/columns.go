// What a header means, and how the cells below it are read.
//
// A header's cell is a column of the tables in model, a setting, or something that no one knows; a
// unit may stand behind its name. Names are resolved once for all rows (logPlan): each field gets
// its column and the form of its cells in both systems of units. A row then fills a model.Entry by
// what each column's field points at. Most rows of a section say the same names and sizes as the
// row above: the text is compared, and what was read of it is taken over. Rows stand in memory that
// is used again for the next job (rowMemory).

package joblog

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"bayproof/model"
	"bayproof/model/cell"
	"bayproof/model/joblog/journal"
)

// knownColumns are the columns that a file may have.
type knownColumns struct {
	what  string   // "the log"
	must  string   // the column without which no row can be read; empty where there is none
	names []string // the file's own columns, then the settings that are columns of it too
	own   int      // how many of the names are the file's own
	index map[string]int
	table []journal.Column // the file's own but for the job
}

// knownOf are the columns of a table and the settings that may stand beside them. A column job
// belongs to every file, since a folder may hold many jobs.
func knownOf[T any](what, must string, table []model.Column[T], settings func(model.SettingDef) bool) *knownColumns {
	k := &knownColumns{what: what, must: must, index: map[string]int{}, table: journal.Columns(table)}
	for _, c := range k.table {
		k.add(c.Name)
	}
	k.add("job")
	k.own = len(k.names)
	for _, d := range model.SettingDefs() {
		if settings(d) {
			k.add(d.Name)
		}
	}
	return k
}

// add takes a name that is not known yet.
func (k *knownColumns) add(name string) {
	if _, twice := k.index[name]; !twice {
		k.index[name] = len(k.names)
		k.names = append(k.names, name)
	}
}

// coresFile is the file of core samples and test boxes.
const coresFile = "cores.csv"

// bayColumns are the columns of bays.csv; every setting may be a further one.
func bayColumns(table []model.Column[model.Entry]) *knownColumns {
	return knownOf("the log", "bay", table, func(model.SettingDef) bool { return true })
}

// coreColumns are the columns of cores.csv, where no setting may stand.
func coreColumns() *knownColumns {
	return knownOf(coresFile, "weight", model.CoreColumns(), func(model.SettingDef) bool { return false })
}

// sectionColumns are the columns of sections.csv; a setting that a section has for itself may be a
// further one.
func sectionColumns() *knownColumns {
	return knownOf("sections.csv", "section", model.SectionColumns(), func(d model.SettingDef) bool { return d.BySection > 0 })
}

// name finds the known name and the unit that a header's cell stands for; both are empty where no
// one knows it.
func (k *knownColumns) name(title string) (name, unit string) {
	key := headerKey(title)
	if _, ok := k.index[key]; ok {
		return key, ""
	}
	if base, u, ok := cell.SplitHeader(key); ok {
		if _, known := k.index[base]; known {
			return base, u.Symbol
		}
	}
	return "", ""
}

// headerKey is the header as the table of names writes it: lower case, underscores for spaces, a
// unit in brackets too.
func headerKey(title string) string {
	key := strings.ToLower(cell.Text(strings.ReplaceAll(title, "\u00a0", " ")))
	key = strings.Map(func(r rune) rune {
		switch r {
		case '(', '[', ' ', '\t', '-':
			return '_'
		case ')', ']':
			return -1
		}
		return r
	}, key)
	for strings.Contains(key, "__") {
		key = strings.ReplaceAll(key, "__", "_")
	}
	return strings.Trim(key, "_")
}

// plan fills in the sheet's columns and makes the header's faults. It answers false where rows
// cannot be read.
func (k *knownColumns) plan(s *sheet) bool {
	src := model.Source{File: s.file, Line: s.lines.n}
	ok, found := true, 0
	seen := map[string]int{}
	for i, title := range s.header {
		c := column{title: title}
		c.name, c.unit = k.name(title)
		if c.name != "" {
			found++
			c.setting = k.index[c.name] >= k.own
			c.figure = k.figure(c.name)
			if first, twice := seen[c.name]; twice {
				ok = false
				s.f.add(s.place(i), k.repeated(s.header, first, i, c.name), "keep one of them")
			} else {
				seen[c.name] = i
			}
		}
		s.cols = append(s.cols, c)
	}
	if _, there := seen[k.must]; k.must != "" && found > 0 && !there {
		s.f.addf(src, "add a column "+k.must+" to the first row", "%s has no column %s", k.what, k.must)
		ok = false
	}
	if found == 0 {
		s.f.addf(src, "write its columns in the first row: "+strings.Join(k.names[:min(len(k.names), 12)], ", ")+" …", "the first row names no column of %s", k.what)
		return false
	}
	return k.strangers(s) && ok
}

// all tells whether all cells of a row are those of columns of the file.
func (k *knownColumns) all(row map[string]string) bool {
	for name := range row {
		if _, known := k.index[name]; !known {
			return false
		}
	}
	return true
}

// figure is what the cells of a column of the file's own may hold; nil where they are no figures.
func (k *knownColumns) figure(name string) *model.Figure {
	if i := slices.IndexFunc(k.table, func(c journal.Column) bool { return c.Name == name }); i >= 0 {
		return k.table[i].Figure
	}
	return nil
}

// repeated says that two headers are one column: the same name twice, or one quantity in two units.
func (k *knownColumns) repeated(header []string, first, i int, name string) string {
	a, b := strings.TrimSpace(header[first]), strings.TrimSpace(header[i])
	if headerKey(a) == headerKey(b) {
		return fmt.Sprintf("column %s stands twice, in columns %s and %s", name, model.Letter(first+1), model.Letter(i+1))
	}
	return fmt.Sprintf("columns %s and %s both say %s", a, b, name)
}

// maxNamed is how many unknown columns a warning names.
const maxNamed = 8

// strangers warns of columns that no one knows, and refuses those that are most likely a slip of
// the pen.
func (k *knownColumns) strangers(s *sheet) bool {
	ok := true
	first := -1
	for i := range s.cols {
		c := &s.cols[i]
		if c.name != "" {
			continue
		}
		key := headerKey(c.title)
		if key == "" {
			continue
		}
		if base, unit := k.strangeUnit(s, key); base != "" {
			s.f.addf(s.place(i), "write in, ft, mm, cm, m, lb, oz, kg or g", "column %s ends in %s, which is no unit", strings.TrimSpace(c.title), unit)
			ok = false
			continue
		}
		if near := k.near(key); near != "" {
			s.f.addf(s.place(i), "write "+near+", or a name less like it", "no column is called %s", strings.TrimSpace(c.title))
			ok = false
			continue
		}
		if first < 0 {
			first = i
		}
		s.extra = append(s.extra, strings.TrimSpace(c.title))
	}
	if n := len(s.extra); n > 0 {
		what, names := fmt.Sprintf("%d columns are", n), strings.Join(s.extra[:min(n, maxNamed)], ", ")
		if n == 1 {
			what = "1 column is"
		}
		if n > maxNamed {
			names += fmt.Sprintf(" and %d more", n-maxNamed)
		}
		s.f.warn("unknown-column", s.place(first), "%s not used, only kept in the record: %s", what, names)
	}
	return ok
}

// strangeUnit splits a header into a figure's name and what should be its unit, where no other
// column holds that figure.
func (k *knownColumns) strangeUnit(s *sheet, key string) (base, unit string) {
	i := strings.LastIndexByte(key, '_')
	if i <= 0 {
		return "", ""
	}
	base, unit = key[:i], key[i+1:]
	if _, known := k.index[base]; !known || s.field(base) >= 0 {
		return "", ""
	}
	if form, numeric := cell.Column(base, model.US); !numeric || form.Unit.Dimension == model.DimCount {
		return "", ""
	}
	return base, unit
}

// near is the known name that a header is one or two letters off, with or without a unit.
func (k *knownColumns) near(key string) string {
	if near := cell.Nearest(key, k.names); near != "" {
		return near
	}
	if base, u, ok := cell.SplitHeader(key); ok {
		if near := cell.Nearest(base, k.names); near != "" {
			return near + "_" + u.Symbol
		}
	}
	return ""
}

// logPlan is how the rows of one log are read: what each field is, and the form of its cells in
// each system of units.
type logPlan struct {
	sheet    *sheet
	cols     []*model.Column[model.Entry] // by field; nil where the cell is not the row's: a setting, the job, what no one knows
	names    []string                     // by field, empty where no one knows the column
	forms    [2][]cell.Form               // by system of units and field
	jobField int                          // -1 where there is no such column
	settings []int                        // fields
	blank    model.Entry                  // a row that says nothing
}

// planLog resolves the log's columns once for all its rows: a log of a million rows must not look
// names up in each of them. It answers nil where a unit in the header makes no sense.
func planLog(s *sheet, table []model.Column[model.Entry]) *logPlan {
	before := len(s.f.list)
	p := &logPlan{sheet: s, jobField: s.field("job"), blank: model.BlankRow(table), cols: make([]*model.Column[model.Entry], len(s.cols)), names: make([]string, len(s.cols)),
		forms: [2][]cell.Form{make([]cell.Form, len(s.cols)), make([]cell.Form, len(s.cols))}}
	s.cut.ditto = make([]bool, len(s.cols))
	for i, c := range s.cols {
		p.names[i] = c.name
		if c.setting {
			p.settings = append(p.settings, i)
			continue
		}
		for k := range table {
			if col := &table[k]; col.Name == c.name && col.Field != nil {
				p.cols[i] = col
				s.cut.ditto[i] = col.Is == model.ColumnSize && col.Figure != nil
			}
		}
		p.form(i, c)
	}
	if len(s.f.list) > before {
		return nil
	}
	return p
}

// form makes the forms of a column of figures, and refuses a unit that it cannot have.
func (p *logPlan) form(field int, c column) {
	if col := p.cols[field]; col == nil || col.Figure == nil {
		if c.unit != "" {
			p.sheet.f.addf(p.sheet.place(field), "write "+c.name, "column %s can't have a unit", c.title)
		}
		return
	}
	for _, units := range []model.System{model.US, model.SI} {
		form, bad := formOf(c, p.cols[field].Figure, units)
		if bad != nil {
			p.sheet.f.add(p.sheet.place(field), bad.What, bad.Hint)
			return
		}
		p.forms[units][field] = form
	}
}

// formOf is the form of the cells of a column in a system of units, with the unit of its header.
func formOf(c column, fig *model.Figure, units model.System) (cell.Form, *cell.Refusal) {
	form := cell.FormOf(c.name, fig, units)
	if c.unit == "" {
		return form, nil
	}
	u, _ := model.LookupUnit(c.unit)
	return form.WithUnit(u)
}

// rowMemory is where the rows of a job stand: its entries, the cells they keep as written, the
// values they point at, and the bays that they are put together to. It is the one thing of the
// reader that is used again for the next job: a log of a million rows would otherwise be a gigabyte
// of entries that nobody looks at any more. Whoever reads a job says with Unread.Done that its rows
// are.
type rowMemory struct {
	entries []model.Entry
	bays    model.Memory
	cells   []string
	floats  []float64
}

// again gives the memory up for the next job, of at most so many rows.
func (m *rowMemory) again(rows int) {
	if cap(m.entries) < rows {
		m.entries = make([]model.Entry, 0, rows)
	}
	m.entries, m.cells, m.floats = m.entries[:0], m.cells[:0], m.floats[:0]
}

// slab is how many cells or values are made room for at a time.
const slab = 512

// room is where the cells of the next row go: behind those of the rows before it. A row with more
// cells than n, which the header has, may get memory of its own.
func (m *rowMemory) room(n int) []string {
	at := len(m.cells)
	if cap(m.cells)-at < n {
		m.cells, at = make([]string, 0, max(n, min(2*cap(m.cells), 16*slab), slab)), 0
	}
	return m.cells[at:at]
}

// keep takes a row that was cut into room as given.
func (m *rowMemory) keep(row []string) []string {
	n := len(row)
	m.cells = m.cells[:min(len(m.cells)+n, cap(m.cells))]
	return row[:n:n]
}

// values is room for the values of a cell, so that values already handed out never move.
func (m *rowMemory) values() []float64 {
	if cap(m.floats)-len(m.floats) < 8 {
		m.floats = make([]float64, 0, slab)
	}
	return m.floats
}

// rowReader makes entries of the rows of one job.
type rowReader struct {
	plan  *logPlan
	mem   *rowMemory
	forms []cell.Form // by field, in the job's units and with its decimal mark
	f     *faultList
	clock cell.Clock
	line  int  // of the row at hand
	said  bool // the row at hand says its entry
	// What the rows above say, by field. Most rows of a section say the same name and the same
	// sizes again: the text is compared and what was read is taken over, which is much faster than
	// to read it once more and cannot differ from it.
	names []nameAbove
	above []*model.Reading
}

// nameAbove is a name or a text as the row above wrote it, and as it is meant.
type nameAbove struct{ written, name string }

// newRowReader makes the reader of one job's rows after the other.
func newRowReader(plan *logPlan, mem *rowMemory, f *faultList) *rowReader {
	n := len(plan.cols)
	return &rowReader{plan: plan, mem: mem, f: f, forms: make([]cell.Form, n), names: make([]nameAbove, n), above: make([]*model.Reading, n)}
}

// begin makes the reader ready for another job's rows. Its forms are the log's, in the units that
// the job's settings name: in a log of many jobs each may have its own.
func (r *rowReader) begin(settings *model.Settings, comma bool) {
	copy(r.forms, r.plan.forms[settings.Units])
	for i := range r.forms {
		r.forms[i].Comma = comma
	}
	clear(r.names)
	clear(r.above)
	r.clock = cell.Clock{}
	r.clock.Day, _ = cell.Date("date", settings.Date)
}

// next reads a row into a new entry. A bad cell is a fault, and the reading goes on with the next.
func (r *rowReader) next(row []string, line int) {
	r.mem.entries = append(r.mem.entries, r.plan.blank)
	e := &r.mem.entries[len(r.mem.entries)-1]
	e.Src, e.Cells = model.Source{File: r.plan.sheet.file, Line: line}, row
	e.Size.Src = e.Src
	r.line, r.said = line, false
	for i, s := range row {
		if s == "" || r.plan.cols[i] == nil {
			continue
		}
		if bad := r.cell(e, i, s); bad != nil {
			r.f.add(model.Source{File: r.plan.sheet.file, Line: line, Col: i + 1}, bad.What, bad.Hint)
		}
	}
	if !r.said {
		e.Kind = model.EntrySize
		if e.Material.Kind != model.MaterialNone {
			e.Kind = model.EntryFill
		}
	}
}

// cell reads one cell that is not empty: what its value goes into says how.
func (r *rowReader) cell(e *model.Entry, field int, s string) (bad *cell.Refusal) {
	col, form := r.plan.cols[field], &r.forms[field]
	switch to := col.Field(e).(type) {
	case *model.Reading:
		bad = r.size(to, form, field, s)
	case *model.Material:
		bad = r.material(to, col.Name, form, s)
	case *float64:
		*to, bad = form.Number(s)
	case *[]float64:
		*to, r.mem.floats, bad = form.List(s, r.mem.values())
	case *model.EntryKind:
		var k model.EntryKind
		if k, r.said, bad = cell.Entry(s); r.said {
			*to = k
		}
	case *model.Shape:
		*to, bad = cell.Shape(s)
	case *model.Answer:
		*to, bad = cell.Stalled(col.Name, s)
	case *model.Look:
		*to, bad = cell.Look(s)
	case *model.Feed:
		*to, bad = cell.Feed(s)
	case *[]model.Stop:
		*to, bad = form.Stops(s)
	case *time.Time:
		*to, bad = r.clock.Time(s)
	case *[]string:
		*to = cell.Photos(s)
	case *string:
		if col.Is == model.ColumnName {
			*to = r.name(field, s)
		} else if above := &r.names[field]; s == above.written {
			*to = above.name
		} else {
			*to = cell.Text(s)
			*above = nameAbove{s, *to}
		}
	default:
		panic("a column whose cells nobody reads: " + col.Name)
	}
	return bad
}

// name reads a name, and warns of what does not show in it.
func (r *rowReader) name(field int, s string) string {
	above := &r.names[field]
	if s != above.written {
		*above = nameAbove{s, cell.Name(s)}
		if len(above.name) != len(s) {
			r.unseen(above.name, s, field)
		}
	}
	return above.name
}

// size reads a size; the text of the one above it is not read again.
func (r *rowReader) size(to *model.Reading, form *cell.Form, field int, s string) (bad *cell.Refusal) {
	if above := r.above[field]; above != nil && above.Raw == s {
		*to = *above
	} else {
		r.mem.floats, bad = form.Reading(s, to, r.mem.values())
	}
	to.Line, to.Col = int32(r.line), int16(field+1)
	if bad == nil {
		r.above[field] = to
	}
	return bad
}

// material reads one of the three columns that say what went in; two of them on one row are a
// fault, but for a counter beside a weight, which some entries may have.
func (r *rowReader) material(to *model.Material, column string, form *cell.Form, s string) (bad *cell.Refusal) {
	m := to
	if to.Kind != model.MaterialNone {
		m = new(model.Material) // the second one is read all the same: it may be blank, or at fault itself
	}
	switch column {
	case model.MaterialBags.Column():
		bad = form.Bags(s, model.MaterialBags, m)
	case model.MaterialCounter.Column():
		bad = form.Bags(s, model.MaterialCounter, m)
	default:
		bad = form.Weight(s, m)
	}
	if bad != nil {
		to.Kind = model.MaterialBags // so that the row is taken for what it is
		return bad
	}
	switch counter, weight := model.MaterialCounter, model.MaterialWeight; {
	case m.Kind == model.MaterialNone || m == to:
	case to.Kind == counter && m.Kind == weight && !to.Shared:
		to.Kind, to.Mass, to.Within, to.Raw, to.Beside = weight, m.Mass, m.Within, m.Raw, true
	case to.Kind == weight && m.Kind == counter && !m.Shared:
		to.Bags, to.Beside = m.Bags, true
	default:
		return &cell.Refusal{What: "this row says the material twice: " + to.Raw + " and " + m.Raw,
			Hint: "keep one of bags, counter and weight"}
	}
	return nil
}

// unseen warns of the first name of a job that lost characters which do not show.
func (r *rowReader) unseen(name, written string, field int) {
	c, lost := cell.Unseen(written)
	if !lost {
		return
	}
	for _, w := range r.f.warnings {
		if w.Code == "invisible" {
			return
		}
	}
	src := model.Source{File: r.plan.sheet.file, Line: r.line, Col: field + 1}
	r.f.warn("invisible", src, "%[2]U does not show and is left out of the name %[1]s, here first. Type the name again", name, c)
}
