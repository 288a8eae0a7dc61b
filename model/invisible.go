package model

import (
	"strings"
	"unicode"
)

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
