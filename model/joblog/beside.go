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

// cells are the cells of one row of a small table, read by the names of its columns.
type cells struct {
	t     *rawTable
	row   rawRow
	units model.System
	f     *faultList
}

// of returns the rows that belong to a job: all of them, or those that name it where the table has a column job.
func (t *rawTable) of(job *model.Job, f *faultList) []*cells {
	field := t.sheet.field("job")
	var out []*cells
	for _, row := range t.rows {
		if field < 0 || cell.Name(at(row.cells, field)) == job.Name {
			out = append(out, &cells{t, row, job.Settings.Units, f})
		}
	}
	return out
}

func (c *cells) place(name string) model.Source {
	return model.Source{File: c.t.sheet.file, Line: c.row.line, Col: c.t.sheet.field(name) + 1}
}

func (c *cells) fault(name, hint, format string, args ...any) {
	c.f.add(c.place(name), fmt.Sprintf(format, args...), hint)
}

func (c *cells) raw(name string) string { return at(c.row.cells, c.t.sheet.field(name)) }

func (c *cells) text(name string) string { return cell.Text(c.raw(name)) }

// blankName refuses a row without the name that it is about.
func (c *cells) blankName(column, name string) bool {
	if name != "" {
		return false
	}
	c.fault(column, "name it, or delete the row", "%s is blank", column)
	return true
}

// word reads one of a few words, in any case.
func (c *cells) word(name string, words ...string) string {
	s := strings.ToLower(cell.Name(c.raw(name)))
	if s == "" {
		return ""
	}
	for _, w := range words {
		if s == w {
			return w
		}
	}
	c.fault(name, "write "+strings.Join(words, ", "), "%s %s: no such word", name, c.text(name))
	return ""
}

func (c *cells) yesNo(name string) model.Answer {
	a, bad := cell.YesNo(name, c.raw(name))
	if bad != nil {
		c.fault(name, bad.Hint, "%s", bad.What)
	}
	return a
}

// form is the form of a numeric column, with the unit in its header.
func (c *cells) form(name string) cell.Form {
	form, _ := cell.Column(name, c.units)
	if name == "bays" {
		form, _ = cell.Column("bags_used", c.units)
		form.Name = name
	}
	if name == "weight" {
		form = cell.CoreWeight()
	}
	if field := c.t.sheet.field(name); field >= 0 && c.t.sheet.cols[field].unit != "" {
		u, _ := model.LookupUnit(c.t.sheet.cols[field].unit)
		with, bad := form.WithUnit(u)
		if bad != nil {
			c.fault(name, bad.Hint, "%s", bad.What)
		}
		form = with
	}
	form.Comma = c.t.comma
	return form
}

// number reads a number; NaN where there is none.
func (c *cells) number(name string) float64 {
	s := c.raw(name)
	if cell.Blank(s) {
		return math.NaN()
	}
	form := c.form(name)
	v, bad := form.Number(s)
	if bad != nil {
		c.fault(name, bad.Hint, "%s", bad.What)
		return math.NaN()
	}
	return v
}

// size reads a size of the typical bay.
func (c *cells) size(name string, to *model.Reading) {
	form := c.form(name)
	_, bad := form.Reading(c.raw(name), to, nil)
	src := c.place(name)
	to.Line, to.Col = int32(src.Line), int16(src.Col)
	if bad != nil {
		c.fault(name, bad.Hint, "%s", bad.What)
	}
}

// sectionColumns are the columns of sections.csv: the section's own, and the settings that it may override.
func sectionColumns() *knownColumns {
	k := newKnown("sections.csv")
	k.must = []string{"section"}
	k.add(0, "section", "kind", "bays", "covers", "spacing", "shape", "width", "depth", "length", "face", "bags_used", "label_r",
		"unvented", "vent_space", "climate_zone", "air_impermeable_r", "note", "job")
	for _, d := range model.SettingDefs() {
		if d.BySection > 0 {
			k.add(colSetting, d.Name)
		}
	}
	return k
}

// makeSections reads the rows of sections.csv for a job.
func (r *reader) makeSections(job *model.Job, f *faultList) []*model.Section {
	if r.sections == nil {
		return nil
	}
	var out []*model.Section
	byName := map[string]*model.Section{}
	for _, c := range r.sections.of(job, f) {
		s := r.section(job, c)
		if c.blankName("section", s.Name) {
			continue
		}
		if first := byName[model.Fold(s.Name)]; first != nil {
			c.f.addf(c.place("section"), "a section is one row", "section %s stands on line %d already", s.Name, first.Src.Line)
			continue
		}
		byName[model.Fold(s.Name)] = s
		out = append(out, s)
	}
	return out
}

// section reads one row.
func (r *reader) section(job *model.Job, c *cells) *model.Section {
	s := model.NewSection(cell.Name(c.text("section")), job.Settings)
	s.Listed, s.Src = true, model.Source{File: c.t.sheet.file, Line: c.row.line}
	s.Kind = c.word("kind", "rafter", "wall", "floor", "knee wall")
	s.Face = c.word("face", "rigid", "netting", "membrane")
	if n := c.number("bays"); !math.IsNaN(n) {
		s.Expected = int(n)
		if n != math.Trunc(n) {
			c.fault("bays", "count whole bays", "bays %s: not a whole number", c.text("bays"))
		}
	}
	s.Covers, s.Spacing, s.BagsUsed = c.number("covers"), c.number("spacing"), c.number("bags_used")
	s.LabelR, s.AirImpermeableR = c.number("label_r"), c.number("air_impermeable_r")
	s.Unvented, s.VentSpace = c.yesNo("unvented"), c.yesNo("vent_space")
	s.ClimateZone, s.Note = c.text("climate_zone"), c.text("note")
	var bad *cell.Refusal
	if s.Typical.Shape, bad = cell.Shape(c.raw("shape")); bad != nil {
		c.fault("shape", bad.Hint, "%s", bad.What)
	}
	s.Typical.Src = s.Src
	c.size("width", &s.Typical.Width)
	c.size("depth", &s.Typical.Depth)
	c.size("length", &s.Typical.Length)
	settings, faults := r.resolver.Section(job.Settings, c.settings())
	c.f.addAll(faults)
	s.Settings = settings
	return s
}

// settings are the settings that the row overrides.
func (c *cells) settings() []Given {
	var given []Given
	for i, col := range c.t.sheet.cols {
		if col.kind == colSetting && !cell.Blank(at(c.row.cells, i)) {
			given = append(given, Given{Name: col.name, Text: withUnit(at(c.row.cells, i), col.unit), Src: c.place(col.name), Comma: c.t.comma})
		}
	}
	return given
}

// coreColumns are the columns of cores.csv.
func coreColumns() *knownColumns {
	k := newKnown("cores.csv")
	k.must = []string{"weight"}
	k.add(0, "section", "bay", "kind", "diameter", "depth", "volume", "weight", "at", "by", "date", "photo", "job")
	return k
}

// makeCores reads the rows of cores.csv for a job.
func (r *reader) makeCores(job *model.Job, f *faultList) []model.Core {
	if r.cores == nil {
		return nil
	}
	var out []model.Core
	for _, c := range r.cores.of(job, f) {
		k := model.Core{Section: cell.Name(c.raw("section")), Bay: cell.Name(c.raw("bay")), By: c.text("by"), Date: c.text("date"), Photo: c.text("photo")}
		k.Src = model.Source{File: c.t.sheet.file, Line: c.row.line}
		if k.Kind = c.word("kind", "core", "test box"); k.Kind == "" {
			k.Kind = "core"
		}
		k.Diameter, k.Depth, k.Volume = c.number("diameter"), c.number("depth"), c.number("volume")
		k.Mass, k.At = c.number("weight"), c.number("at")
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
		c.fault("weight", "weigh it, in grams", "a core without a weight")
	case math.IsNaN(k.Volume) && round:
		k.Volume = math.Pi / 4 * k.Diameter * k.Diameter * k.Depth
	case math.IsNaN(k.Volume):
		c.fault("volume", "give diameter and depth, or volume", "a core without a volume")
	case round:
		c.fault("volume", "keep one of them", "a core with diameter and depth, and with a volume too")
	}
	if k.Mass > model.Densest*k.Volume {
		c.fault("weight", "a bare weight is in grams; look at the sizes and their units", "weight %s: no loose fill packs to %s",
			c.text("weight"), c.units.Figure(model.ShowDensity, k.Mass/k.Volume))
	}
}

// coreBay checks that the core's bay is in the log. A test box belongs to no bay.
func (c *cells) coreBay(job *model.Job, k *model.Core) {
	if k.Kind == "test box" {
		return
	}
	if k.Bay == "" {
		c.fault("bay", "name the bay that it was taken from", "bay is blank")
		return
	}
	for i := range job.Log {
		if e := &job.Log[i]; e.Bay == k.Bay && e.Section == k.Section {
			return
		}
	}
	c.fault("bay", "write its section and bay as the log does", "core of %s %s, which the log does not name", k.Section, k.Bay)
}

// corePlaces refuses cores that were taken where their bay is not. It needs the bays put together.
func (r *reader) corePlaces(job *model.Job, f *faultList) {
	for i := range job.Cores {
		k := &job.Cores[i]
		if math.IsNaN(k.At) {
			continue
		}
		for _, b := range job.Bays {
			if b.Name == k.Bay && b.Section.Name == k.Section && k.Kind == "core" {
				src := k.Src
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

// hashPhoto reads a photo's bytes once, for its hash, and its head once more for what it says of itself.
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
	if r.opt.Taken != nil {
		if again, err := r.fsys.Open(name); err == nil {
			p.Taken = r.opt.Taken(again)
			again.Close()
		}
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
				b.f.addf(src, "write the file's name alone; photos lie in photos/", "photo %s is no file name", name)
			}
		}
	}
}
