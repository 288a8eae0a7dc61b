package screen

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Cell is text as a cell of a CSV file: what begins like a formula gets a leading apostrophe, which the log's reader takes
// off again, and what a terminal would obey is shown as in Clean: a CSV file is looked at there as well.
func Cell(text string) string {
	if text != "" && strings.IndexByte("=+-@\t\r'", text[0]) >= 0 {
		text = "'" + text
	}
	if plain(text) {
		return text
	}
	return Clean(text)
}

// plain tells whether a text is printable ASCII, which needs no closer look.
func plain(text string) bool {
	for i := range len(text) {
		if text[i] < ' ' || text[i] >= 0x7f {
			return false
		}
	}
	return true
}

// JSON writes the characters that Clean takes out as \u escapes: no reader of the document sees a difference, and a
// terminal has nothing to obey. Line ends and tabs between the values stay; within a string the encoder has escaped them.
func JSON(document []byte) []byte {
	clean := 0 // what stands before is in out
	var out []byte
	for i := 0; i < len(document); {
		if document[i] < 0x7f {
			i++
			continue
		}
		r, n := utf8.DecodeRune(document[i:])
		if unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) {
			out = fmt.Appendf(append(out, document[clean:i]...), `\u%04x`, r)
			clean = i + n
		}
		i += n
	}
	if clean == 0 {
		return document
	}
	return append(out, document[clean:]...)
}
