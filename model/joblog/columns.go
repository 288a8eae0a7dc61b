package joblog

import (
	"fmt"
	"math"
	"strings"

	"bayproof/model"
	"bayproof/model/cell"
)

// maxColumns is more than any log has; a file with more is not one.
const maxColumns = 500

// knownColumns are the columns that a file may have.
type knownColumns struct {
	names []string
	kinds []int
	what  string   // "the log"
	must  []string // columns without which no row can be read
	index map[string]int
}

func newKnown(what string) *knownColumns {
	return &knownColumns{what: what, index: map[string]int{}}
}

func (k *knownColumns) add(kind int, names ...string) {
	for _, n := range names {
		if _, twice := k.index[n]; twice {
			continue
		}
		k.index[n] = len(k.names)
		k.names = append(k.names, n)
		k.kinds = append(k.kinds, kind)
	}
}

// name finds the known name and the unit that a header's cell stands for; both are empty where no one knows it.
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

// headerKey is the header as the table of names writes it: lower case, underscores for spaces, a unit in brackets too.
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

// plan fills in the sheet's columns and makes the header's faults. It answers false where rows cannot be read.
func (k *knownColumns) plan(s *sheet) bool {
	src := model.Source{File: s.file, Line: s.lines.n}
	if len(s.header) > maxColumns {
		s.f.addf(src, "is it the right file?", "%d columns; %s has %d at most that anyone knows", len(s.header), k.what, len(k.names))
		return false
	}
	ok, found := true, 0
	seen := map[string]int{}
	for i, title := range s.header {
		c := column{title: title}
		c.name, c.unit = k.name(title)
		if c.name != "" {
			found++
			c.kind = k.kinds[k.index[c.name]]
			if first, twice := seen[c.name]; twice {
				ok = false
				s.f.add(s.place(i), k.repeated(s.header, first, i, c.name), "keep one of them")
			} else {
				seen[c.name] = i
			}
		}
		s.cols = append(s.cols, c)
	}
	for _, name := range k.must {
		if _, there := seen[name]; found > 0 && !there {
			s.f.addf(src, "add it to the first row", "%s has no column %s", k.what, name)
			ok = false
		}
	}
	if found == 0 {
		s.f.addf(src, "its columns are "+strings.Join(k.names[:min(len(k.names), 12)], ", ")+" …", "the first row names no column of %s", k.what)
		return false
	}
	return k.strangers(s) && ok
}

func (k *knownColumns) repeated(header []string, first, i int, name string) string {
	a, b := strings.TrimSpace(header[first]), strings.TrimSpace(header[i])
	if headerKey(a) == headerKey(b) {
		return fmt.Sprintf("column %s stands twice, in columns %d and %d", name, first+1, i+1)
	}
	return fmt.Sprintf("columns %s and %s both say %s", a, b, name)
}

// maxNamed is how many unknown columns a warning names.
const maxNamed = 8

// strangers warns of columns that no one knows, and refuses those that are most likely a slip of the pen.
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
			s.f.addf(s.place(i), "known are in, ft, mm, cm, m, lb, oz, kg, g", "column %s: %s is no unit that is known", strings.TrimSpace(c.title), unit)
			ok = false
			continue
		}
		if near := k.near(key); near != "" {
			s.f.addf(s.place(i), "write "+near+", or a name that is farther off", "column %s: %s?", strings.TrimSpace(c.title), near)
			ok = false
			continue
		}
		if first < 0 {
			first = i
		}
		s.extra = append(s.extra, strings.TrimSpace(c.title))
	}
	if first >= 0 {
		s.f.warn("unknown-column", s.place(first), "%s: kept in the record, not used: %s", plural(len(s.extra), "column that no one knows", "columns that no one knows"), nameSome(s.extra))
	}
	return ok
}

// strangeUnit splits a header into a figure's name and what should be its unit, where no other column holds that figure.
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

func nameSome(names []string) string {
	if len(names) <= maxNamed {
		return strings.Join(names, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(names[:maxNamed], ", "), len(names)-maxNamed)
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// What a reader of the log makes of a column. Sizes stand together: colSize and the six after it are the readings of a
// piece in the order of model.Piece.Readings.
const (
	colExtra = iota
	colJob
	colSection
	colBay
	colEntry
	colShape
	colSize
	colWidth2
	colDepth
	colDepth2
	colLength
	colLength2
	colBulge
	colBags
	colCounter
	colWeight
	colReach
	colHole
	colStall
	colProbe
	colAt
	colPhoto
	colBy
	colNote
	colTime
	colSetting
	colKinds // how many there are
)

// bayColumns are the columns of bays.csv in the order of the format, and every setting as a further column.
func bayColumns() *knownColumns {
	k := newKnown("the log")
	k.must = []string{"bay"}
	for i, name := range []string{"section", "bay", "entry", "shape", "width", "width2", "depth", "depth2", "length", "length2",
		"bulge", "bags", "counter", "weight", "reach", "hole", "stall", "probe", "at", "photo", "by", "note", "time"} {
		k.add(colSection+i, name)
	}
	k.add(colJob, "job")
	for _, d := range model.SettingDefs() {
		k.add(colSetting, d.Name)
	}
	return k
}

// logPlan is how the rows of one log are read: what each field is, and the form of its cells in each system of units.
type logPlan struct {
	sheet    *sheet
	kind     []int    // by field
	names    []string // by field, empty where no one knows the column
	forms    [2][colKinds]cell.Form
	jobField int // -1 where there is no such column
	settings []int
}

// planLog resolves the log's columns once for all its rows. It answers nil where a unit in the header makes no sense.
func planLog(s *sheet) *logPlan {
	before := len(s.f.list)
	p := &logPlan{sheet: s, jobField: -1, kind: make([]int, len(s.cols)), names: make([]string, len(s.cols))}
	s.cut.ditto = make([]bool, len(s.cols))
	for _, units := range []model.System{model.US, model.SI} {
		for i, c := range s.cols {
			p.kind[i], p.names[i] = c.kind, c.name
			switch {
			case c.kind == colJob:
				p.jobField = i
			case c.kind == colSetting && units == model.US:
				p.settings = append(p.settings, i)
			case c.kind >= colSize && c.kind <= colBulge:
				s.cut.ditto[i] = true
			}
			p.form(units, i, c)
		}
	}
	if len(s.f.list) > before {
		return nil
	}
	return p
}

// form makes the form of a numeric column.
func (p *logPlan) form(units model.System, field int, c column) {
	form, ok := cell.Column(c.name, units)
	if !ok || c.kind == colSetting {
		if c.unit != "" && c.kind != colSetting && units == model.US {
			p.sheet.f.addf(p.sheet.place(field), "write "+c.name, "column %s has no unit", c.title)
		}
		return
	}
	if c.unit != "" {
		u, _ := model.LookupUnit(c.unit)
		with, bad := form.WithUnit(u)
		if bad != nil {
			if units == model.US {
				p.sheet.f.add(p.sheet.place(field), bad.What, bad.Hint)
			}
			return
		}
		form = with
	}
	p.forms[units][c.kind] = form
}

// rowReader makes entries of the rows of one log. Its slab holds the values that the entries point at; it is taken again for
// the next job where the caller is done with the last one.
type rowReader struct {
	plan    *logPlan
	byUnits [2][colKinds]cell.Form
	forms   *[colKinds]cell.Form // those of the job's units
	f       *faultList
	clock   cell.Clock
	file    string
	floats  []float64
	line    int  // of the row at hand
	said    bool // the row at hand says its entry
	// What the rows above say, since most rows say it again.
	written, section string                                 // the last section, as written and its name
	above            [colBulge - colSize + 1]*model.Reading // by size
}

// read fills e from a row. A bad cell is a fault, and the reading goes on with the next.
func (r *rowReader) read(e *model.Entry, row []string, line int) {
	e.Src = model.Source{File: r.file, Line: line}
	e.Hole, e.At = math.NaN(), math.NaN()
	e.Material.Within = math.NaN()
	e.Cells = row
	r.line, r.said = line, false
	for i, s := range row {
		if s == "" {
			continue
		}
		if bad := r.cell(e, i, s); bad != nil {
			r.f.add(model.Source{File: r.file, Line: line, Col: i + 1}, bad.What, bad.Hint)
		}
	}
	if !r.said {
		e.Kind = model.EntrySize
		if e.Material.Kind != model.MaterialNone {
			e.Kind = model.EntryFill
		}
	}
}

// cell reads one cell that is not empty.
func (r *rowReader) cell(e *model.Entry, field int, s string) (bad *cell.Refusal) {
	switch kind := r.plan.kind[field]; kind {
	case colSection:
		if s != r.written {
			if r.written, r.section = s, cell.Name(s); len(r.section) != len(s) {
				r.unseen(r.section, s, field)
			}
		}
		e.Section = r.section
	case colBay:
		if e.Bay = cell.Name(s); len(e.Bay) != len(s) {
			r.unseen(e.Bay, s, field)
		}
	case colEntry:
		var k model.EntryKind
		if k, r.said, bad = cell.Entry(s); r.said {
			e.Kind = k
		}
	case colShape:
		e.Size.Shape, bad = cell.Shape(s)
	case colSize, colWidth2, colDepth, colDepth2, colLength, colLength2, colBulge:
		bad = r.size(sizeReading(&e.Size, kind), kind, field, s)
	case colBags, colCounter, colWeight:
		bad = r.material(e, kind, s)
	case colReach:
		e.Reach, r.floats, bad = r.forms[kind].List(s, r.grown())
	case colHole:
		e.Hole, bad = r.forms[kind].Number(s)
	case colAt:
		e.At, bad = r.forms[kind].Number(s)
	case colTime:
		e.Time, bad = r.clock.Time(s)
	default:
		bad = r.words(e, kind, s)
	}
	return bad
}

// size reads a size; the text of the one above it is not read again.
func (r *rowReader) size(to *model.Reading, kind, field int, s string) (bad *cell.Refusal) {
	above := r.above[kind-colSize]
	if above != nil && above.Raw == s {
		*to = *above
	} else {
		r.floats, bad = r.forms[kind].Reading(s, to, r.grown())
	}
	to.Line, to.Col = int32(r.line), int16(field+1)
	if bad == nil {
		r.above[kind-colSize] = to
	}
	return bad
}

// words reads the cells that are no numbers.
func (r *rowReader) words(e *model.Entry, kind int, s string) (bad *cell.Refusal) {
	switch kind {
	case colStall:
		e.Stall, bad = cell.YesNo("stall", s)
	case colProbe:
		e.Probe, bad = cell.Probe(s)
	case colPhoto:
		e.Photos = cell.Photos(s)
	case colBy:
		e.By = cell.Text(s)
	case colNote:
		e.Note = cell.Text(s)
	}
	return bad
}

// material reads one of the three columns that say what went in; two of them on one row are a fault.
func (r *rowReader) material(e *model.Entry, kind int, s string) *cell.Refusal {
	m := &e.Material
	if m.Kind != model.MaterialNone {
		m = new(model.Material)
	}
	if bad := r.figure(m, kind, s); bad != nil {
		e.Material.Kind = model.MaterialBags // so that the row is taken for what it is
		return bad
	}
	if m.Kind != model.MaterialNone && m != &e.Material {
		return &cell.Refusal{What: "material is said twice on this row: " + e.Material.Raw + " and " + m.Raw,
			Hint: "keep one of bags, counter and weight"}
	}
	return nil
}

// figure reads a cell of one of these columns into m.
func (r *rowReader) figure(m *model.Material, kind int, s string) *cell.Refusal {
	switch kind {
	case colBags:
		return r.forms[kind].Bags(s, model.MaterialBags, m)
	case colCounter:
		return r.forms[kind].Bags(s, model.MaterialCounter, m)
	}
	return r.forms[kind].Weight(s, m)
}

// sizeReading is the reading that a size column fills.
func sizeReading(p *model.Piece, kind int) *model.Reading {
	switch kind {
	case colSize:
		return &p.Width
	case colWidth2:
		return &p.Width2
	case colDepth:
		return &p.Depth
	case colDepth2:
		return &p.Depth2
	case colLength:
		return &p.Length
	case colLength2:
		return &p.Length2
	}
	return &p.Bulge
}

// slab is how many values are made room for at a time.
const slab = 512

// start makes the reader ready for the rows of a job.
func (r *rowReader) start() {
	r.floats, r.written, r.section = r.floats[:0], "", ""
	clear(r.above[:])
}

// grown is the slab of values with room for a cell's, so that values already handed out never move.
func (r *rowReader) grown() []float64 {
	if cap(r.floats)-len(r.floats) < 8 {
		r.floats = make([]float64, 0, slab)
	}
	return r.floats
}

// jobName is the row's job, empty where the log holds one.
func (p *logPlan) jobName(row []string) string {
	if p.jobField < 0 || p.jobField >= len(row) {
		return ""
	}
	return cell.Name(row[p.jobField])
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
	src := model.Source{File: r.file, Line: r.line, Col: field + 1}
	r.f.warn("invisible", src, "%s: %U does not show and is left out of the name, here first", name, c)
}
