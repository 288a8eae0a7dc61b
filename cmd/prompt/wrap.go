package prompt

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// wrap writes a line in lines of at most width columns; further ones are indented by two more. A word that is longer
// than a line is cut.
func wrap(b *strings.Builder, line string, width int) {
	body := strings.TrimLeft(line, " ")
	indent := line[:len(line)-len(body)]
	out, used := indent, len(indent)
	empty := true
	flush := func() {
		b.WriteString(strings.ReplaceAll(strings.TrimRight(out, " "), "\u00a0", " ") + "\n")
		out, used, empty = indent+"  ", len(indent)+2, true
	}
	for _, word := range strings.Split(body, " ") {
		n := utf8.RuneCountInString(word)
		if !empty && used+1+n > width {
			flush()
		}
		if !empty {
			out, used = out+" ", used+1
		}
		for room := max(width-used, 8); n > room; room = max(width-used, 8) {
			runes := []rune(word)
			out += string(runes[:room])
			word, n = string(runes[room:]), n-room
			flush()
		}
		out, used, empty = out+word, used+n, false
	}
	flush()
}

// keyed takes out of a line what no key writes: control characters come from a paste.
func keyed(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || r == utf8.RuneError {
			return ' '
		}
		return r
	}, text)
}
