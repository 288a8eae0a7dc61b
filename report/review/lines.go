package review

import (
	"strings"
	"unicode/utf8"

	"bayproof/report/screen"
)

// width is what a small screen shows without breaking.
const width = 72

const (
	bold = "\x1b[1m"
	red  = "\x1b[31m"
	dim  = "\x1b[2m"
	off  = "\x1b[0m"
)

// sheet collects lines.
type sheet struct {
	dst    []byte
	colour bool
}

func (s *sheet) line(text string) {
	s.dst = append(append(s.dst, strings.TrimRight(text, " ")...), '\n')
}

func (s *sheet) paint(code, text string) string {
	if !s.colour {
		return text
	}
	return code + text + off
}

func (s *sheet) heading(text string) {
	s.line("")
	s.line(s.paint(bold, text))
}

// item appends wrapped text behind a head; further lines are indented.
func (s *sheet) item(head string, indent int, text string) {
	room := width - indent
	for i, part := range screen.Wrap(text, room) {
		if i > 0 {
			head = strings.Repeat(" ", indent)
		}
		s.line(screen.Pad(head, indent) + part)
	}
}

// table appends columns; the first is left-aligned, the others right. Columns that are empty throughout are left out.
func (s *sheet) table(head []string, rows [][]string) {
	widths := make([]int, len(head))
	for i := range head {
		some := false
		for _, r := range rows {
			widths[i] = max(widths[i], utf8.RuneCountInString(r[i]))
			some = some || r[i] != ""
		}
		if some || i == 0 {
			widths[i] = max(widths[i], utf8.RuneCountInString(head[i]))
		}
	}
	if over := wide(widths) - width; over > 0 {
		widths[0] = max(leastName, widths[0]-over)
	}
	s.line(s.paint(bold, row(head, widths)))
	for _, r := range rows {
		s.line(row(r, widths))
	}
}

// leastName is what is left of the first column at least.
const leastName = 8

// wide is how many characters columns take with the space between them.
func wide(widths []int) int {
	n := -2
	for _, w := range widths {
		if w > 0 {
			n += w + 2
		}
	}
	return n
}

func row(cells []string, widths []int) string {
	var parts []string
	for i, c := range cells {
		switch {
		case i == 0:
			parts = append(parts, screen.Pad(screen.Short(c, widths[i]), widths[i]))
		case widths[i] > 0:
			parts = append(parts, strings.Repeat(" ", widths[i]-utf8.RuneCountInString(c))+c)
		}
	}
	return strings.Join(parts, "  ")
}
