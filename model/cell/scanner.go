// Cutting a cell into tokens: numbers, words, signs and fractions in one character, in all the ways
// in which keyboards and spreadsheets write them.

package cell

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"bayproof/model"
)

// kind is the kind of a token.
type kind uint8

const (
	end kind = iota
	number
	vulgar // a fraction in one character, ½
	word
	foot   // '
	inch   // " or ''
	slash  // fraction slash too
	hyphen // minus and dashes too
	plus
	within // ± or +- or +/-
	semicolon
	percent
	stray // anything else
)

// token is one piece of a cell's text, s[at:to]. Whether a space stands before it is kept, because
// 14-1/2 joins what 2 - 10.5 lb takes apart.
type token struct {
	kind  kind
	gap   bool // a space stands before it
	whole bool // number: digits only
	at    int
	to    int
	v     float64 // number: its value. vulgar: numerator
	den   int     // vulgar: denominator
}

// scanner cuts a cell into tokens. It is a value: a copy is a place to come back to, where the
// grammar has to look ahead by more than one token.
type scanner struct {
	s     string
	i     int
	comma bool
}

// next returns the next token; after the last it is end, however often it is asked for.
func (sc *scanner) next() token {
	gap := sc.while(isSpace)
	t := token{gap: gap, at: sc.i}
	if sc.i >= len(sc.s) {
		t.to = sc.i
		return t
	}
	r, n := utf8.DecodeRuneInString(sc.s[sc.i:])
	switch {
	case isDigit(r), r == decimalMark(sc.comma) && sc.digitAt(sc.i+1):
		sc.number(&t)
	case unicode.IsLetter(r):
		t.kind = word
		sc.word()
	default: // what is no sign is stray, and refused by whoever meets it
		sc.i += n
		t.kind = sc.sign(r, &t)
	}
	t.to = sc.i
	return t
}

// while passes characters of one sort and tells whether there were any.
func (sc *scanner) while(sort func(rune) bool) bool {
	rest := strings.TrimLeftFunc(sc.s[sc.i:], sort)
	from := sc.i
	sc.i = len(sc.s) - len(rest)
	return sc.i > from
}

// isSpace takes spaces of every kind, and what does not show at all, for a space.
func isSpace(r rune) bool { return wide(r) || r > 127 && model.Invisible(r) }

// wide takes blanks, tabs, non-breaking and thin spaces for a space. A line break inside a cell is
// none.
func wide(r rune) bool { return r == ' ' || r == '\t' || r > 127 && unicode.Is(unicode.Zs, r) }

// digitAt tells whether an ASCII digit stands at a byte.
func (sc *scanner) digitAt(i int) bool { return i < len(sc.s) && sc.s[i]-'0' <= 9 }

// number reads digits, a decimal mark and an exponent, and nothing else that the library would
// take: no NaN, no 0x1p-2, no 1_000. The value is +Inf where it does not fit a float, which inRange
// refuses.
func (sc *scanner) number(t *token) {
	t.kind, t.whole = number, true
	from := sc.i
	sc.while(isDigit)
	if sc.i < len(sc.s) && rune(sc.s[sc.i]) == decimalMark(sc.comma) {
		t.whole = false
		sc.i++
		sc.while(isDigit)
	}
	// An e with digits behind it is an exponent, as a spreadsheet writes 1E-05; else it begins a
	// word.
	if sc.i < len(sc.s) && sc.s[sc.i]|0x20 == 'e' {
		j := sc.i + 1
		if j < len(sc.s) && (sc.s[j] == '+' || sc.s[j] == '-') {
			j++
		}
		if sc.digitAt(j) {
			t.whole = false
			sc.i = j
			sc.while(isDigit)
		}
	}
	text := sc.s[from:sc.i]
	if sc.comma {
		text = strings.Replace(text, ",", ".", 1)
	}
	t.v, _ = strconv.ParseFloat(text, 64) // the digits are digits: all that can fail is the range, which leaves ±Inf
}

// isDigit tells a digit of ASCII: those of other scripts make no figures.
func isDigit(r rune) bool { return r >= '0' && r <= '9' }

// word reads a unit or another word: letters, a closing 2 or 3 of an area or a volume, a closing
// point, and what follows a slash between letters (lb/ft3). A point with digits behind it closes no
// word: 12ft.5 may be 12 ft 5 in, or half an inch, or half a foot. They are taken for part of the
// word, which is then none.
func (sc *scanner) word() {
	for {
		sc.while(unicode.IsLetter)
		sc.power()
		if sc.i < len(sc.s) && sc.s[sc.i] == '.' {
			sc.i++
			sc.while(isDigit)
		}
		if sc.i+1 >= len(sc.s) || sc.s[sc.i] != '/' || sc.s[sc.i+1]|0x20 < 'a' || sc.s[sc.i+1]|0x20 > 'z' {
			return
		}
		sc.i++
	}
}

// power passes ² or ³, and a 2 or 3 that no letter, digit or mark follows (12ft2in is 12 ft 2 in).
func (sc *scanner) power() {
	rest := sc.s[sc.i:]
	switch {
	case strings.HasPrefix(rest, "²"), strings.HasPrefix(rest, "³"):
		sc.i += len("²")
	case rest != "" && (rest[0] == '2' || rest[0] == '3'):
		if len(rest) == 1 || strings.IndexByte(" /;.±+", rest[1]) >= 0 && !(rest[1] == '.' && len(rest) > 2) {
			sc.i++
		}
	}
}

// signs are the characters that stand for one sign each, in all the ways in which keyboards and
// spreadsheets write them.
var signs = map[rune]kind{
	'\'': foot, '’': foot, '‘': foot, '′': foot, '´': foot, '`': foot, '‛': foot,
	'"': inch, '”': inch, '“': inch, '″': inch, '‟': inch, '〃': inch,
	'/': slash, '⁄': slash, '∕': slash,
	'-': hyphen, '–': hyphen, '−': hyphen, '‐': hyphen, '‑': hyphen, '—': hyphen,
	'+': plus, '±': within, ';': semicolon, '%': percent,
}

// vulgars are the fractions in one character, numerator and denominator.
var vulgars = map[rune][2]int{
	'½': {1, 2}, '¼': {1, 4}, '¾': {3, 4}, '⅛': {1, 8}, '⅜': {3, 8}, '⅝': {5, 8}, '⅞': {7, 8}, '⅓': {1, 3}, '⅔': {2, 3},
	'⅕': {1, 5}, '⅖': {2, 5}, '⅗': {3, 5}, '⅘': {4, 5}, '⅙': {1, 6}, '⅚': {5, 6},
}

// sign reads a token that is neither a number nor a word; sc stands behind its first character r.
// Two foot marks are an inch mark, and a plus before a minus is a tolerance: +-, +/-.
func (sc *scanner) sign(r rune, t *token) kind {
	if f, ok := vulgars[r]; ok {
		t.v, t.den = float64(f[0]), f[1]
		return vulgar
	}
	k, ok := signs[r]
	switch {
	case !ok:
		return stray
	case k == foot && sc.passes("'", "’", "‘", "′", "´", "`"):
		return inch
	case k == plus && sc.passes("-", "/-", "−", "/−", "–", "/–"):
		return within
	}
	return k
}

// passes goes on behind the first of the texts that comes next, if any does.
func (sc *scanner) passes(texts ...string) bool {
	for _, text := range texts {
		if strings.HasPrefix(sc.s[sc.i:], text) {
			sc.i += len(text)
			return true
		}
	}
	return false
}
