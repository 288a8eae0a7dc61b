package joblog

import (
	"strings"

	"bayproof/model"
	"bayproof/model/cell"
)

// next gives the next row that holds something: its cells, which stay until start, and its line. Rows that cannot be cut
// are faults and are passed over.
func (s *sheet) next() (cells []string, line int, ok bool) {
	for {
		text, more := s.lines.next()
		if !more {
			return nil, 0, false
		}
		if len(text) == 0 {
			continue
		}
		open := 0
		if s.plain {
			s.row = s.cut.plain(text, s.room())
		} else {
			s.row, open = s.cut.cut(text, s.room())
		}
		switch {
		case open > 0:
			s.openQuote(open)
		case allBlank(s.row) || s.isHeader(s.row):
		case s.tornOff(len(s.row)):
			s.f.addf(s.place(len(s.row)-1), "complete it or delete it", "the last row is torn off: %s of %d and no line end", cellsOf(len(s.row)), len(s.header))
		case s.fits(s.row):
			s.full = len(s.row) == len(s.header)
			s.unended()
			return s.keep(), s.lines.n, true
		}
	}
}

// room is where the next row's cells go: behind those of the rows before it. A row with more cells than the header has
// may get memory of its own.
func (s *sheet) room() []string {
	n := len(s.slab)
	if cap(s.slab)-n < len(s.header) {
		s.slab, n = make([]string, 0, max(len(s.header), min(2*cap(s.slab), 16*slab), slab)), 0
	}
	return s.slab[n:n]
}

// keep takes the row at hand as given.
func (s *sheet) keep() []string {
	n := len(s.row)
	s.slab = s.slab[:min(len(s.slab)+n, cap(s.slab))]
	return s.row[:n:n]
}

// start makes the sheet ready for the rows of a text. Rows given before it hold no longer.
func (s *sheet) start(text lines) {
	s.lines, s.spare, s.full, s.slab = text, -1, false, s.slab[:0]
	s.plain = strings.IndexByte(text.rest, '"') < 0
}

// tornOff knows a last row that lacks its line end and cells which the row before it has, or the time, where that is the last
// column: a log that bayproof wrote has both in every row.
func (s *sheet) tornOff(cells int) bool {
	timed := len(s.cols) > 0 && s.cols[len(s.cols)-1].name == "time"
	return s.lines.rest == "" && !s.lines.ended && (s.full || timed) && cells < len(s.header)
}

// unended warns of a last row that ends in a figure and in no line end: some editors leave it out, and a file that was cut off
// while it was written or copied looks the same. Of 1.75 the 1 is a figure too.
func (s *sheet) unended() {
	last := len(s.row) - 1
	if s.lines.rest != "" || s.lines.ended || last >= len(s.cols) || cell.Blank(s.row[last]) {
		return
	}
	if _, figure := cell.Column(s.cols[last].name, model.US); figure {
		s.f.warn("line-unended", s.place(last), "the last row has no line end: if the file was cut off there, %s %s may be only the start of a figure; look at it, and end the line",
			s.cols[last].name, s.row[last])
	}
}

// fits tells whether a row has the cells that the header names. A comma file may leave out blank ones at the end, or have
// as many more as every row has; one row with a cell more has a comma in a cell, and what stands after it has moved.
func (s *sheet) fits(row []string) bool {
	n, want := len(row), len(s.header)
	if n == want || s.cut.sep != ';' && n < want {
		s.spare = max(s.spare, 0)
		return true
	}
	if s.cut.sep != ';' && allBlank(row[want:]) && (s.spare < 0 || s.spare == n-want) {
		s.row, s.spare = row[:want], n-want
		return true
	}
	hint := "a comma inside a cell? put the cell in quotes"
	if s.cut.sep == ';' {
		hint = "in a semicolon file every row has as many cells as the header; put readings with ; between in quotes"
	}
	s.f.addf(model.Source{File: s.file, Line: s.lines.n, Col: min(n, want+1)}, hint, "%s where the header names %d", cellsOf(n), want)
	return false
}

// isHeader knows a header row that stands in the file once more.
func (s *sheet) isHeader(row []string) bool {
	if len(row) != len(s.header) || row[0] != s.header[0] {
		return false
	}
	for i, c := range row {
		if c != s.header[i] {
			return false
		}
	}
	return true
}

// place is a cell of the row that next gave last; field counts from 0.
func (s *sheet) place(field int) model.Source {
	return model.Source{File: s.file, Line: s.lines.n, Col: field + 1}
}

func allBlank(cells []string) bool {
	for _, c := range cells {
		for i := 0; i < len(c); i++ {
			switch c[i] {
			case ' ', '\t', '\r', 0xc2, 0xa0:
			default:
				return false
			}
		}
	}
	return true
}
