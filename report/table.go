package report

import (
	"strings"
	"unicode/utf8"

	"bayproof/report/screen"
)

// column is one column of a small table; the first is left-aligned.
type column struct {
	head  string
	cells []string
}

// table appends columns side by side with two spaces between.
func (t *textPage) table(cols []column) {
	widths := make([]int, len(cols))
	for i, c := range cols {
		for _, cell := range append([]string{c.head}, c.cells...) {
			widths[i] = max(widths[i], utf8.RuneCountInString(cell))
		}
	}
	for row := -1; row < len(cols[0].cells); row++ {
		var parts []string
		for i, c := range cols {
			cell := c.head
			if row >= 0 {
				cell = c.cells[row]
			}
			if i == 0 {
				parts = append(parts, screen.Pad(cell, widths[i]))
			} else {
				parts = append(parts, screen.PadLeft(cell, widths[i]))
			}
		}
		line := strings.TrimRight(strings.Join(parts, "  "), " ")
		if row < 0 {
			line = t.paint(bold, line)
		}
		t.line(line)
	}
}
