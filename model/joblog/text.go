package joblog

import (
	"strings"
	"unicode/utf8"

	xencoding "golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"bayproof/model"
)

const bom = "\ufeff"

// encoding is how the text of a file is written.
type encoding uint8

const (
	utf8Text encoding = iota
	windows1252
	utf16Little
	utf16Big
)

// coder turns the encoding's bytes into UTF-8 and back. A byte order mark is text to it.
func (e encoding) coder() xencoding.Encoding {
	switch e {
	case windows1252:
		return charmap.Windows1252
	case utf16Little:
		return unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM)
	case utf16Big:
		return unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM)
	}
	return xencoding.Nop
}

// wide tells whether a character takes two bytes at least.
func (e encoding) wide() bool { return e == utf16Little || e == utf16Big }

// encodingOf finds how a file is written. Whatever is neither UTF-16 nor UTF-8 is taken for Windows-1252.
func encodingOf(b string) encoding {
	if e := utf16Of(b); e.wide() {
		return e
	}
	if utf8.ValidString(b) {
		return utf8Text
	}
	return windows1252
}

// decode turns a file's bytes into text: a byte order mark is taken off; what is neither UTF-8 nor UTF-16 is read as
// Windows-1252 with a warning; NUL is a fault. line is that of the first byte. It answers false where nothing can be read.
func decode(file string, line int, b string, f *faultList) (string, bool) {
	const half = "the last row is torn off in the middle of a letter"
	if strings.HasPrefix(b, "PK\x03\x04") || strings.HasPrefix(b, "\xd0\xcf\x11\xe0") { // as spreadsheets' own files begin
		f.add(model.Source{File: file}, "a workbook, not a CSV file", "save the sheet as CSV UTF-8")
		return "", false
	}
	if e := utf16Of(b); e.wide() {
		s, err := e.coder().NewDecoder().String(b[:len(b)&^1])
		if err != nil || len(b)%2 == 1 {
			f.add(model.Source{File: file, Line: line + strings.Count(s, "\n")}, half, "complete it or delete it")
			return "", false
		}
		b = s
	}
	b = strings.TrimPrefix(b, bom)
	if at := strings.IndexByte(b, 0); at >= 0 {
		src := model.Source{File: file, Line: line + strings.Count(b[:at], "\n")}
		f.add(src, "a NUL byte: this is no text", "save as CSV UTF-8; a torn file ends at the line before")
		return "", false
	}
	if utf8.ValidString(b) {
		return b, true
	}
	if bad := firstInvalid(b); bad > 0 && !utf8.FullRuneInString(b[bad:]) {
		src := model.Source{File: file, Line: line + strings.Count(b[:bad], "\n")}
		f.add(src, half, "complete it or delete it; a whole file in Windows-1252 is saved as CSV UTF-8")
		return "", false
	}
	s, err := windows1252.coder().NewDecoder().String(b)
	if err != nil {
		f.add(model.Source{File: file}, "neither UTF-8 nor Windows-1252", "save as CSV UTF-8")
		return "", false
	}
	src := model.Source{File: file, Line: line + strings.Count(b[:firstInvalid(b)], "\n")}
	f.warn("encoding", src, "%s is not UTF-8: read as Windows-1252; look at accents and fractions, and save as CSV UTF-8", file)
	return s, true
}

// utf16Of knows the byte order marks of UTF-16, and text without one by its NULs at every other byte; utf8Text where
// there is neither.
func utf16Of(b string) encoding {
	switch {
	case strings.HasPrefix(b, "\xff\xfe"):
		return utf16Little
	case strings.HasPrefix(b, "\xfe\xff"):
		return utf16Big
	}
	head := b[:min(len(b), 64)]
	var nul [2]int
	for i := range len(head) {
		if head[i] == 0 {
			nul[i%2]++
		}
	}
	switch {
	case len(head) < 8:
	case nul[0] > len(head)/3 && nul[1] == 0:
		return utf16Big
	case nul[1] > len(head)/3 && nul[0] == 0:
		return utf16Little
	}
	return utf8Text
}

// firstInvalid is the byte at which a text stops being UTF-8, its length where it is all of that.
func firstInvalid(b string) int {
	for i := 0; i < len(b); {
		r, n := utf8.DecodeRuneInString(b[i:])
		if r == utf8.RuneError && n == 1 {
			return i
		}
		i += n
	}
	return len(b)
}

// lines hands out the lines of a text with their numbers.
type lines struct {
	rest string
	n    int  // number of the last line given
	end  byte // '\n', or '\r' in a text that has no other line end
	// ended is whether the last line given had a line end.
	ended bool
}

// newLines begins with the line after number before. A file that has no line feed at all has carriage returns for line ends.
func newLines(s string, before int) lines {
	l := lines{rest: s, n: before, end: '\n'}
	if strings.IndexByte(s, '\n') < 0 && strings.IndexByte(s, '\r') >= 0 {
		l.end = '\r'
	}
	return l
}

// next gives the next line without its end.
func (l *lines) next() (string, bool) {
	if l.rest == "" {
		return "", false
	}
	l.n++
	at := strings.IndexByte(l.rest, l.end)
	if l.ended = at >= 0; !l.ended {
		line := l.rest
		l.rest = ""
		return strings.TrimSuffix(line, "\r"), true
	}
	line := l.rest[:at]
	l.rest = l.rest[at+1:]
	if at > 0 && line[at-1] == '\r' {
		line = line[:at-1]
	}
	return line, true
}

// decimalComma tells whether a comma is the decimal mark: in a semicolon or tab file, where numbers have commas and none
// has a point. Where both stand, which one is meant nobody knows.
func (p *logPlan) decimalComma(text lines, s *sheet, f *faultList) bool {
	return tableComma(text, s, f, func(field int) bool {
		return p.cols[field] != nil && p.cols[field].Figure != nil
	})
}

// tableComma looks for decimal commas and points in the numeric columns of a sheet.
func tableComma(text lines, s *sheet, f *faultList, numeric func(field int) bool) bool {
	if s.cut.sep == ',' {
		return false
	}
	var comma, point model.Source
	var commaCell, pointCell string
	var row []string
	for {
		line, ok := text.next()
		if !ok {
			break
		}
		row, _ = s.cut.cut(line, row[:0])
		for i, c := range row {
			if i >= len(s.cols) || !numeric(i) {
				continue
			}
			if comma.Line == 0 && between(c, ',') {
				comma, commaCell = model.Source{File: s.file, Line: text.n, Col: i + 1}, c
			}
			if point.Line == 0 && between(c, '.') {
				point, pointCell = model.Source{File: s.file, Line: text.n, Col: i + 1}, c
			}
		}
	}
	if comma.Line > 0 && point.Line > 0 {
		f.addf(comma, "use one decimal mark in the whole file", "%s has a decimal comma, and %s on line %d a decimal point", commaCell, pointCell, point.Line)
	}
	return comma.Line > 0
}

// between tells whether the mark stands between two digits; those of other scripts are refused in the cell.
func between(s string, mark byte) bool {
	for i := 1; i+1 < len(s); i++ {
		if s[i] == mark && s[i-1]-'0' <= 9 && s[i+1]-'0' <= 9 {
			return true
		}
	}
	return false
}
