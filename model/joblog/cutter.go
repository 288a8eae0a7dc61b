package joblog

import (
	"math/bits"
	"strings"
)

// cutter cuts a line into its cells. A quote opens a cell only at its start; inside a cell it is text (an inch mark).
// Because a line break inside a cell is refused anyway, every line is cut by itself, and a line whose quotes do not add
// up may be read the way it was meant.
type cutter struct {
	sep   byte
	ditto []bool // columns in which a quote alone is a cell: as the bay above
	want  int    // cells of the header; 0 while it is read
}

// cut appends the line's cells. open is the number from 1 of a cell whose quote is not closed on this line, else 0.
func (c *cutter) cut(line string, cells []string) (out []string, open int) {
	if strings.IndexByte(line, '"') < 0 {
		return c.plain(line, cells), 0
	}
	start := len(cells)
	out, ok := c.quoted(line, cells, closeStrict)
	if ok && (c.want == 0 || len(out)-start == c.want) {
		return out, 0
	}
	strict := append([]string(nil), out[start:]...)
	out, loose := c.quoted(line, cells[:start], closeLoose)
	switch {
	case ok && !(loose && len(out)-start == c.want):
		return append(cells[:start], strict...), 0
	case !loose:
		return out, len(out) - start
	}
	return out, 0
}

// plain cuts a line without quotes, eight bytes at a time.
func (c *cutter) plain(line string, cells []string) []string {
	from, i := 0, 0
	for ; i+8 <= len(line); i += 8 {
		for found := among(line[i:i+8], c.sep); found != 0; found &= found - 1 {
			at := i + bits.TrailingZeros64(found)/8
			cells = append(cells, line[from:at])
			from = at + 1
		}
	}
	for ; i < len(line); i++ {
		if line[i] == c.sep {
			cells = append(cells, line[from:i])
			from = i + 1
		}
	}
	return append(cells, line[from:])
}

// among looks for a byte in the first eight of s: the top bit of every byte of the answer tells whether that one is b,
// the lowest byte standing for the first. A byte of x is zero where they are the same, and only there does neither it nor
// the sum of its lower bits and 127, which carries nothing over, have its top bit set.
func among(s string, b byte) uint64 {
	const ones, low = 0x0101010101010101, 0x7f7f7f7f7f7f7f7f
	_ = s[7]
	x := uint64(s[0]) | uint64(s[1])<<8 | uint64(s[2])<<16 | uint64(s[3])<<24 |
		uint64(s[4])<<32 | uint64(s[5])<<40 | uint64(s[6])<<48 | uint64(s[7])<<56
	x ^= ones * uint64(b)
	return ^(x&low + low | x | low)
}

// quoted cuts a line with quotes in it; it stops at a cell that the closing rule finds no end of.
func (c *cutter) quoted(line string, cells []string, closing func(c *cutter, s string) (string, int)) ([]string, bool) {
	for n := 0; ; n++ {
		var cell string
		var end int
		switch {
		case line == "" || line[0] != '"':
			if end = strings.IndexByte(line, c.sep); end < 0 {
				end = len(line)
			}
			cell = line[:end]
		case n < len(c.ditto) && c.ditto[n] && c.ends(line[1:]) >= 0:
			cell, end = line[:1], 1+c.ends(line[1:])
		default:
			if cell, end = closing(c, line); end < 0 {
				return append(cells, line), false
			}
		}
		if n < len(c.ditto) && c.ditto[n] && len(cell) > 2 {
			cell = strings.ReplaceAll(cell, `""`, `"`) // an inch mark that was doubled once too often
		}
		cells = append(cells, cell)
		if end == len(line) {
			return cells, true
		}
		line = line[end+1:]
	}
}

// ends tells how many spaces stand before the end of the cell, or -1 where more of the cell follows.
func (c *cutter) ends(s string) int {
	i := 0
	for i < len(s) && s[i] == ' ' {
		i++
	}
	if i == len(s) || s[i] == c.sep {
		return i
	}
	return -1
}

// closeStrict reads a quoted cell by the book: a doubled quote is one quote, a single one closes the cell and stands
// before a separator. It returns the cell and where it ends, or -1.
func closeStrict(c *cutter, s string) (string, int) {
	doubled := false
	for i := 1; i < len(s); i++ {
		if s[i] != '"' {
			continue
		}
		if i+1 < len(s) && s[i+1] == '"' {
			doubled = true
			i++
			continue
		}
		n := c.ends(s[i+1:])
		if n < 0 {
			return "", -1
		}
		cell := s[1:i]
		if doubled {
			cell = strings.ReplaceAll(cell, `""`, `"`)
		}
		return cell, i + 1 + n
	}
	return "", -1
}

// closeLoose reads a quoted cell whose own quotes were not doubled: it ends at the first quotes that stand before a
// separator. Two of them are an inch mark and the closing quote.
func closeLoose(c *cutter, s string) (string, int) {
	for i := 1; i < len(s); i++ {
		if s[i] != '"' {
			continue
		}
		from := i
		for i < len(s) && s[i] == '"' {
			i++
		}
		if n := c.ends(s[i:]); n >= 0 {
			cell := strings.ReplaceAll(s[1:from], `""`, `"`) + strings.Repeat(`"`, (i-from)/2)
			return cell, i + n
		}
	}
	return "", -1
}
