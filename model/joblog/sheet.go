package joblog

import (
	"strings"
)

// sheet is one table of a job: the header says where its columns stand, next gives its rows.
type sheet struct {
	file   string
	cut    cutter
	comma  bool // the decimal mark is a comma
	header []string
	cols   []column
	extra  []string // headers that no one knows
	lines  lines
	f      *faultList
	row    []string // of next
	slab   []string // where the rows given so far have their cells
	plain  bool     // no quote stands in the text
	full   bool     // the row before had all its cells
	spare  int      // empty cells after the header's that every row has; -1 before the first row
}

// column is one column of a sheet.
type column struct {
	name  string // the known name; empty where no one knows it
	title string // as written
	kind  int    // what a reader of rows makes of it
	unit  string // the unit in the header, as the tool writes it
}

// openSheet reads the header: the first line that is not blank, after a line `sep=;` where there is one. It answers
// false where the text holds no table that anyone knows; an empty text has no header and no fault.
func openSheet(file, text string, k *knownColumns, f *faultList) (*sheet, bool) {
	s := &sheet{file: file, lines: newLines(text, 0), f: f, spare: -1}
	sep := byte(0)
	for {
		line, ok := s.lines.next()
		if !ok {
			return s, false
		}
		if sep == 0 {
			if sep = sepLine(line); sep != 0 {
				continue
			}
		}
		if blankLine(line) {
			continue
		}
		s.readHeader(line, sep, k)
		return s, k.plan(s)
	}
}

// readHeader cuts the header line by the separator that finds the most known names.
func (s *sheet) readHeader(line string, sep byte, k *knownColumns) {
	best := -1
	for _, c := range []byte{',', ';', '\t'} {
		if sep != 0 && c != sep {
			continue
		}
		cut := cutter{sep: c}
		cells, _ := cut.cut(line, nil)
		known := 0
		for _, cell := range cells {
			if name, _ := k.name(cell); name != "" {
				known++
			}
		}
		if known > best {
			best, s.header, s.cut = known, cells, cut
		}
	}
	s.cut.want = len(s.header)
}

// sepLine knows the line that some spreadsheets put first to say their separator.
func sepLine(line string) byte {
	line = strings.Trim(line, `" `)
	if len(line) == 5 && strings.EqualFold(line[:4], "sep=") && strings.IndexByte(",;\t", line[4]) >= 0 {
		return line[4]
	}
	return 0
}

// blankLine tells whether a line before the header holds nothing.
func blankLine(line string) bool {
	return strings.Trim(line, ",;\t\r\" \u00a0") == ""
}
