package fields

import "bayproof/model"

// Column is one column of a file of the job.
type Column struct {
	File    string // bays.csv, sections.csv, cores.csv
	Name    string
	Unit    string // of a bare number, in us and in si jobs: "in / mm"; empty where it has none
	Meaning string
}

// Columns returns the columns of every file, in the order in which a new file has them.
func Columns() []Column {
	all := columnsOf("bays.csv", model.LogColumns())
	all = append(all, columnsOf("sections.csv", model.SectionColumns())...)
	for _, d := range model.SettingDefs() {
		if d.BySection {
			c := Column{File: "sections.csv", Name: d.Name, Meaning: "as in job.csv, for this section"}
			if d.Kind == model.SettingQuantity {
				c.Unit = unitOf(&model.Figure{Show: d.Show})
			}
			all = append(all, c)
		}
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

// unitOf names the units of a bare figure in us and in si jobs. An R-value is written as it is printed on the bag.
func unitOf(f *model.Figure) string {
	us, si := f.Unit(model.US), f.Unit(model.SI)
	if us.Dimension == model.DimRValue || us == si {
		return f.Bare
	}
	return us.Symbol + " / " + si.Symbol
}

// Entry is one word of the entry column.
type Entry struct {
	Name    string
	Carries string // what its row may hold
	Meaning string
}

// Entries returns the words of the entry column in the order of their kinds.
func Entries() []Entry {
	var all []Entry
	for _, d := range model.EntryDefs() {
		all = append(all, Entry{d.Word, d.May, d.Meaning})
	}
	return all
}
