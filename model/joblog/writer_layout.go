package joblog

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"

	"bayproof/model"
	"bayproof/model/cell"
)

// layout is how the rows of a log are written: its own columns, separator, decimal mark, line end and encoding.
type layout struct {
	cols  []column
	title []string
	sep   byte
	comma bool
	end   string
	latin bool // Windows-1252
	units model.System
}

// newLayout is that of a new log.
func newLayout() layout {
	l := layout{sep: ',', end: "\n"}
	k := bayColumns()
	for i, name := range k.names {
		if k.kinds[i] >= colSection && k.kinds[i] <= colTime {
			l.cols = append(l.cols, column{name: name, kind: k.kinds[i]})
			l.title = append(l.title, name)
		}
	}
	return l
}

// layoutOf reads how a log is written.
func layoutOf(f *Folder, b []byte) (layout, error) {
	r := newReader(f.FS, f.Log, Options{})
	r.readJob()
	text, ok := decode(f.Log, 1, string(b), &r.f)
	l := newLayout()
	if !ok {
		return l, firstTrouble(f, r.f.list)
	}
	settings, _ := r.resolver.Job(f.Name, r.given)
	l.units = settings.Units
	r.f = faultList{}
	plan := r.plan(text)
	if plan == nil {
		if strings.Trim(text, " \r\n\t"+bom) == "" {
			return l, nil
		}
		return l, firstTrouble(f, r.f.list)
	}
	s := plan.sheet
	l.cols, l.title, l.sep = s.cols, s.header, s.cut.sep
	l.comma = plan.decimalComma(s.lines, s, &r.f)
	l.latin = !utf8.Valid(b)
	l.end = "\n"
	if s.lines.end == '\r' {
		l.end = "\r"
	} else if i := strings.IndexByte(text, '\n'); i > 0 && text[i-1] == '\r' {
		l.end = "\r\n"
	}
	if !l.has("time") {
		return l, &Trouble{f.Show(f.Log) + " has no column time", "add time to the end of its first row"}
	}
	return l, nil
}

// firstTrouble is the first fault as an error.
func firstTrouble(f *Folder, faults []model.Fault) error {
	if len(faults) == 0 {
		return &Trouble{f.Show(f.Log) + " cannot be read", ""}
	}
	x := faults[0]
	return &Trouble{fmt.Sprintf("%s:%d: %s", f.Show(x.Src.File), x.Src.Line, x.What), x.Hint}
}

func (l *layout) has(name string) bool {
	for _, c := range l.cols {
		if c.name == name {
			return true
		}
	}
	return false
}

func (l *layout) names() []string {
	var names []string
	for _, c := range l.cols {
		names = append(names, c.name)
	}
	return names
}

// head is the first line of a new log. The byte order mark makes spreadsheets read it as UTF-8.
func (l *layout) head() []byte {
	return []byte(bom + strings.Join(l.title, string(l.sep)) + l.end)
}

// endsIn tells whether the log ends in its own line end.
func (l *layout) endsIn(b []byte) bool { return bytes.HasSuffix(b, []byte(l.end)) }

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
	if !l.latin {
		return append(b, line.String()...), nil
	}
	s, err := charmap.Windows1252.NewEncoder().String(line.String())
	if err != nil {
		return nil, &Trouble{"the log is written in Windows-1252, which has no place for what stands in this row", "save the log as CSV UTF-8 first"}
	}
	return append(b, s...), nil
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
