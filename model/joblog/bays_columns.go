package joblog

import (
	"bayproof/model"
	"bayproof/model/cell"
)

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
