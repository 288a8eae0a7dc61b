package joblog

import (
	"fmt"
	"sort"
	"strings"
	"unicode"
	"unicode/utf8"

	"bayproof/model"
)

// maxFaults is how many faults of one file are told; a file with more has one cause that the first ones show.
const maxFaults = 100

// maxTold is how many bytes of a message are kept: a cell can hold a whole book.
const maxTold = 300

// faultList collects what is wrong with the files of one job, and what is worth knowing.
type faultList struct {
	list     []model.Fault
	dropped  map[string]int        // by file
	count    map[string]int        // by file
	lines    map[model.Source]bool // rows at fault
	warnings []model.Warning
}

// add takes a fault; of a hopeless file only so many are kept, the rest are counted.
func (f *faultList) add(src model.Source, what, hint string) {
	if f.count == nil {
		f.count, f.dropped = map[string]int{}, map[string]int{}
	}
	if f.lines == nil {
		f.lines = map[model.Source]bool{}
	}
	f.lines[model.Source{File: src.File, Line: src.Line}] = true
	if f.count[src.File]++; f.count[src.File] > 10*maxFaults {
		f.dropped[src.File]++
		return
	}
	f.list = append(f.list, model.Fault{Src: src, What: tell(what), Hint: tell(hint)})
}

// absorb takes over the faults of another list, and how many of them are not told.
func (f *faultList) absorb(other *faultList) {
	f.addAll(other.list)
	for file, n := range other.dropped {
		if f.dropped == nil {
			f.count, f.dropped = map[string]int{}, map[string]int{}
		}
		f.dropped[file] += n
	}
}

func (f *faultList) addf(src model.Source, hint, format string, args ...any) {
	f.add(src, fmt.Sprintf(format, args...), hint)
}

func (f *faultList) addAll(list []model.Fault) {
	for _, x := range list {
		f.add(x.Src, x.What, x.Hint)
	}
}

func (f *faultList) warn(code string, src model.Source, format string, args ...any) {
	f.warnings = append(f.warnings, model.Warning{Code: code, Text: tell(fmt.Sprintf(format, args...)), Src: src})
}

// sorted returns the faults in the order of the files given, then of lines and columns; of each file at most maxFaults,
// and one more that says how many are not told.
func (f *faultList) sorted(files []string) []model.Fault {
	rank := make(map[string]int, len(files))
	for i, name := range files {
		if _, seen := rank[name]; !seen {
			rank[name] = i
		}
	}
	sort.SliceStable(f.list, func(i, j int) bool {
		a, b := f.list[i].Src, f.list[j].Src
		if a.File != b.File {
			return rank[a.File] < rank[b.File]
		}
		if a.Line != b.Line {
			return a.Line < b.Line
		}
		return a.Col < b.Col
	})
	return f.cut()
}

// cut leaves out what no one would read.
func (f *faultList) cut() []model.Fault {
	var out []model.Fault
	for i := 0; i < len(f.list); {
		file, j := f.list[i].Src.File, i
		for j < len(f.list) && f.list[j].Src.File == file {
			j++
		}
		told := min(j-i, maxFaults)
		out = append(out, f.list[i:i+told]...)
		if more := j - i - told + f.dropped[file]; more > 0 {
			out = append(out, model.Fault{Src: model.Source{File: file}, What: fmt.Sprintf("%d more faults in this file", more),
				Hint: "mend the first ones and read it again: most likely they have one cause"})
		}
		i = j
	}
	return out
}

// tell makes text from a file fit to be shown: control characters are shown and not obeyed, what is endless is cut.
func tell(s string) string {
	if len(s) > maxTold {
		cut := maxTold
		for !utf8.RuneStart(s[cut]) {
			cut--
		}
		s = s[:cut] + "…"
	}
	plain := func(r rune) bool { return unicode.IsPrint(r) || r == '\u00a0' }
	if strings.IndexFunc(s, func(r rune) bool { return !plain(r) }) < 0 {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		if plain(r) {
			b.WriteRune(r)
		} else {
			q := fmt.Sprintf("%+q", string(r))
			b.WriteString(q[1 : len(q)-1])
		}
	}
	return b.String()
}
