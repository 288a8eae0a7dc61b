// The words that stand in the log and in the settings, their values, and how a word is read.

package model

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// The words that stand in the log and in the settings, in the order of their values. Where the
// first value of a type means that nothing was said it has no word, and the list begins with the
// second.
var (
	shapeWords    = []string{"box", "taper", "wedge", "round"}
	probeWords    = []string{"rod firm", "rod soft", "rod empty", "hand firm", "hand soft", "smoke still", "smoke moves", "ir even", "ir cold"}
	answerWords   = []string{"yes", "no", "?"}
	stopWords     = []string{"?", "block", "wire", "pipe", "duct", "flue"}
	rodWays       = []string{"along", "across"}
	systemWords   = []string{"us", "si"}
	ruleWords     = []string{"process", "guarded"}
	countingWords = []string{"ends", "fresh", "running"}
	materialWords = []string{"bags", "counter", "weight"}
	originWords   = []string{"default", "job.csv", "sections.csv", "programme.csv", "flag"}
)

// EntryWords are the words of the entry column, in the order of the kinds.
func EntryWords() []string {
	var words []string
	for _, def := range entryDefs {
		words = append(words, def.Word)
	}
	return words
}

// ShapeWords are the words of the shape column, from ShapeBox.
func ShapeWords() []string { return slices.Clone(shapeWords) }

// ProbeWords are the words of the probe column, from RodFirm.
func ProbeWords() []string { return slices.Clone(probeWords) }

// StopWords are what a rod may stop at, from StopUnknown.
func StopWords() []string { return slices.Clone(stopWords) }

// RodWays are the words that may follow a rod, from Along.
func RodWays() []string { return slices.Clone(rodWays) }

// wordOf is the word of a value; first is the value of the first word. What was not said has none.
func wordOf[T ~uint8](v, first T, words []string) string {
	if v < first {
		return ""
	}
	return words[v-first]
}

// String returns the word of the entry column; each kind has one.
func (k EntryKind) String() string { return entryDefs[k].Word }

// String returns the word of the shape column, or nothing.
func (s Shape) String() string { return wordOf(s, ShapeBox, shapeWords) }

// String returns the words of the probe column, or nothing.
func (p Probe) String() string { return wordOf(p, RodFirm, probeWords) }

// String returns yes, no, ? or nothing.
func (a Answer) String() string { return wordOf(a, Yes, answerWords) }

// String returns us or si.
func (s System) String() string { return systemWords[s] }

// String returns process or guarded.
func (r Rule) String() string { return ruleWords[r] }

// String returns ends, fresh, running, or nothing.
func (c Counting) String() string { return wordOf(c, CountingEnds, countingWords) }

// String says where a setting's value came from.
func (o Origin) String() string { return originWords[o] }

// parse finds a word in any case, with spaces and what does not show around it; first is the value
// of the first word. The zero value and false answer for what is no word.
func parse[T ~uint8](s string, first T, words []string) (T, bool) {
	for i, w := range words { // as the format has it: nearly all
		if s == w {
			return first + T(i), true
		}
	}
	s = strings.Join(strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == '\t' || r == '\u00a0' || Invisible(r) }), " ")
	for i, w := range words {
		if strings.EqualFold(s, w) {
			return first + T(i), true
		}
	}
	return 0, false
}

// ParseEntryKind reads a word of the entry column.
func ParseEntryKind(s string) (EntryKind, bool) {
	for k, def := range entryDefs { // as the format has it: nearly all, and without a list
		if s == def.Word {
			return EntryKind(k), true
		}
	}
	return parse(s, EntrySize, EntryWords())
}

// ParseShape reads a word of the shape column.
func ParseShape(s string) (Shape, bool) { return parse(s, ShapeBox, shapeWords) }

// ParseProbe reads the words of the probe column.
func ParseProbe(s string) (Probe, bool) { return parse(s, RodFirm, probeWords) }

// ParseSystem reads us or si.
func ParseSystem(s string) (System, bool) { return parse(s, US, systemWords) }

// ParseRule reads process or guarded.
func ParseRule(s string) (Rule, bool) { return parse(s, RuleProcess, ruleWords) }

// ParseCounting reads ends, fresh or running.
func ParseCounting(s string) (Counting, bool) { return parse(s, CountingEnds, countingWords) }

var answersWritten = []string{"yes", "y", "true", "no", "n", "false"}

// ParseAnswer reads yes, y, true, no, n, false.
func ParseAnswer(s string) (Answer, bool) {
	i, ok := parse(s, uint8(0), answersWritten)
	switch {
	case !ok:
		return Unsaid, false
	case i < 3:
		return Yes, true
	}
	return No, true
}

// Fold makes names that differ only in case, spaces or characters that do not show the same: "North
// Slope" and "north slope" are one section, and writing it in two ways is a fault rather than a
// second section.
func Fold(name string) string {
	folded := func(r rune) rune {
		if unicode.IsSpace(r) || Invisible(r) {
			return -1
		}
		return unicode.ToLower(r)
	}
	for i := range len(name) { // most names are folded as they stand, and need no copy
		if c := name[i]; c <= ' ' || c >= utf8.RuneSelf || 'A' <= c && c <= 'Z' {
			return strings.Map(folded, name)
		}
	}
	return name
}

// Invisible tells whether a character does not show: zero-width spaces and joiners, soft hyphens,
// marks that turn the direction of writing, variation selectors, fillers. Source: Unicode, general
// category Cf but for the signs that stand before a number and do show, and
// Default_Ignorable_Code_Point.
func Invisible(r rune) bool {
	if r < 0x80 {
		return false
	}
	return unicode.Is(unicode.Cf, r) && !unicode.Is(unicode.Prepended_Concatenation_Mark, r) ||
		unicode.Is(unicode.Variation_Selector, r) || unicode.Is(unicode.Other_Default_Ignorable_Code_Point, r)
}

// unseen tells whether two names differ only in characters that do not show, and gives the first of
// them.
func unseen(a, b string) (rune, bool) {
	visible := func(r rune) rune {
		if Invisible(r) {
			return -1
		}
		return r
	}
	if a == b || strings.Map(visible, a) != strings.Map(visible, b) {
		return 0, false
	}
	for _, r := range a + b {
		if Invisible(r) {
			return r, true
		}
	}
	return 0, false
}
