// Names and free text: spaces, marks, characters that do not show, and the guard against
// spreadsheets that run text as formulas.

package cell

import (
	"slices"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"bayproof/model"
)

// spaced turns spaces of every kind into single blanks and leaves out what does not show (see
// Unseen). Line breaks stay.
func spaced(s string) string {
	if plainSpaces(s) {
		return s
	}
	var b strings.Builder
	gap := false
	for _, r := range s {
		if wide(r) {
			gap = true
			continue
		}
		if idle(r) {
			continue
		}
		if gap {
			b.WriteByte(' ')
			gap = false
		}
		b.WriteRune(r)
	}
	if gap {
		b.WriteByte(' ')
	}
	return b.String()
}

// plainSpaces tells whether a text is ASCII with single blanks only, so that spaced has nothing to
// do: nearly every name.
func plainSpaces(s string) bool {
	for i := 0; i < len(s); i++ {
		if s[i] >= 0x80 || s[i] == '\t' || s[i] == ' ' && i > 0 && s[i-1] == ' ' {
			return false
		}
	}
	return true
}

// Blank tells whether a cell holds nothing but spaces (of any kind).
func Blank(s string) bool {
	return strings.TrimLeftFunc(s, isSpace) == ""
}

// DittoMark tells whether a cell is a ditto mark.
func DittoMark(s string) bool {
	return slices.Contains([]string{`"`, "''", "”", "“", "″", "〃", "’’", "′′"}, strings.TrimFunc(s, isSpace))
}

// OwedMark tells whether a size cell says that its size stands on a sheet which is not typed in
// yet.
func OwedMark(s string) bool { return strings.TrimFunc(s, isSpace) == "?" }

// Name reads the name of a section or a bay: trimmed, inner spaces collapsed, NFC, a leading ' that
// guards a formula sign and characters that do not show taken off.
func Name(s string) string {
	s = unguard(s)
	if !plainSpaces(s) {
		s = norm.NFC.String(spaced(s))
	}
	return strings.Trim(s, " ")
}

// Text reads free text: trimmed, a leading ' that guards a formula sign taken off.
func Text(s string) string {
	return unguard(strings.TrimFunc(s, isSpace))
}

// guarded tells whether a text begins so that a spreadsheet may run it, or with the guard itself.
func guarded(s string) bool {
	first, _ := utf8.DecodeRuneInString(s)
	return s != "" && strings.ContainsRune("=+-@\t\r'＝＋－＠", first) // the full-width signs of East Asian keyboards compute too
}

// GuardText is what Text undoes: text beginning with = + - @ tab CR or ' gets a leading ' so that
// no spreadsheet runs it.
func GuardText(s string) string {
	if guarded(s) {
		return "'" + s
	}
	return s
}

// unguard takes the guard off. An apostrophe that guards nothing is the writer's own ('tis) and
// stays.
func unguard(s string) string {
	if s != "" && s[0] == '\'' && guarded(s[1:]) {
		return s[1:]
	}
	return s
}

// Photos reads file names with `;` between, trimmed; empty ones are left out. Nil for an empty
// cell.
func Photos(s string) []string {
	if Blank(s) {
		return nil
	}
	var names []string
	for part := range strings.SplitSeq(s, ";") {
		if part = Text(part); part != "" {
			names = append(names, part)
		}
	}
	return names
}

// Unseen returns the first character of a name that does not show and that Name leaves out; false
// where there is none.
func Unseen(s string) (rune, bool) {
	if i := strings.IndexFunc(s, idle); i >= 0 {
		return []rune(s[i:])[0], true
	}
	return 0, false
}

// idle tells whether a character does not show and shapes nothing. What joins or parts letters,
// picks the form of one or makes up a flag stays in a name: it belongs to how some languages are
// written.
func idle(r rune) bool {
	switch {
	case r == '\u200c', r == '\u200d', r >= '\ufe00' && r <= '\ufe0f', r >= 0xe0020 && r <= 0xe01ef, r >= '\u180b' && r <= '\u180f':
		return false
	}
	return model.Invisible(r)
}
