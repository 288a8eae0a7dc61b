package joblog

import (
	"bytes"
	"fmt"
	"strings"
	"unicode/utf8"

	"bayproof/model"
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
