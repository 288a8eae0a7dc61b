package report

import (
	"strings"
	"unicode/utf8"

	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
)

// pageWidth is what fits a small screen, in characters.
const pageWidth = 72

// page lays lines out for a terminal. It knows widths and nothing of bays: what is printed is clean already (screen.Clean), so
// that no name from a file is obeyed. It collects lines of at most pageWidth characters.
type page struct {
	dst          []byte
	colour       bool
	afterHeading bool // the last line was a heading
}

// Escape sequences of a terminal; colour only repeats what word and shape say.
const (
	plain   = "\x1b[0m"
	bold    = "\x1b[1m"
	red     = "\x1b[31m"
	green   = "\x1b[32m"
	yellow  = "\x1b[33m"
	magenta = "\x1b[35m"
)

// colours go with the marks of say.Mark and never stand alone: a log is read on paper and by eyes that see no red.
var colours = map[verify.Verdict]string{verify.Close: green, verify.Add: red, verify.Probe: magenta, verify.Measure: yellow}

// line appends text as it is.
func (p *page) line(text string) {
	p.dst = append(append(p.dst, text...), '\n')
	p.afterHeading = false
}

// blank appends an empty line unless the page begins or already has one.
func (p *page) blank() {
	if n := len(p.dst); n > 1 && !(p.dst[n-1] == '\n' && p.dst[n-2] == '\n') {
		p.dst = append(p.dst, '\n')
	}
}

// heading begins a part of the page: it appends a line that stands out.
func (p *page) heading(text string) {
	p.blank()
	p.line(p.paint(bold, text))
	p.afterHeading = true
}

// paint sets text in a colour, or leaves it where none is wanted. What is painted has more bytes than columns: pad first.
func (p *page) paint(code, text string) string {
	if !p.colour {
		return text
	}
	return code + text + plain
}

// label is the mark and word of a verdict, padded to one width.
func (p *page) label(v verify.Verdict) string {
	word := say.Mark(v) + " " + say.Verdict(v)
	return p.paint(colours[v], word) + screen.Pad("", labelWidth-utf8.RuneCountInString(word))
}

// labelWidth is the width of the longest label, "□ UNFILLED", and a space.
const labelWidth = 11

// item appends text behind a head that is headWidth characters wide, going on under its own beginning.
func (p *page) item(head string, headWidth int, text string) {
	for _, line := range screen.Hang(head, headWidth, pageWidth, text) {
		p.line(line)
	}
}

// paragraph appends wrapped text with an indent.
func (p *page) paragraph(indent int, text string) { p.item(screen.Pad("", indent), indent, text) }

// table appends rows after an empty line, their cells side by side with two spaces between. The first row is the heads;
// the first column is left-aligned, the others right.
func (p *page) table(rows [][]string) {
	widths := make([]int, len(rows[0]))
	for _, row := range rows {
		for i, cell := range row {
			widths[i] = max(widths[i], utf8.RuneCountInString(cell))
		}
	}
	p.blank()
	for n, row := range rows {
		line := screen.Pad(row[0], widths[0])
		for i, cell := range row[1:] {
			line += "  " + screen.PadLeft(cell, widths[i+1])
		}
		line = strings.TrimRight(line, " ")
		if n == 0 {
			line = p.paint(bold, line)
		}
		p.line(line)
	}
}
