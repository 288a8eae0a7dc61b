package joblog

import (
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"

	"bayproof/model"
)

const bom = "\ufeff"

// decode turns a file's bytes into text: a byte order mark is taken off; what is not UTF-8 is read as Windows-1252 with a
// warning; UTF-16 and NUL are faults. line is that of the first byte. It answers false where nothing can be read.
func decode(file string, line int, b string, f *faultList) (string, bool) {
	if isUTF16(b) {
		f.add(model.Source{File: file}, "the file is UTF-16, not UTF-8", "save as CSV UTF-8")
		return "", false
	}
	if workbook(b) {
		f.add(model.Source{File: file}, "a workbook, not a CSV file", "save the sheet as CSV UTF-8")
		return "", false
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
		f.add(src, "the last row is torn off in the middle of a letter", "complete it or delete it; a whole file in Windows-1252 is saved as CSV UTF-8")
		return "", false
	}
	s, err := charmap.Windows1252.NewDecoder().String(b)
	if err != nil {
		f.add(model.Source{File: file}, "neither UTF-8 nor Windows-1252", "save as CSV UTF-8")
		return "", false
	}
	src := model.Source{File: file, Line: line + strings.Count(b[:firstInvalid(b)], "\n")}
	f.warn("encoding", src, "%s is not UTF-8: read as Windows-1252; look at accents and fractions, and save as CSV UTF-8", file)
	return s, true
}

// workbook knows the first bytes of spreadsheets' own files.
func workbook(b string) bool {
	return strings.HasPrefix(b, "PK\x03\x04") || strings.HasPrefix(b, "\xd0\xcf\x11\xe0")
}

// isUTF16 knows the byte order marks of UTF-16, and text without one by its NULs at every other byte.
func isUTF16(b string) bool {
	if strings.HasPrefix(b, "\xff\xfe") || strings.HasPrefix(b, "\xfe\xff") {
		return true
	}
	head := b[:min(len(b), 64)]
	var nul [2]int
	for i := range len(head) {
		if head[i] == 0 {
			nul[i%2]++
		}
	}
	return len(head) >= 8 && (nul[0] > len(head)/3 && nul[1] == 0 || nul[1] > len(head)/3 && nul[0] == 0)
}

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
