package report

import (
	"strings"
	"unicode/utf8"

	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
)

// pageWidth is what fits a small screen beside a label, in characters: with English labels 72 in
// all.
const pageWidth = 61

// page lays lines out for a terminal: what is printed is clean already (screen.Clean), so that no
// name from a file is obeyed.
type page struct {
	screen.Page
	afterHeading int // length of the page behind its last heading
	labelWidth   int // of the longest label, "□ UNFILLED", and a space
}

// colours go with the marks of say.Mark and never stand alone: a log is read on paper and by eyes
// that see no red.
var colours = map[verify.Verdict]string{verify.Close: screen.Green, verify.Add: screen.Red, verify.Probe: screen.Magenta, verify.Measure: screen.Yellow}

// heading begins a part of the page.
func (p *page) heading(text string) {
	p.Heading(text)
	p.afterHeading = len(p.Dst)
}

// labelled is the mark of a verdict and a word, padded to one width.
func (p *page) labelled(v verify.Verdict, word string) string {
	word = say.Mark(v) + " " + word
	return p.Paint(colours[v], word) + screen.Pad("", p.labelWidth-utf8.RuneCountInString(word))
}

// paragraph appends wrapped text with an indent.
func (p *page) paragraph(indent int, text string) { p.Item("", indent, text) }

// table appends rows after an empty line, their cells side by side with two spaces between. The
// first row is the heads; the first column is left-aligned, the others right.
func (p *page) table(rows [][]string) {
	widths := make([]int, len(rows[0]))
	for _, row := range rows {
		for i, cell := range row {
			widths[i] = max(widths[i], utf8.RuneCountInString(cell))
		}
	}
	p.Blank()
	for n, row := range rows {
		line := screen.Pad(row[0], widths[0])
		for i, cell := range row[1:] {
			line += "  " + screen.PadLeft(cell, widths[i+1])
		}
		if n == 0 {
			line = p.Paint(screen.Bold, strings.TrimRight(line, " "))
		}
		p.Line(line)
	}
}
