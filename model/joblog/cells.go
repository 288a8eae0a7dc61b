package joblog

import (
	"fmt"
	"math"
	"strings"

	"bayproof/model"
	"bayproof/model/cell"
)

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
