package screen

import (
	"strings"
	"unicode/utf8"
)

// Wrap breaks text into lines of at most width characters, at spaces; a longer word stands alone. A number stays with
// the unit or sign behind it.
func Wrap(text string, width int) []string {
	var lines []string
	line := ""
	text = glue(text)
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' }) {
		switch {
		case line == "":
			line = word
		case utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) <= width:
			line += " " + word
		default:
			lines = append(lines, strings.ReplaceAll(line, "\u00a0", " "))
			line = word
		}
	}
	return append(lines, strings.ReplaceAll(line, "\u00a0", " "))
}

// glue joins a figure to what belongs to it by a non-breaking space.
func glue(text string) string {
	words := strings.Split(text, " ")
	var b strings.Builder
	for i, word := range words {
		if i > 0 {
			if belongs(words[i-1], word) {
				b.WriteRune('\u00a0')
			} else {
				b.WriteByte(' ')
			}
		}
		b.WriteString(word)
	}
	return b.String()
}

// belongs tells whether a word goes with the figure before it: a unit, a plus-minus, the fraction after whole inches.
func belongs(before, word string) bool {
	if before == "±" {
		return true
	}
	if n := len(before); n == 0 || before[n-1] < '0' || before[n-1] > '9' {
		return false
	}
	switch strings.TrimRight(word, ".,;:)") {
	case "%", "±", "lb", "kg", "ft", "in", "m", "mm", "ft³", "m³", "lb/ft³", "kg/m³", "bags", "bag":
		return true
	}
	return strings.Contains(word, "/") && word[0] >= '0' && word[0] <= '9'
}
