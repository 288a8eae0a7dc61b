package joblog

import (
	"maps"
	"slices"
	"strings"

	"bayproof/model/cell"
)

// append adds a row to b as a line of the log.
func (l *layout) append(b []byte, row map[string]string) ([]byte, error) {
	for _, name := range slices.Sorted(maps.Keys(row)) {
		if !l.has(name) && !cell.Blank(row[name]) && !implied(name, row) {
			return nil, &Trouble{"the log has no column " + name, "add " + name + " to the end of its first row"}
		}
	}
	var line strings.Builder
	for i, c := range l.cols {
		if i > 0 {
			line.WriteByte(l.sep)
		}
		if c.name != "" {
			line.WriteString(l.quote(l.cell(c, row[c.name])))
		}
	}
	line.WriteString(l.end)
	s, err := l.text.coder().NewEncoder().String(line.String())
	if err != nil {
		return nil, &Trouble{"the log is written in Windows-1252, which has no place for what stands in this row", "save the log as CSV UTF-8 first"}
	}
	return append(b, s...), nil
}

// row is append the other way round: a row of the log as text by column, whose figures say the unit of their header and
// have a decimal point.
func (l *layout) row(cells []string) map[string]string {
	row := map[string]string{}
	for i, c := range l.cols {
		text := at(cells, i)
		if c.name == "" || cell.Blank(text) {
			continue
		}
		form, numeric := cell.Column(c.name, l.units)
		switch {
		case !numeric:
			text = cell.Text(text)
		case cell.DittoMark(text) || text == "shared":
		default:
			if l.comma {
				text = strings.ReplaceAll(text, ",", ".")
			}
			if c.unit != "" && c.unit != form.Unit.Symbol {
				text = withUnit(text, c.unit)
			}
		}
		row[c.name] = text
	}
	return row
}

// implied tells whether a cell says what its absence says too: fill with material, size without.
func implied(name string, row map[string]string) bool {
	material := !cell.Blank(row["bags"]) || !cell.Blank(row["counter"]) || !cell.Blank(row["weight"])
	return name == "entry" && (material && row[name] == "fill" || !material && row[name] == "size")
}

// cell makes text fit for the column: a figure keeps its unit where the header states another one, and takes the file's
// decimal mark; free text is kept from being run by a spreadsheet.
func (l *layout) cell(c column, text string) string {
	text = strings.Map(func(r rune) rune {
		if r == '\n' || r == '\r' || r == 0 {
			return ' '
		}
		return r
	}, text)
	form, numeric := cell.Column(c.name, l.units)
	switch {
	case c.kind >= colSection && c.kind <= colBay, c.kind == colPhoto, c.kind == colBy, c.kind == colNote:
		return cell.GuardText(text)
	case !numeric || cell.Blank(text) || cell.DittoMark(text) || text == "shared":
		return text
	}
	if c.unit != "" && c.unit != form.Unit.Symbol {
		text = withUnit(text, form.Unit.Symbol)
	}
	if l.comma {
		text = strings.ReplaceAll(text, ".", ",")
	}
	return text
}

// quote puts a cell in quotes where it could be taken for more than one, or for the start of a quoted one.
func (l *layout) quote(text string) string {
	if strings.IndexByte(text, l.sep) < 0 && strings.IndexByte(text, '"') < 0 && text == strings.TrimSpace(text) {
		return text
	}
	return `"` + strings.ReplaceAll(text, `"`, `""`) + `"`
}
