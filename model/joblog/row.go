package joblog

import (
	"math"
	"time"

	"bayproof/model"
	"bayproof/model/cell"
)

// rowReader makes entries of the rows of one log. Its slab holds the values that the entries point at; it is taken again for
// the next job where the caller is done with the last one.
type rowReader struct {
	plan    *logPlan
	byUnits [2][colKinds]cell.Form
	forms   *[colKinds]cell.Form // those of the job's units
	f       *faultList
	day     time.Time // what a time without a date takes
	file    string
	floats  []float64
}

// read fills e from a row. A bad cell is a fault, and the reading goes on with the next.
func (r *rowReader) read(e *model.Entry, row []string, line int) {
	e.Src = model.Source{File: r.file, Line: line}
	e.Hole, e.At = math.NaN(), math.NaN()
	e.Material.Within = math.NaN()
	e.Cells = row
	said := false
	for i, s := range row {
		if s == "" {
			continue
		}
		bad := r.cell(e, r.plan.kind[i], i, s, line, &said)
		if bad != nil {
			r.f.add(model.Source{File: r.file, Line: line, Col: i + 1}, bad.What, bad.Hint)
		}
	}
	if !said {
		e.Kind = model.EntrySize
		if e.Material.Kind != model.MaterialNone {
			e.Kind = model.EntryFill
		}
	}
}

// cell reads one cell that is not empty.
func (r *rowReader) cell(e *model.Entry, kind, field int, s string, line int, said *bool) (bad *cell.Refusal) {
	switch kind {
	case colSection:
		if e.Section = cell.Name(s); len(e.Section) != len(s) {
			r.unseen(e.Section, s, line, field)
		}
	case colBay:
		if e.Bay = cell.Name(s); len(e.Bay) != len(s) {
			r.unseen(e.Bay, s, line, field)
		}
	case colEntry:
		var k model.EntryKind
		if k, *said, bad = cell.Entry(s); *said {
			e.Kind = k
		}
	case colShape:
		e.Size.Shape, bad = cell.Shape(s)
	case colSize, colWidth2, colDepth, colDepth2, colLength, colLength2, colBulge:
		reading := sizeReading(&e.Size, kind)
		r.floats, bad = r.forms[kind].Reading(s, reading, r.grown())
		reading.Line, reading.Col = int32(line), int16(field+1)
	case colBags, colCounter, colWeight:
		bad = r.material(e, kind, s)
	case colReach:
		e.Reach, r.floats, bad = r.forms[kind].List(s, r.grown())
	case colHole:
		e.Hole, bad = r.forms[kind].Number(s)
	case colAt:
		e.At, bad = r.forms[kind].Number(s)
	case colTime:
		e.Time, bad = cell.Time(s, r.day)
	default:
		bad = r.words(e, kind, s)
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
