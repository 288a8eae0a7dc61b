// The files beside the log: job.csv, sections.csv, cores.csv, inspections.csv, and the pictures in
// photos/.
//
// They are small tables, cut when the folder is opened and read cell by cell for every job, since
// what a bare number means depends on the job's units (rawTable). What a core's volume is, and that
// no loose fill is as dense as a core says, is checked here (coreVolume).

package joblog

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"path"
	"slices"
	"strings"
	"time"

	"bayproof/model"
	"bayproof/model/cell"
)

// readJob reads job.csv: a setting a row.
func (r *reader) readJob() {
	file := r.name("job.csv")
	b, ok := r.bytes(file)
	if !ok {
		return
	}
	text, ok := decode(file, 1, string(b), &r.f)
	if !ok || allBlank([]string{text}) {
		return
	}
	r.eachNamed(file, text, func(g Given, at model.Source) {
		if known, _ := r.resolver.Known(g.Name); known {
			r.given = append(r.given, g)
		} else {
			r.strangeName(at, g.Name, false)
		}
	})
}

// eachNamed gives the rows of a file of names and values; at is the place of the name.
func (r *reader) eachNamed(file, text string, give func(g Given, at model.Source)) {
	s, ok := openSheet(file, text, namesAndValues(path.Base(file)), &r.f)
	if !ok {
		return
	}
	name, value := s.field("name"), s.field("value")
	if name < 0 || value < 0 {
		r.f.add(model.Source{File: file, Line: s.lines.n}, path.Base(file)+" needs the columns name and value", "write name,value in its first row")
		return
	}
	// A setting may be a number: what the decimal mark is shows in the whole column, not in one
	// cell.
	comma := tableComma(s.lines, s, &r.f, func(i int) bool { return i == value })
	for {
		row, line, more := s.next()
		if !more {
			return
		}
		key := headerKey(at(row, name))
		src := model.Source{File: file, Line: line, Col: name + 1}
		if key == "" {
			r.f.add(src, "this value has no name", "write the setting's name; bayproof fields lists them")
			continue
		}
		give(Given{Name: key, Text: at(row, value), Src: s.frame.Place(model.Source{File: file, Line: line, Col: value + 1}), Comma: comma}, src)
	}
}

// namesAndValues are the columns of such a file.
func namesAndValues(what string) *knownColumns {
	return &knownColumns{what: what, names: []string{"name", "value"}, own: 2, index: map[string]int{"name": 0, "value": 1}}
}

// strangeName refuses a name that is nearly a setting, and warns of any other. In a program's file,
// where asks are known too, it refuses all: a slip there would govern nothing without a word.
func (r *reader) strangeName(src model.Source, key string, asks bool) {
	what, names := "setting", []string(nil)
	for _, d := range model.SettingDefs() {
		names = append(names, d.Name)
	}
	if asks {
		what = "setting or ask"
		for _, d := range model.AskDefs() {
			names = append(names, d.Name)
		}
	}
	switch near := cell.Nearest(key, names); {
	case near != "":
		r.f.addf(src, "write "+near, "no %s is called %s", what, key)
	case asks:
		r.f.addf(src, "bayproof review --help lists what can be asked for, bayproof fields the settings", "no %s is called %s", what, key)
	default:
		r.f.warn("unknown-setting", src, "no %s is called %s: it is not used. bayproof fields lists the settings", what, key)
	}
}

// field is the column of a name, -1 where there is none.
func (s *sheet) field(name string) int {
	return slices.IndexFunc(s.cols, func(c column) bool { return c.name == name })
}

// at is a cell of a row that may be short.
func at(row []string, field int) string {
	if field < 0 || field >= len(row) {
		return ""
	}
	return row[field]
}

// rawTable is sections.csv or cores.csv cut into its cells. Those are read for every job anew,
// since what a bare number means hangs on the job's units.
type rawTable struct {
	sheet *sheet
	comma bool
	rows  []rawRow
}

// rawRow is a row of such a file: its line, from 1, and its cells as they were written.
type rawRow struct {
	line  int
	cells []string
}

// table reads the rows of a file beside the log; nil where there is none. raw are its bytes.
func (r *reader) table(base string, k *knownColumns) (t *rawTable, raw []byte) {
	file := r.name(base)
	raw, ok := r.bytes(file)
	if !ok {
		return nil, nil
	}
	text, ok := decode(file, 1, string(raw), &r.f)
	if !ok || allBlank([]string{text}) {
		return nil, raw
	}
	s, ok := openSheet(file, text, k, &r.f)
	if !ok {
		return nil, raw
	}
	t = &rawTable{sheet: s}
	t.comma = tableComma(s.lines, s, &r.f, s.numeric)
	for {
		row, line, more := s.next()
		if !more {
			return t, raw
		}
		t.rows = append(t.rows, rawRow{line, row})
	}
}

// cells are the cells of one row of a small table, read by the names of its columns.
type cells struct {
	t   *rawTable
	row rawRow
	job *model.Settings // of the job that the row belongs to
	f   *faultList
}

// of returns the rows that belong to a job: all of them, or those that name it where the table has
// a column job.
func (t *rawTable) of(job *model.Job, f *faultList) []*cells {
	field := t.sheet.field("job")
	var out []*cells
	for _, row := range t.rows {
		if field < 0 || cell.Name(at(row.cells, field)) == job.Name {
			out = append(out, &cells{t, row, &job.Settings, f})
		}
	}
	return out
}

// place is the row's cell in a column, for a fault; the whole row where the file has no such
// column.
func (c *cells) place(name string) model.Source {
	return model.Source{File: c.t.sheet.file, Line: c.row.line, Col: c.t.sheet.field(name) + 1}
}

// fault takes a fault of the cell in a column.
func (c *cells) fault(name, hint, format string, args ...any) {
	c.f.add(c.place(name), fmt.Sprintf(format, args...), hint)
}

// raw is a cell as written, empty where the file has no such column; text is what it says.
func (c *cells) raw(name string) string { return at(c.row.cells, c.t.sheet.field(name)) }

func (c *cells) text(name string) string { return cell.Text(c.raw(name)) }

// fill reads the cells of a row into what its columns point at: the type of the field says how a
// cell reads, as rowReader.cell does for the log. These tables are a few rows long, so that nothing
// is kept from one row to the next.
func fill[T any](c *cells, table []model.Column[T], to *T) {
	for i := range table {
		col := &table[i]
		var bad *cell.Refusal
		switch p := col.Field(to).(type) {
		case *string:
			*p = c.words(col.Name, col.Is, col.Words)
		case *float64:
			*p, bad = c.number(col.Name, col.Figure)
		case *int: // of bays: -1 where nobody counted
			var n float64
			if n, bad = c.number(col.Name, col.Figure); !math.IsNaN(n) {
				if *p = int(n); n != math.Trunc(n) {
					c.fault(col.Name, "count whole bays", "%s %s is not a whole number", col.Name, c.text(col.Name))
				}
			}
		case *model.Reading:
			src, form := c.place(col.Name), c.form(col.Name, col.Figure)
			_, bad = form.Reading(c.raw(col.Name), p, nil)
			p.Line, p.Col = int32(src.Line), int16(src.Col)
		case *model.Found:
			*p, _ = model.ParseFound(c.words(col.Name, col.Is, col.Words))
		case *model.Answer:
			*p, bad = cell.YesNo(col.Name, c.raw(col.Name))
		case *model.Shape:
			*p, bad = cell.Shape(c.raw(col.Name))
		case *time.Time:
			day, _ := cell.Date("date", c.job.Date)
			*p, bad = cell.Time(c.raw(col.Name), day)
		default:
			panic("a column whose cells nobody reads: " + col.Name)
		}
		if bad != nil {
			c.fault(col.Name, bad.Hint, "%s", bad.What)
		}
	}
}

// words reads a name, one of a few words in any case, or free text.
func (c *cells) words(name string, is model.ColumnKind, words []string) string {
	s := cell.Name(c.raw(name))
	switch {
	case is == model.ColumnName:
		return s
	case words == nil:
		return c.text(name)
	case s == "" || slices.Contains(words, strings.ToLower(s)):
		return strings.ToLower(s)
	}
	c.fault(name, "write "+strings.Join(words, ", "), "%s %s is not one of its words", name, c.text(name))
	return ""
}

// form is the form of a column of figures, with the unit in its header.
func (c *cells) form(name string, fig *model.Figure) cell.Form {
	col := column{name: name}
	if field := c.t.sheet.field(name); field >= 0 {
		col = c.t.sheet.cols[field]
	}
	form, bad := formOf(col, fig, c.job.Units)
	if bad != nil {
		c.fault(name, bad.Hint, "%s", bad.What)
	}
	form.Comma = c.t.comma
	return form
}

// number reads a number; NaN where there is none.
func (c *cells) number(name string, fig *model.Figure) (float64, *cell.Refusal) {
	s := c.raw(name)
	if cell.Blank(s) {
		return math.NaN(), nil
	}
	form := c.form(name, fig)
	v, bad := form.Number(s)
	if bad != nil {
		return math.NaN(), bad
	}
	return v, nil
}

// makeSections reads the rows of sections.csv for a job.
func (r *reader) makeSections(job *model.Job, f *faultList) []*model.Section {
	if r.sections == nil {
		return nil
	}
	var out []*model.Section
	byName := map[string]*model.Section{}
	for _, c := range r.sections.of(job, f) {
		s := model.NewSection("", job.Settings)
		s.Listed, s.Src = true, c.t.sheet.frame.Place(model.Source{File: c.t.sheet.file, Line: c.row.line})
		s.Typical.Src = s.Src.Source
		fill(c, model.SectionColumns(), s)
		settings, faults := r.resolver.Section(job.Settings, c.settings())
		c.f.addAll(faults)
		s.Settings = settings
		if s.Name == "" {
			c.fault("section", "name the section, or delete the row", "section is blank")
			continue
		}
		if first := byName[model.Fold(s.Name)]; first != nil {
			c.f.addf(c.place("section"), "keep one row for each section", "section %s stands in row %d already", s.Name, first.Src.Row)
			continue
		}
		byName[model.Fold(s.Name)] = s
		out = append(out, s)
	}
	return out
}

// settings are the settings that the row overrides.
func (c *cells) settings() []Given {
	var given []Given
	for i, col := range c.t.sheet.cols {
		if col.setting && !cell.Blank(at(c.row.cells, i)) {
			given = append(given, Given{Name: col.name, Text: withUnit(at(c.row.cells, i), col.unit), Src: c.t.sheet.frame.Place(c.place(col.name)), Comma: c.t.comma})
		}
	}
	return given
}

// InspectionsName is the name of the inspectors' file, beside the jobs or in one of them.
const InspectionsName = "inspections.csv"

// Inspections reads an inspectors' file; nothing where there is none. Bare figures are in the units
// of a US job: the file belongs to no job. own says that it stands in a job's folder, where no row
// needs to name the job.
func Inspections(fsys fs.FS, file string, own bool) ([]model.Inspection, []model.Fault) {
	r := newReader(fsys, LogName, Options{})
	r.files = []string{file}
	t, _ := r.table(file, knownOf(file, "bay", model.InspectionColumns(), func(model.SettingDef) bool { return false }))
	var out []model.Inspection
	if t == nil {
		return nil, r.faults()
	}
	settings := model.Settings{Units: model.US}
	for _, row := range t.rows {
		c := &cells{t, row, &settings, &r.f}
		x := model.Inspection{Src: model.Source{File: file, Line: row.line}}
		fill(c, model.InspectionColumns(), &x)
		day, bad := cell.Date("date", x.Date)
		switch {
		case bad != nil:
			c.fault("date", bad.Hint, "%s", bad.What)
		case !day.IsZero():
			x.Date = day.Format("2006-01-02")
		}
		if x.Bay == "" {
			c.fault("bay", "name the bay as the log does", "bay is blank")
		}
		if x.Job == "" && !own {
			c.fault("job", "name the job: this file stands beside several", "job is blank")
		}
		if x.Found == model.FoundNothing && math.IsNaN(x.Density) {
			c.fault("found", "write full, short, empty, soft, not opened or hazard, or give a density", "this row says nothing about bay %s", x.Bay)
		}
		out = append(out, x)
	}
	return out, r.faults()
}

// makeCores reads the rows of cores.csv for a job.
func (r *reader) makeCores(job *model.Job, f *faultList) []model.Core {
	if r.cores == nil {
		return nil
	}
	var out []model.Core
	for _, c := range r.cores.of(job, f) {
		k := model.Core{Src: c.t.sheet.frame.Place(model.Source{File: c.t.sheet.file, Line: c.row.line})}
		if fill(c, model.CoreColumns(), &k); k.Kind == "" {
			k.Kind = model.KindCore
		}
		if _, bad := cell.Date("date", c.raw("date")); bad != nil {
			c.fault("date", bad.Hint, "%s", bad.What)
		}
		c.coreVolume(&k)
		c.coreBay(job, &k)
		out = append(out, k)
	}
	return out
}

// coreVolume works out the volume that a core was taken from: π/4·diameter²·depth, or as given.
func (c *cells) coreVolume(k *model.Core) {
	round := !math.IsNaN(k.Diameter) && !math.IsNaN(k.Depth)
	switch {
	case math.IsNaN(k.Mass):
		c.fault("weight", "weigh it, in grams", "this core has no weight")
	case math.IsNaN(k.Volume) && round:
		k.Volume = math.Pi / 4 * k.Diameter * k.Diameter * k.Depth
	case math.IsNaN(k.Volume):
		c.fault("volume", "write diameter and depth, or volume", "this core has no volume")
	case round:
		c.fault("volume", "keep one of them", "this core has diameter and depth, and a volume too")
	}
	if k.Mass > model.Densest*k.Volume {
		c.fault("weight", "check the sizes and their units; a bare weight is in grams", "weight %s comes to %s: no loose fill packs to that",
			c.text("weight"), c.job.Units.Figure(model.ShowDensity, k.Mass/k.Volume))
	}
}

// coreBay checks that the core's bay is in the log. A test box belongs to no bay.
func (c *cells) coreBay(job *model.Job, k *model.Core) {
	if k.Kind == "test box" {
		return
	}
	if k.Bay == "" {
		c.fault("bay", "name the bay it was taken from", "bay is blank")
		return
	}
	for i := range job.Log {
		if e := &job.Log[i]; e.Bay == k.Bay && e.Section == k.Section {
			return
		}
	}
	c.fault("bay", "write its section and bay as the log does", "the log has no bay %s %s", k.Section, k.Bay)
}

// corePlaces refuses cores that were taken where their bay is not. It needs the bays put together.
func (r *reader) corePlaces(job *model.Job, f *faultList) {
	for i := range job.Cores {
		k := &job.Cores[i]
		if math.IsNaN(k.At) {
			continue
		}
		for _, b := range job.Bays {
			if b.Name == k.Bay && b.Section.Name == k.Section && k.Kind == model.KindCore {
				src := k.Src.Source
				src.Col = r.cores.sheet.field("at") + 1
				if what, hint := b.Beyond("at", k.At, job.Settings.Units); what != "" {
					f.add(src, what, hint)
				}
			}
		}
	}
}

// listPhotos lists the files in photos/, with SHA-256 and size where the caller asked for them.
func (r *reader) listPhotos() []model.Photo {
	dir := r.name(Photos)
	entries, err := fs.ReadDir(r.fsys, dir)
	if err != nil {
		if !errors.Is(err, fs.ErrNotExist) {
			what, hint := why(err)
			r.f.warn("photos", model.Source{File: dir}, "%s (%s)", what, hint)
		}
		return nil
	}
	var out []model.Photo
	for _, e := range entries {
		if e.IsDir() || strings.HasPrefix(e.Name(), ".") {
			continue
		}
		p := model.Photo{Name: e.Name()}
		if r.opt.Photos && !r.hashPhoto(path.Join(dir, e.Name()), &p) {
			continue
		}
		out = append(out, p)
	}
	return out
}

// hashPhoto reads a photo's bytes once, for its hash, and its head once more for what it says of
// itself.
func (r *reader) hashPhoto(name string, p *model.Photo) bool {
	f, err := r.fsys.Open(name)
	if err == nil {
		defer f.Close()
		opened, sum := stampOf(f), sha256.New()
		if p.Bytes, err = io.Copy(sum, f); err == nil && !opened.steady(f) {
			err = errChanged
		}
		p.SHA256 = hex.EncodeToString(sum.Sum(nil))
	}
	if err != nil {
		what, hint := why(err)
		r.f.warn("photos", model.Source{File: name}, "%s (%s)", what, hint)
		return false
	}
	again := func(read func(io.Reader)) {
		if f, err := r.fsys.Open(name); err == nil {
			read(f)
			f.Close()
		}
	}
	if r.opt.Taken != nil {
		again(func(f io.Reader) { p.Taken = r.opt.Taken(f) })
	}
	if r.opt.Look != nil {
		again(func(f io.Reader) { p.Look = r.opt.Look(f) })
	}
	return true
}

// checkPhotos refuses names of photos that lead out of photos/.
func (b *builder) checkPhotos(job *model.Job) {
	column := slices.Index(b.plan.names, "photo")
	if column < 0 {
		return
	}
	for i := range job.Log {
		for _, name := range job.Log[i].Photos {
			if src := job.Log[i].Src; !PlainName(name) {
				src.Col = column + 1
				b.f.addf(src, "write the file's name alone, and put photos into photos/", "photo %s is not a file name", name)
			}
		}
	}
}
