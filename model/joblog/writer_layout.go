package joblog

import (
	"bytes"
	"fmt"
	"strings"

	"bayproof/model"
)

// layout is how the rows of a log are written: its own columns, separator, decimal mark, line end and encoding.
type layout struct {
	cols  []column
	title []string
	sep   byte
	comma bool
	end   string
	text  encoding
	units model.System
	known bool // read from a header that stands in the file
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
	l.text, l.known = encodingOf(string(b)), true
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
	if x.Src.Line == 0 {
		return &Trouble{f.Show(x.Src.File) + ": " + x.What, x.Hint}
	}
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

// lineEnd is the log's line end as it stands in the file.
func (l *layout) lineEnd() []byte {
	b, _ := l.text.coder().NewEncoder().Bytes([]byte(l.end))
	return b
}

// ended tells whether the log ends in a line end.
func (l *layout) ended(b []byte) bool {
	return bytes.HasSuffix(b, l.lineEnd()) || !l.text.wide() && bytes.HasSuffix(b, []byte{'\n'})
}
