package model

import (
	"fmt"
	"slices"
	"strings"
)

// Source is a place in an input as the file has it.
type Source struct {
	File string
	Line int // from 1; 0 when the whole file is meant
	Col  int // field from 1; 0 when the whole row is meant
}

// Place is a source and where a spreadsheet shows it.
type Place struct {
	Source
	Row   int    // from 1, the header's first; 0 where no spreadsheet shows the file, or the whole file is meant
	Title string // of the column, as its header is written; empty where it has none, or the whole row is meant
}

// String names the place for people: `bays.csv, row 7, column D "depth"`, the line beside the row
// where they differ. Empty where no file is meant.
func (p Place) String() string { return p.In("row", "line", "column") }

// In is String in another language, which has these words.
func (p Place) In(row, line, column string) string {
	text := p.File
	switch {
	case p.File == "" || p.Line <= 0:
		return text
	case p.Row <= 0:
		text += fmt.Sprintf(", %s %d", line, p.Line)
	case p.Row != p.Line:
		text += fmt.Sprintf(", %s %d (%s %d)", row, p.Row, line, p.Line)
	default:
		text += fmt.Sprintf(", %s %d", row, p.Row)
	}
	if p.Col > 0 {
		text += ", " + column + " " + Letter(p.Col)
		if p.Title != "" {
			text += ` "` + p.Title + `"`
		}
	}
	return text
}

// Letter is the name that a spreadsheet gives a column, from 1: A to Z, AA and on; empty where no
// column is meant.
func Letter(col int) string {
	var name []byte
	for ; col > 0; col = (col - 1) / 26 {
		name = append(name, byte('A'+(col-1)%26))
	}
	slices.Reverse(name)
	return string(name)
}

// Frame is how a spreadsheet shows the rows and columns of a file. A row whose cell holds line
// breaks is one row there, and a first line that only says the separator is none.
type Frame struct {
	Header []string // as written
	Hidden []Hidden // in the order of lines
}

// Hidden is a run of lines that are no rows of their own.
type Hidden struct{ From, Lines int } // from that line on

// Row is the row that shows a line; 0 for no line.
func (f *Frame) Row(line int) int {
	row := line
	for _, h := range f.Hidden {
		if line >= h.From {
			row -= min(h.Lines, line-h.From+1)
		}
	}
	return row
}

// Behind is the frame of a part of the file that begins with a line, where so many more lines than
// the frame's before it are no rows of their own.
func (f *Frame) Behind(line, hidden int) *Frame {
	part := &Frame{Header: f.Header, Hidden: slices.Clone(f.Hidden)}
	if hidden > 0 {
		part.Hidden = append(part.Hidden, Hidden{From: line - hidden, Lines: hidden})
	}
	return part
}

// Place is a source as a spreadsheet shows it.
func (f *Frame) Place(src Source) Place {
	p := Place{Source: src, Row: f.Row(src.Line)}
	if src.Col > 0 && src.Col <= len(f.Header) {
		p.Title = strings.TrimSpace(f.Header[src.Col-1])
	}
	return p
}
