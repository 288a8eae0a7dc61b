// The journal's rows set against those of a log. A spreadsheet that saved the log may have written
// figures and times anew; so cells are compared by what they say (figures in SI to ten digits,
// times to the minute), not by their text. Rows are matched in three rounds, each among those that
// are left: the same in every cell; the same in all that a row is known by (section, bay, minute,
// and entry or kind); the same in all cells but one of these.

package journal

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"bayproof/model"
	"bayproof/model/cell"
)

// Form says how the cells of a table's rows are to be read.
type Form struct {
	Units model.System
	Day   time.Time // of a time of day without a date; zero where the job has no date
	// Has tells of a column whether both sides can have it; nil where they have all. What a row is
	// known by is always looked at.
	Has     func(column string) bool
	columns []Column
}

// Column is what there is to know of a table's column, whatever its rows are.
type Column struct {
	Name   string
	Is     model.ColumnKind
	Figure *model.Figure // nil where the cell is no figure
	field  any           // points at a value of the type that the cell is read into
}

// Columns are those of a table, but for that of the job: a journal is one job's.
func Columns[T any](table []model.Column[T]) []Column {
	var out []Column
	for _, c := range table {
		if c.Field != nil {
			out = append(out, Column{c.Name, c.Is, c.Figure, c.Field(new(T))})
		}
	}
	return out
}

// NewForm is the form of a table's rows in a job of these units.
func NewForm(columns []Column, units model.System) *Form {
	return &Form{Units: units, columns: columns}
}

// Renamed tells whether another bay, entry or time is said than was: of two logs it may be another
// row.
func (d *Difference) Renamed() bool {
	return slices.ContainsFunc(d.Columns, func(c string) bool { return slices.Contains(named, c) })
}

// Difference is one row of the journal that does not stand in the log as it was confirmed.
type Difference struct {
	Kept
	Now     Row      // the row of the log that stands in its place; nil where it is gone
	At      int      // its place among the log's rows; -1 where it is gone
	Columns []string // whose cells are others, in the order of the columns; nil where it is gone
}

// Compared is a journal set beside a log.
type Compared struct {
	Differences []Difference // in the journal's order
	// Places are where the journal's rows stand among the log's, in the journal's order; -1 where
	// one is gone.
	Places []int
	// Moved is the first row of the journal that stands in the log before one that was written
	// before it; -1 where none does.
	Moved int
}

// Agrees tells whether every row stands in the log as it was confirmed, in its order. Rows that the
// log has besides are no difference: what was typed into the file by hand is as welcome as ever.
func (c *Compared) Agrees() bool { return len(c.Differences) == 0 && c.Moved < 0 }

// Gone counts the journal's rows that the log lacks.
func (c *Compared) Gone() int {
	n := 0
	for i := range c.Differences {
		if c.Differences[i].Now == nil {
			n++
		}
	}
	return n
}

// said is a row by what its cells say, in the order of columns.
type said []string

// named are the columns that a row is known by: a row of the log by its entry, a core by its kind.
// One of them alone may be another, where all other cells of the row agree, the first of them
// rather than the last: a time taken out, a bay renamed.
var named = []string{"time", "section", "bay", "entry", "kind"}

// Compare finds each row of the journal among the rows of a log: first the one that says the same
// in every cell, then one that is named alike, then one that is another in one of its names alone.
// The work grows with the number of rows.
func (f *Form) Compare(rows []Kept, log []Row) *Compared {
	cols := f.read()
	var name []int // places of what a row is known by
	for _, known := range named {
		if i := slices.IndexFunc(cols, func(c column) bool { return c.Name == known }); i >= 0 {
			name = append(name, i)
		}
	}
	ours, theirs := make([]said, len(rows)), make([]said, len(log))
	for i, k := range rows {
		ours[i] = f.says(cols, k.Cells)
	}
	for i, row := range log {
		theirs[i] = f.says(cols, row)
	}
	out := &Compared{Places: slices.Repeat([]int{-1}, len(rows)), Moved: -1}
	taken := make([]bool, len(log))
	match := func(key func(said) string) {
		free := map[string][]int{}
		for i, s := range theirs {
			if !taken[i] {
				k := key(s)
				free[k] = append(free[k], i)
			}
		}
		for i, s := range ours {
			if out.Places[i] >= 0 {
				continue
			}
			if k := key(s); len(free[k]) > 0 {
				out.Places[i], free[k] = free[k][0], free[k][1:]
				taken[out.Places[i]] = true
			}
		}
	}
	match(func(s said) string { return strings.Join(s, "\x00") })
	match(func(s said) string {
		var k []string
		for _, at := range name {
			k = append(k, s[at])
		}
		return strings.Join(k, "\x00")
	})
	for _, at := range name {
		match(func(s said) string {
			but := slices.Clone(s)
			but[at] = ""
			return strings.Join(but, "\x00")
		})
	}
	last := -1
	for i, k := range rows {
		at := out.Places[i]
		if at < 0 {
			out.Differences = append(out.Differences, Difference{Kept: k, At: -1})
			continue
		}
		if at < last && out.Moved < 0 {
			out.Moved = i
		}
		last = max(last, at)
		var columns []string
		for c := range cols {
			if ours[i][c] != theirs[at][c] {
				columns = append(columns, cols[c].Name)
			}
		}
		if columns != nil {
			out.Differences = append(out.Differences, Difference{k, log[at], at, columns})
		}
	}
	return out
}

// Same tells whether two rows say the same in every cell, but for some columns.
func (f *Form) Same(a, b Row, but ...string) bool {
	cols := f.read(but...)
	return slices.Equal(f.says(cols, a), f.says(cols, b))
}

// column is a column with the form of its figures, which one of words has not.
type column struct {
	Column
	form cell.Form
}

// read are the columns that are looked at, but for some.
func (f *Form) read(but ...string) []column {
	var out []column
	for _, c := range f.columns {
		if slices.Contains(but, c.Name) || f.Has != nil && !f.Has(c.Name) && !slices.Contains(named, c.Name) {
			continue
		}
		col := column{Column: c}
		if c.Figure != nil {
			col.form = cell.FormOf(c.Name, c.Figure, f.Units)
		}
		out = append(out, col)
	}
	return out
}

// UnsaidEntry is the entry of a row that leaves it out: a fill where it has material, else a size.
func UnsaidEntry(row Row) string {
	if row["bags"]+row["counter"]+row["weight"] != "" {
		return "fill"
	}
	return "size"
}

// says reads the cells of a row. Its entry or its kind is said where it was left out.
func (f *Form) says(cols []column, row Row) said {
	out := make(said, len(cols))
	for i := range cols {
		out[i] = f.cell(&cols[i], row[cols[i].Name])
		switch {
		case out[i] != "":
		case cols[i].Name == "entry":
			out[i] = UnsaidEntry(row)
		case cols[i].Name == "kind":
			out[i] = model.KindCore
		}
	}
	return out
}

// cell is what a cell says, however it is written: figures in SI to ten digits, which is more than
// anybody measures and fewer than a spreadsheet keeps; times to the minute; words without regard to
// case. A cell that cannot be read says what stands in it.
func (f *Form) cell(c *column, text string) string {
	if cell.Blank(text) {
		return ""
	}
	plain := strings.Join(strings.Fields(strings.ToValidUTF8(cell.Text(text), "\ufffd")), " ")
	switch c.field.(type) {
	case *float64:
		if v, bad := c.form.Number(text); bad == nil {
			return figures(v)
		}
	case *model.Reading:
		if cell.DittoMark(text) {
			return map[bool]string{true: `"`}[c.Name == "bulge"] // elsewhere as good as a blank
		}
		var r model.Reading
		if _, bad := c.form.Reading(text, &r, nil); bad == nil && r.State == model.Measured {
			return figures(append(slices.Clone(r.Values), r.Within)...)
		}
	case *model.Material:
		m := model.Material{}
		if c.Name == "weight" {
			if a, bad := c.form.Amount(text); bad == nil {
				return figures(a.Value, a.Within)
			}
		} else if bad := c.form.Bags(text, model.MaterialBags, &m); bad == nil {
			return fmt.Sprint(m.Shared, " ") + figures(m.Bags, m.Part, m.Within)
		}
	case *[]float64:
		if values, _, bad := c.form.List(text, nil); bad == nil && c.Figure != nil {
			return figures(values...)
		}
	case *time.Time:
		if t, bad := cell.Time(text, f.Day); bad == nil {
			return t.Format("2006-01-02 15:04")
		}
	case *model.Answer:
		if a, bad := cell.Stalled(c.Name, text); bad == nil {
			return a.String()
		}
	case *model.Feed:
		if feed, bad := cell.Feed(text); bad == nil {
			return fmt.Sprint(feed.Shared, " ") + figures(feed.Seconds)
		}
	case *string:
		if c.Is == model.ColumnName {
			return cell.Name(text)
		}
		if c.Name != "kind" {
			return plain
		}
	}
	return strings.ToLower(plain)
}

// figures writes values in SI to ten digits; a value that does not exist as -.
func figures(values ...float64) string {
	var out []string
	for _, v := range values {
		if math.IsNaN(v) {
			out = append(out, "-")
			continue
		}
		out = append(out, strconv.FormatFloat(v, 'g', 10, 64))
	}
	return strings.Join(out, " ")
}

// Numbered are rows as they would stand in a journal that they alone were written to.
func Numbered(rows []Row) []Kept {
	out := make([]Kept, len(rows))
	for i, row := range rows {
		out[i] = Kept{i + 1, row}
	}
	return out
}

// Told is a row as a sentence names it: "row 7 of 14:20 (north slope b7, fill)", "row 2 of 14:40
// (north slope b7, core)".
func (k *Kept) Told() string {
	text := "row " + strconv.Itoa(k.N)
	if t, bad := cell.Time(k.Cells["time"], time.Time{}); bad == nil && !t.IsZero() {
		text += " of " + t.Format("15:04")
	}
	where := strings.Join(strings.Fields(k.Cells["section"]+" "+k.Cells["bay"]), " ")
	if what := k.Cells["entry"] + k.Cells["kind"]; what != "" {
		where = strings.TrimLeft(where+", "+what, ", ")
	}
	if where != "" {
		text += " (" + where + ")"
	}
	return text
}

// Told is a difference as a sentence. Which of the two was changed nobody knows: the chain is no
// signature.
func (d *Difference) Told(log string) string {
	if d.Now == nil {
		return d.Kept.Told() + " is in the journal and not in " + log
	}
	var cells []string
	for _, c := range d.Columns {
		cells = append(cells, fmt.Sprintf("%s is %s, %s in the journal", c, shown(d.Now[c]), shown(d.Cells[c])))
	}
	return d.Kept.Told() + " reads otherwise in " + log + ": " + strings.Join(cells, "; ")
}

// shown is a cell in a sentence.
func shown(text string) string {
	if cell.Blank(text) {
		return "blank"
	}
	return text
}
