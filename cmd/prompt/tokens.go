package prompt

import (
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"

	"bayproof/model"
)

// A line is cut at its spaces, and a figure may hold spaces itself: 1 3/4, 12' 6 1/2", 2 1/4; 2 1/2, 38 lb. Where two
// pieces must belong together they are joined, where they may, both readings are kept and the one that makes sense of
// the whole line is taken. Where two do, the person is asked.

// bond says whether a token belongs to the one before it.
type bond uint8

const (
	apart bond = iota
	maybe
	joined
)

// figures returns every way of cutting the tokens into figures, the likeliest first.
func figures(tokens []string) [][]string {
	ways := [][]string{nil}
	before := ","
	for _, token := range tokens {
		switch {
		case token == ",":
		case before == ",":
			ways = extend(ways, token, apart)
		default:
			ways = extend(ways, token, bondOf(before, token))
		}
		before = token
	}
	return ways
}

// mostWays bounds the readings that a line of fractions can have.
const mostWays = 256

// extend adds a token to every way so far.
func extend(ways [][]string, token string, b bond) [][]string {
	var out [][]string
	for _, w := range ways {
		if b != apart {
			with := append([]string(nil), w...)
			with[len(with)-1] += " " + token
			out = append(out, with)
		}
		if b != joined && len(out) < mostWays {
			out = append(out, append(append([]string(nil), w...), token))
		}
	}
	return out
}

// bondOf judges two neighbours.
func bondOf(before, token string) bond {
	switch {
	case token == `"` || before == `"` || token == "shared" || before == "shared":
		return apart
	case isUnit(token), opens(token), closes(before):
		return joined
	case endsInFeet(before) && inchMark(token):
		return joined
	case endsInFeet(before) && startsSmall(token):
		return maybe
	case wholeAtEnd(before) && fractionAtStart(token):
		return maybe
	}
	return apart
}

// isUnit tells whether a token is a unit spelled out.
func isUnit(token string) bool {
	r, _ := utf8.DecodeRuneInString(token)
	if !unicode.IsLetter(r) {
		return false
	}
	_, ok := model.LookupUnit(token)
	return ok
}

// opens tells whether a token goes on with what came before: a separator, a sign.
func opens(token string) bool {
	for _, p := range []string{";", "±", "+", "-"} {
		if strings.HasPrefix(token, p) {
			return true
		}
	}
	return false
}

// closes tells whether a token waits for the next one.
func closes(token string) bool {
	for _, s := range []string{";", "±", "+-", "+", "-"} {
		if strings.HasSuffix(token, s) {
			return true
		}
	}
	return false
}

func endsInFeet(token string) bool {
	for _, s := range []string{"'", "′", "’", "ft", "ft.", "feet", "foot"} {
		if strings.HasSuffix(token, s) && !strings.HasSuffix(token, "''") {
			return true
		}
	}
	return false
}

func inchMark(token string) bool {
	for _, s := range []string{`"`, "″", "”", "''", "in"} {
		if len(token) > len(s) && strings.HasSuffix(token, s) {
			return true
		}
	}
	return false
}

// startsSmall tells whether a token may be the inches after feet: a number of at most two digits before anything else.
func startsSmall(token string) bool {
	n := len(token) - len(strings.TrimLeft(token, "0123456789"))
	return n == 1 || n == 2 && token[0] == '1' && token[1] < '2' || fractionAtStart(token)
}

// wholeAtEnd tells whether a token ends in a whole number that a fraction may follow.
func wholeAtEnd(token string) bool {
	ok, _ := regexp.MatchString(`(^|[;'′’±-])\d+$`, token)
	return ok
}

// fractionAtStart tells whether a token begins with a fraction.
func fractionAtStart(token string) bool {
	ok, _ := regexp.MatchString(`^(\d+/\d+|[¼½¾⅛⅜⅝⅞])`, token)
	return ok
}

// numeric tells whether a token can be part of a figure.
func numeric(token string) bool {
	r, _ := utf8.DecodeRuneInString(token)
	return token == "," || unicode.IsDigit(r) || strings.ContainsRune(`.;"±+-¼½¾⅛⅜⅝⅞″′`, r) || isUnit(token)
}
