package screen

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Clean shows what a terminal would obey, or would turn round, as a replacement character: control characters and those
// that change the direction of writing.
func Clean(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) {
			return utf8.RuneError
		}
		return r
	}, text)
}

// Short cuts a name that would leave no room for what is said about it.
func Short(name string, width int) string {
	if utf8.RuneCountInString(name) <= width {
		return name
	}
	return string([]rune(name)[:width-1]) + "…"
}

// Pad fills text with spaces up to width characters.
func Pad(text string, width int) string {
	if n := width - utf8.RuneCountInString(text); n > 0 {
		return text + strings.Repeat(" ", n)
	}
	return text
}

// PadLeft puts the spaces in front: for figures.
func PadLeft(text string, width int) string {
	if n := width - utf8.RuneCountInString(text); n > 0 {
		return strings.Repeat(" ", n) + text
	}
	return text
}
