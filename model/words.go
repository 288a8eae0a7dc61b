package model

import (
	"strings"
	"unicode"
)

// The words that stand in the log. Each String is the word of the format, empty where nothing was said; each Parse takes
// it in any case, with spaces and what does not show around it.

// word finds s among the words, in any case; the answer is its place from 0.
func word(s string, words []string) (int, bool) {
	for i, w := range words {
		if s == w {
			return i, true
		}
	}
	s = strings.Join(strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == '\t' || r == '\u00a0' || Invisible(r) }), " ")
	for i, w := range words {
		if strings.EqualFold(s, w) {
			return i, true
		}
	}
	return 0, false
}

// EntryWords are the words of the entry column, in the order of the kinds.
func EntryWords() []string {
	var words []string
	for _, def := range entryDefs() {
		words = append(words, def.Word)
	}
	return words
}

// String returns the word of the entry column.
func (k EntryKind) String() string { return entryDefs()[k].Word }

// ParseEntryKind reads a word of the entry column.
func ParseEntryKind(s string) (EntryKind, bool) {
	for k, def := range entryDefs() {
		if s == def.Word {
			return EntryKind(k), true
		}
	}
	i, ok := word(s, EntryWords())
	return EntryKind(i), ok
}

// ShapeWords are the words of the shape column, from ShapeBox.
func ShapeWords() []string { return []string{"box", "taper", "wedge", "round"} }

// String returns the word of the shape column.
func (s Shape) String() string {
	if s == ShapeUnsaid {
		return ""
	}
	return ShapeWords()[s-ShapeBox]
}

// ParseShape reads a word of the shape column.
func ParseShape(s string) (Shape, bool) {
	i, ok := word(s, ShapeWords())
	if !ok {
		return ShapeUnsaid, false
	}
	return ShapeBox + Shape(i), true
}

// ProbeWords are the words of the probe column, from RodFirm.
func ProbeWords() []string {
	return []string{"rod firm", "rod soft", "rod empty", "hand firm", "hand soft", "smoke still", "smoke moves", "ir even", "ir cold"}
}

// String returns the words of the probe column.
func (p Probe) String() string {
	if p == ProbeNone {
		return ""
	}
	return ProbeWords()[p-RodFirm]
}

// ParseProbe reads the words of the probe column.
func ParseProbe(s string) (Probe, bool) {
	i, ok := word(s, ProbeWords())
	if !ok {
		return ProbeNone, false
	}
	return RodFirm + Probe(i), true
}

// StopWords are what a rod may stop at, from StopUnknown.
func StopWords() []string { return []string{"?", "block", "wire", "pipe", "duct", "flue"} }

// RodWays are the words that may follow a rod, from Along.
func RodWays() []string { return []string{"along", "across"} }

// String returns yes, no, ? or nothing.
func (a Answer) String() string {
	switch a {
	case Doubtful:
		return "?"
	case Yes:
		return "yes"
	case No:
		return "no"
	}
	return ""
}

// ParseAnswer reads yes, y, true, no, n, false.
func ParseAnswer(s string) (Answer, bool) {
	i, ok := word(s, []string{"yes", "y", "true", "no", "n", "false"})
	switch {
	case !ok:
		return Unsaid, false
	case i < 3:
		return Yes, true
	}
	return No, true
}

// Invisible tells whether a character does not show: zero-width spaces and joiners, soft hyphens, marks that turn the direction
// of writing, variation selectors, fillers. Source: Unicode, general category Cf but for the signs that stand before a number
// and do show, and Default_Ignorable_Code_Point.
func Invisible(r rune) bool {
	if r < 0x80 {
		return false
	}
	return unicode.Is(unicode.Cf, r) && !unicode.Is(unicode.Prepended_Concatenation_Mark, r) ||
		unicode.Is(unicode.Variation_Selector, r) || unicode.Is(unicode.Other_Default_Ignorable_Code_Point, r)
}

// unseen tells whether two names differ only in characters that do not show, and gives the first of them.
func unseen(a, b string) (rune, bool) {
	seen := func(s string) string {
		return strings.Map(func(r rune) rune {
			if Invisible(r) {
				return -1
			}
			return r
		}, s)
	}
	if a == b || seen(a) != seen(b) {
		return 0, false
	}
	for _, s := range []string{a, b} {
		if i := strings.IndexFunc(s, Invisible); i >= 0 {
			return []rune(s[i:])[0], true
		}
	}
	return 0, false
}
