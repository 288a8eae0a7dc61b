package screen

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Cell is text as a cell of a CSV file: what begins like a formula gets a leading apostrophe, which
// the log's reader takes off again, and what a terminal would obey is shown as in Clean: a CSV file
// is looked at there as well.
func Cell(text string) string {
	if first, _ := utf8.DecodeRuneInString(text); text != "" && strings.ContainsRune(formulaSigns, first) {
		text = "'" + text
	}
	return Clean(text)
}

// formulaSigns are those at which a spreadsheet begins to compute, the full-width ones of East
// Asian keyboards too, and the guard itself.
const formulaSigns = "=+-@\t\r'＝＋－＠"

// Quote appends a cell of a CSV file. It stands in quotes where it begins or ends with a space or
// holds a quote, a line end or one of the separators: those of every form in which the file may be
// read (RFC 4180, 2.5 to 2.7).
func Quote(dst []byte, cell, separators string) []byte {
	if !strings.ContainsAny(cell, separators) && !strings.ContainsAny(cell, "\"\r\n") && strings.TrimSpace(cell) == cell {
		return append(dst, cell...)
	}
	dst = append(dst, '"')
	dst = append(dst, strings.ReplaceAll(cell, `"`, `""`)...)
	return append(dst, '"')
}

// AppendCell appends somebody's text as a cell: neither a spreadsheet nor a terminal obeys it.
func AppendCell(dst []byte, text string) []byte {
	for i := range len(text) {
		if c := text[i]; c < '0' || '9' < c && c < 'A' || 'Z' < c && c < 'a' || 'z' < c {
			return Quote(dst, Cell(text), ",")
		}
	}
	return append(dst, text...) // letters and digits alone, as most names are
}

// AppendRow appends a row of a CSV file. What comes from a job's files must have been through Cell;
// figures must not, since a minus sign is none there that a spreadsheet runs.
func AppendRow(dst []byte, cells ...string) []byte {
	for i, cell := range cells {
		if i > 0 {
			dst = append(dst, ',')
		}
		dst = Quote(dst, cell, ",")
	}
	return append(dst, '\n')
}

// Figure is a number as a cell, with the shortest digits that read back as the same number; empty
// where it does not exist.
func Figure(x float64) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return ""
	}
	return strconv.FormatFloat(x, 'g', -1, 64)
}

// JSON writes the characters that Clean takes out as \u escapes: no reader of the document sees a
// difference, and a terminal has nothing to obey. Line ends and tabs between the values stay;
// within a string the encoder has escaped them.
func JSON(document []byte) []byte {
	escaped := func(r rune) bool { return r >= 0x7f && Obeyed(r) }
	var out []byte
	for {
		i := bytes.IndexFunc(document, escaped)
		if i < 0 {
			return append(out, document...)
		}
		r, n := utf8.DecodeRune(document[i:])
		out = fmt.Appendf(append(out, document[:i]...), `\u%04x`, r)
		document = document[i+n:]
	}
}

// Clean shows what a terminal would obey, or would turn round, as a replacement character: control
// characters and those that change the direction of writing.
func Clean(text string) string {
	if !strings.ContainsFunc(text, Obeyed) { // most text
		return text
	}
	return strings.Map(func(r rune) rune {
		if Obeyed(r) {
			return utf8.RuneError
		}
		return r
	}, text)
}

// HTML is Clean for a page: line ends and tabs stay. Whoever looks at the file with another program
// than a browser is safe too.
func HTML(page []byte) []byte {
	return bytes.Map(func(r rune) rune {
		if r != '\n' && r != '\t' && r != '\r' && Obeyed(r) {
			return utf8.RuneError
		}
		return r
	}, page)
}

// Obeyed tells whether a terminal would do something with a character instead of showing it.
func Obeyed(r rune) bool {
	if r >= ' ' && r < 0x7f {
		return false // most text, told without a table
	}
	return unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r)
}

// Widths are counted in characters (runes): the tool's own signs and most names take one column
// each. A name in a script whose signs take two columns makes its line longer, no more.

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

// Wrap breaks text into lines of at most width characters, at spaces; a longer word stands alone. A
// number stays with the unit or sign behind it.
func Wrap(text string, width int) []string { return Fill("", "", glue(text), width) }

// Fill breaks text at its spaces and puts it behind head in the first line, behind next in all
// others. Both count into width; spaces at the end of a line are left off. Only no-break spaces
// keep words together.
func Fill(head, next, text string, width int) []string {
	var lines []string
	line, empty := head, true
	end := func() {
		lines = append(lines, strings.TrimRight(strings.ReplaceAll(line, "\u00a0", " "), " "))
		line, empty = next, true
	}
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' }) {
		if !empty && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > width {
			end()
		}
		if !empty {
			line += " "
		}
		line, empty = line+word, false
	}
	end()
	return lines
}

// Hang sets text behind a head and goes on under its own beginning: lines of at most width
// characters, with the head padded to indent before the first.
func Hang(head string, indent, width int, text string) []string {
	lines := Wrap(text, width-indent)
	for i, line := range lines {
		lines[i] = strings.TrimRight(Pad(head, indent)+line, " ")
		head = ""
	}
	return lines
}

// Page is lines for a terminal, collected one after the other. It knows widths and nothing of bays.
// What is written to it has been through Clean where it comes from a job's files, but for what Told
// is given: painted text holds what a terminal is to obey.
type Page struct {
	Dst    []byte
	Width  int  // characters of a line that item wraps
	Colour bool // of a screen that shows it; no meaning hangs on it
}

// What a terminal obeys: text in bold or dim, in a colour, and off again.
const (
	Bold    = "\x1b[1m"
	Dim     = "\x1b[2m"
	Red     = "\x1b[31m"
	Green   = "\x1b[32m"
	Yellow  = "\x1b[33m"
	Magenta = "\x1b[35m"
	Off     = "\x1b[0m"
)

// Line appends one line; spaces at its end are padding of columns and are left off.
func (p *Page) Line(line string) {
	p.Dst = append(append(p.Dst, strings.TrimRight(line, " ")...), '\n')
}

// Item appends text behind a head that is padded to indent, wrapped under its own beginning.
func (p *Page) Item(head string, indent int, text string) {
	for _, line := range Hang(head, indent, p.Width, text) {
		p.Line(line)
	}
}

// Told is Item of text that may hold what stands in a job's files, and none that is painted.
func (p *Page) Told(head string, indent int, text string) { p.Item(head, indent, Clean(text)) }

// Paint sets text in a colour, or leaves it where none is wanted. What is painted has more bytes
// than columns: pad first.
func (p *Page) Paint(code, text string) string {
	if !p.Colour {
		return text
	}
	return code + text + Off
}

// Blank appends an empty line unless the page begins or already has one.
func (p *Page) Blank() {
	if n := len(p.Dst); n > 1 && !(p.Dst[n-1] == '\n' && p.Dst[n-2] == '\n') {
		p.Dst = append(p.Dst, '\n')
	}
}

// Heading begins a part of the page with a line that stands out.
func (p *Page) Heading(text string) {
	p.Blank()
	p.Line(p.Paint(Bold, text))
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

// belongs tells whether a word goes with the figure before it: a unit, a plus-minus, the fraction
// after whole inches, inches after feet.
func belongs(before, word string) bool {
	if before == "±" || strings.HasSuffix(before, "'") && strings.ContainsAny(word, `"″`) && word[0] >= '0' && word[0] <= '9' {
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

// ASCII returns a writer that passes text on to a terminal that shows no UTF-8. Of bayproof's own
// signs each has its stand-in, one for one where columns are to stay straight, and the marks of the
// verdicts stay four. A character for which nothing stands, of a name say, is shown as a question
// mark.
func ASCII(w io.Writer) io.Writer {
	return &asciiWriter{w: w, signs: strings.NewReplacer(
		"■", "#", "▲", "^", "◆", "*", "○", "o", "□", "-", "·", "-",
		"±", "+-", "³", "3", "²", "2", "×", "x", "−", "-", "–", "-", "—", "-", "…", "~", "≥", ">=", "≤", "<=", "→", "->", "°", "deg",
		"½", " 1/2", "¼", " 1/4", "¾", " 3/4", "⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8",
		"’", "'", "‘", "'", "′", "'", "“", `"`, "”", `"`, "″", `"`, "á", "a", "é", "e", "í", "i", "ó", "o", "ú", "u", "ü", "u", "ñ", "n", "Á", "A", "É", "E", "Í", "I", "Ó", "O", "Ú", "U", "Ñ", "N", "¿", "", "¡", "",
		"μ", "u", "µ", "u", "τ", "tau", "ν", "nu", "\u00a0", " ",
	)}
}

// asciiWriter writes to a terminal that shows no UTF-8: each sign as the ASCII that stands for it.
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
	a.torn = bytes.Clone(text[whole:])
	return len(p), err
}

// ascii writes the signs of quantities in words or letters, any other character as a question
// mark: one for one, so that columns stay where they are.
func (a *asciiWriter) ascii(text string) string {
	return strings.Map(func(r rune) rune {
		if r >= utf8.RuneSelf {
			return '?'
		}
		return r
	}, a.signs.Replace(text))
}
