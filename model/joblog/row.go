package joblog

import (
	"math"

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
