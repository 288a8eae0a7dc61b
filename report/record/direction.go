package record

import (
	"bytes"
	"fmt"
	"unicode"
)

// Characters that turn the direction of writing can make a line read as what it is not: "12 bags" as "21 bags". In the
// page each shows as U+FFFD; in the JSON that it carries they stand escaped, so that nothing is lost.

// escapeDirection writes such characters of a JSON document as \u202e.
func escapeDirection(doc []byte) []byte {
	return mapDirection(doc, func(r rune) string { return fmt.Sprintf(`\u%04x`, r) })
}

// showDirection makes such characters of a page visible.
func showDirection(page []byte) []byte {
	return mapDirection(page, func(rune) string { return "\ufffd" })
}

func mapDirection(text []byte, as func(rune) string) []byte {
	if !bytes.ContainsFunc(text, turns) {
		return text
	}
	out := make([]byte, 0, len(text))
	for _, r := range string(text) {
		if turns(r) {
			out = append(out, as(r)...)
			continue
		}
		out = append(out, string(r)...)
	}
	return out
}

func turns(r rune) bool { return r > unicode.MaxLatin1 && unicode.Is(unicode.Bidi_Control, r) }
