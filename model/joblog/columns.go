package joblog

import (
	"fmt"
	"strings"

	"bayproof/model"
	"bayproof/model/cell"
)

// maxColumns is more than any log has; a file with more is not one.
const maxColumns = 500

// knownColumns are the columns that a file may have.
type knownColumns struct {
	names []string
	kinds []int
	what  string   // "the log"
	must  []string // columns without which no row can be read
	index map[string]int
}

func newKnown(what string) *knownColumns {
	return &knownColumns{what: what, index: map[string]int{}}
}

func (k *knownColumns) add(kind int, names ...string) {
	for _, n := range names {
		if _, twice := k.index[n]; twice {
			continue
		}
		k.index[n] = len(k.names)
		k.names = append(k.names, n)
		k.kinds = append(k.kinds, kind)
	}
}

// name finds the known name and the unit that a header's cell stands for; both are empty where no one knows it.
func (k *knownColumns) name(title string) (name, unit string) {
	key := headerKey(title)
	if _, ok := k.index[key]; ok {
		return key, ""
	}
	if base, u, ok := cell.SplitHeader(key); ok {
		if _, known := k.index[base]; known {
			return base, u.Symbol
		}
	}
	return "", ""
}

// headerKey is the header as the table of names writes it: lower case, underscores for spaces, a unit in brackets too.
func headerKey(title string) string {
	key := strings.ToLower(cell.Text(strings.ReplaceAll(title, "\u00a0", " ")))
	key = strings.Map(func(r rune) rune {
		switch r {
		case '(', '[', ' ', '\t', '-':
			return '_'
		case ')', ']':
			return -1
		}
		return r
	}, key)
	for strings.Contains(key, "__") {
		key = strings.ReplaceAll(key, "__", "_")
	}
	return strings.Trim(key, "_")
}

// plan fills in the sheet's columns and makes the header's faults. It answers false where rows cannot be read.
func (k *knownColumns) plan(s *sheet) bool {
	src := model.Source{File: s.file, Line: s.lines.n}
	if len(s.header) > maxColumns {
		s.f.addf(src, "is it the right file?", "%d columns; %s has %d at most that anyone knows", len(s.header), k.what, len(k.names))
		return false
	}
	ok, found := true, 0
	seen := map[string]int{}
	for i, title := range s.header {
		c := column{title: title}
		c.name, c.unit = k.name(title)
		if c.name != "" {
			found++
			c.kind = k.kinds[k.index[c.name]]
			if first, twice := seen[c.name]; twice {
				ok = false
				s.f.add(s.place(i), k.repeated(s.header, first, i, c.name), "keep one of them")
			} else {
				seen[c.name] = i
			}
		}
		s.cols = append(s.cols, c)
	}
	for _, name := range k.must {
		if _, there := seen[name]; found > 0 && !there {
			s.f.addf(src, "add it to the first row", "%s has no column %s", k.what, name)
			ok = false
		}
	}
	if found == 0 {
		s.f.addf(src, "its columns are "+strings.Join(k.names[:min(len(k.names), 12)], ", ")+" …", "the first row names no column of %s", k.what)
		return false
	}
	return k.strangers(s) && ok
}

func (k *knownColumns) repeated(header []string, first, i int, name string) string {
	a, b := strings.TrimSpace(header[first]), strings.TrimSpace(header[i])
	if headerKey(a) == headerKey(b) {
		return fmt.Sprintf("column %s stands twice, in columns %d and %d", name, first+1, i+1)
	}
	return fmt.Sprintf("columns %s and %s both say %s", a, b, name)
}
