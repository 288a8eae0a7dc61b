package cell

import "bayproof/model"

// Unseen returns the first character of a name that does not show and that Name leaves out; false where there is none.
func Unseen(s string) (rune, bool) {
	for _, r := range s {
		if idle(r) {
			return r, true
		}
	}
	return 0, false
}

// idle tells whether a character does not show and shapes nothing. What joins or parts letters, picks the form of one or
// makes up a flag stays in a name: it belongs to how some languages are written.
func idle(r rune) bool {
	switch {
	case r == '\u200c', r == '\u200d', r >= '\ufe00' && r <= '\ufe0f', r >= 0xe0020 && r <= 0xe01ef, r >= '\u180b' && r <= '\u180f':
		return false
	}
	return model.Invisible(r)
}
