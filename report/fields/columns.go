package fields

import (
	"slices"

	"bayproof/model"
)

// Column is one column of a file of the job.
type Column struct {
	File    string // bays.csv, sections.csv, cores.csv
	Name    string
	Unit    string // of a bare number, in us and in si jobs: "in / mm"; empty where it has none
	Meaning string
}

// Columns returns the columns of every file, in the order in which a new file has them.
func Columns() []Column {
	all := append(columnsOf("bays.csv", model.LogColumns()), columnsOf("sections.csv", model.SectionColumns())...)
	// Then the settings that a section may override, in the order of their place.
	defs := slices.DeleteFunc(model.SettingDefs(), func(d model.SettingDef) bool { return d.BySection == 0 })
	slices.SortFunc(defs, func(a, b model.SettingDef) int { return a.BySection - b.BySection })
	for _, def := range defs {
		c := Column{File: "sections.csv", Name: def.Name, Meaning: "as in job.csv, for this section"}
		if def.Kind == model.SettingQuantity {
			c.Unit = unitOf(&model.Figure{Show: def.Show})
		}
		all = append(all, c)
	}
	return append(all, columnsOf("cores.csv", model.CoreColumns())...)
}

// columnsOf is a table of columns as the manual prints it.
func columnsOf[T any](file string, table []model.Column[T]) []Column {
	var all []Column
	for _, c := range table {
		out := Column{File: file, Name: c.Name, Meaning: c.Meaning}
		if c.Figure != nil {
			out.Unit = unitOf(c.Figure)
		}
		all = append(all, out)
	}
	return all
}

// unitOf names the units of a bare figure in us and in si jobs. An R-value is written as it is
// printed on the bag.
func unitOf(f *model.Figure) string {
	us, si := f.Unit(model.US), f.Unit(model.SI)
	if us.Dimension == model.DimRValue || us == si {
		return f.Bare
	}
	return us.Symbol + " / " + si.Symbol
}
