package review

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// width is what a terminal of 80 columns shows without breaking.
const width = 78

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
	for i, part := range wrapped(text, room) {
		if i > 0 {
			head = strings.Repeat(" ", indent)
		}
		s.line(pad(head, indent) + part)
	}
}

// wrapped breaks text at spaces.
func wrapped(text string, room int) []string {
	var out []string
	line := ""
	for _, word := range strings.Split(text, " ") {
		switch {
		case line == "":
			line = word
		case utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) <= room:
			line += " " + word
		default:
			out, line = append(out, line), word
		}
	}
	return append(out, line)
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
	s.line(s.paint(bold, row(head, widths)))
	for _, r := range rows {
		s.line(row(r, widths))
	}
}

func row(cells []string, widths []int) string {
	var parts []string
	for i, c := range cells {
		switch {
		case i == 0:
			parts = append(parts, pad(c, widths[i]))
		case widths[i] > 0:
			parts = append(parts, strings.Repeat(" ", widths[i]-utf8.RuneCountInString(c))+c)
		}
	}
	return strings.Join(parts, "  ")
}

func pad(text string, n int) string {
	if n -= utf8.RuneCountInString(text); n > 0 {
		return text + strings.Repeat(" ", n)
	}
	return text
}

// clean takes out what a name from a file could do to a terminal.
func clean(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) {
			return '\ufffd'
		}
		return r
	}, text)
}

// short cuts a name.
func short(name string, n int) string {
	if utf8.RuneCountInString(name) <= n {
		return name
	}
	return string([]rune(name)[:n-1]) + "…"
}
