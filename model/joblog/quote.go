package joblog

import (
	"fmt"
	"strings"

	"bayproof/model"
)

// maxBreak is how many lines a broken cell is followed for.
const maxBreak = 40

// openQuote makes the fault of a quote that is not closed on its line. Where a later line closes it, the cell holds a
// line break and the lines in between are passed over, or each of them would be a fault of its own.
func (s *sheet) openQuote(field int) {
	src := model.Source{File: s.file, Line: s.lines.n, Col: field}
	ahead := s.lines
	for i := 0; i < maxBreak; i++ {
		line, ok := ahead.next()
		if !ok || s.whole(line) {
			break
		}
		if at := strings.IndexByte(line, '"'); at >= 0 && s.cut.ends(line[at+1:]) >= 0 {
			s.lines = ahead
			s.f.add(src, fmt.Sprintf("a line break inside a cell: its quote opens here and closes on line %d", ahead.n),
				"write the cell on one line")
			return
		}
	}
	s.f.add(src, "a quote opens this cell and nothing closes it", `close it; an inch mark inside quotes is written twice, 12' 6""`)
}

// whole tells whether a line is a row by itself, so that no broken cell runs across it.
func (s *sheet) whole(line string) bool {
	cells, open := s.cut.cut(line, nil)
	return open == 0 && len(cells) == len(s.header) && len(cells) > 2
}

func cellsOf(n int) string {
	if n == 1 {
		return "1 cell"
	}
	return fmt.Sprintf("%d cells", n)
}
