package screen

import (
	"io"
	"strings"
	"unicode/utf8"
)

// asciiFor is what stands for the characters of bayproof's own sentences where only ASCII can be shown, one for one where
// columns are to stay straight. The marks of the verdicts stay four.
func asciiFor() *strings.Replacer {
	return strings.NewReplacer(
		"■", "#", "▲", "^", "◆", "*", "○", "o", "□", "-", "·", "-",
		"±", "+-", "³", "3", "²", "2", "×", "x", "−", "-", "–", "-", "—", "-", "…", "~", "≥", ">=", "≤", "<=", "→", "->", "°", "deg",
		"½", " 1/2", "¼", " 1/4", "¾", " 3/4", "⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8",
		"’", "'", "‘", "'", "′", "'", "“", `"`, "”", `"`, "″", `"`, "μ", "u", "µ", "u", "τ", "tau", "ν", "nu", "\u00a0", " ",
	)
}

// ASCII returns a writer that passes text on to a terminal that shows no UTF-8. A character for which nothing stands, of
// a name say, is shown as a question mark.
func ASCII(w io.Writer) io.Writer { return &asciiWriter{w: w, signs: asciiFor()} }

type asciiWriter struct {
	w     io.Writer
	signs *strings.Replacer
	torn  []byte // the beginning of a character whose rest is still to come
}

// Write passes p on, but for a character that is cut off at its end.
func (a *asciiWriter) Write(p []byte) (int, error) {
	text := append(a.torn, p...)
	whole := len(text)
	for back := 1; back < utf8.UTFMax && back <= len(text); back++ {
		if at := len(text) - back; utf8.RuneStart(text[at]) {
			if !utf8.FullRune(text[at:]) {
				whole = at
			}
			break
		}
	}
	_, err := io.WriteString(a.w, a.ascii(string(text[:whole])))
	a.torn = append([]byte(nil), text[whole:]...)
	return len(p), err
}

func (a *asciiWriter) ascii(text string) string {
	return strings.Map(func(r rune) rune {
		if r >= utf8.RuneSelf {
			return '?'
		}
		return r
	}, a.signs.Replace(text))
}
