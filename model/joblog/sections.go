package joblog

import (
	"math"

	"bayproof/model"
	"bayproof/model/cell"
)

// sectionColumns are the columns of sections.csv: the section's own, and the settings that it may override.
func sectionColumns() *knownColumns {
	k := newKnown("sections.csv")
	k.must = []string{"section"}
	k.add(0, "section", "kind", "bays", "covers", "spacing", "shape", "width", "depth", "length", "face", "bags_used", "label_r",
		"unvented", "vent_space", "climate_zone", "air_impermeable_r", "note", "job")
	for _, d := range model.SettingDefs() {
		if d.BySection {
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
