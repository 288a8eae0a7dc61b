package cell

import "strings"

// sign reads a token that is neither a number nor a word; sc stands behind its first character r.
func (sc *scanner) sign(r rune, t *token) kind {
	switch r {
	case '\'', '’', '‘', '′', '´', '`', '‛':
		return sc.tick()
	case '"', '”', '“', '″', '‟', '〃':
		return inch
	case '/', '⁄', '∕':
		return slash
	case '-', '–', '−', '‐', '‑', '—':
		return hyphen
	case '+':
		return sc.plus()
	case '±':
		return within
	case ';':
		return semicolon
	case '%':
		return percent
	}
	if n, d, ok := vulgarFraction(r); ok {
		t.v, t.den = float64(n), d
		return vulgar
	}
	return stray
}

// tick tells a foot mark from two of them, which are an inch mark.
func (sc *scanner) tick() kind {
	for _, second := range []string{"'", "’", "‘", "′", "´", "`"} {
		if strings.HasPrefix(sc.s[sc.i:], second) {
			sc.i += len(second)
			return inch
		}
	}
	return foot
}

// plus tells a plus from a tolerance written +- or +/-.
func (sc *scanner) plus() kind {
	for _, rest := range []string{"-", "/-", "−", "/−", "–", "/–"} {
		if strings.HasPrefix(sc.s[sc.i:], rest) {
			sc.i += len(rest)
			return within
		}
	}
	return plus
}

// vulgarFraction reads a fraction in one character.
func vulgarFraction(r rune) (n, d int, ok bool) {
	switch r {
	case '½':
		return 1, 2, true
	case '¼':
		return 1, 4, true
	case '¾':
		return 3, 4, true
	case '⅛':
		return 1, 8, true
	case '⅜':
		return 3, 8, true
	case '⅝':
		return 5, 8, true
	case '⅞':
		return 7, 8, true
	case '⅓':
		return 1, 3, true
	case '⅔':
		return 2, 3, true
	case '⅕':
		return 1, 5, true
	case '⅖':
		return 2, 5, true
	case '⅗':
		return 3, 5, true
	case '⅘':
		return 4, 5, true
	case '⅙':
		return 1, 6, true
	case '⅚':
		return 5, 6, true
	}
	return 0, 0, false
}
