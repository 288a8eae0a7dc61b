package lang_test

import (
	"fmt"
	"os"
	"regexp"
	"slices"
	"sort"
	"strings"
	"testing"

	"golang.org/x/text/feature/plural"
	"golang.org/x/text/language"

	"bayproof/report/say/lang"
)

// same are sentences that are the same in Spanish.
var same = []string{"%s up", "No"} // the foot of the screen says where places are from

// TestEverySentenceIsSpanishToo: no sentence of the source is missing in the tables, and none
// stands in them that nobody says.
func TestEverySentenceIsSpanishToo(t *testing.T) {
	said := find(t)
	keys := lang.Keys()
	if len(said) < 200 {
		t.Errorf("only %d sentences found", len(said))
	}
	for text, x := range said {
		switch {
		case !slices.Contains(keys, text):
			t.Errorf("%s: %q is not Spanish yet", x.at, text)
		case lang.Spanish.S(text) == text && !slices.Contains(same, text):
			t.Errorf("%s: %q is the same in Spanish", x.at, text)
		}
	}
	for _, key := range keys {
		if _, ok := said[key]; !ok {
			t.Errorf("nobody says %q", key)
		}
	}
}

// TestPhoneHasItsSentences: what prompt and page say is Spanish on a phone too, whose checker lacks
// the table of sheets.
func TestPhoneHasItsSentences(t *testing.T) {
	said, sayers := 0, sayers(t)
	for _, dir := range []string{"cmd/prompt", "cmd/pocket", "report/pocket"} {
		for _, path := range sources(t, dir) {
			if !strings.HasSuffix(path, ".go") {
				continue
			}
			for _, x := range inCode(t, path, sayers) {
				if said++; lang.LeftOut(x.text) {
					t.Errorf("%s: %q is Spanish on paper alone", x.at, x.text)
				}
			}
		}
	}
	if said < 100 || !lang.LeftOut("Roof sheet") {
		t.Errorf("only %d sentences found, or a table without sheets", said)
	}
}

// TestPlacesAgree: what is filled in, left out and set off is the same in both languages.
func TestPlacesAgree(t *testing.T) {
	for _, key := range lang.Keys() {
		if err := agree(key, lang.Spanish.S(key)); err != nil {
			t.Error(err)
		}
	}
	for _, x := range [][2]string{ // each is found
		{"a {b}", "a {c}"}, {"a[ {b}]", "a {b}"}, {"%s of %d", "%d de %s"}, {"%s", "%s %s"}, {"<b>a</b>", "a"}, {"{n|one|many}", "{n|uno}"}, {"5 %%", "5"},
	} {
		if agree(x[0], x[1]) == nil {
			t.Errorf("%q and %q are said to agree", x[0], x[1])
		}
	}
	if err := agree("%s of %d[ {a to b}]", "[{a to b} ]%[2]d de %[1]s"); err != nil {
		t.Error(err)
	}
}

var (
	braces = regexp.MustCompile(`\{[^{}]*\}`)
	verbs  = regexp.MustCompile(`%(?:\[(\d)\])?([-+ #0]*\d*(?:\.\d+)?[a-zA-Z%])`)
	tags   = regexp.MustCompile(`</?[a-z]+>`)
)

// agree sets the places of two sentences beside each other.
func agree(english, other string) error {
	for _, places := range []func(string) []string{placesOf, verbsOf, bracketsOf, func(s string) []string { return sorted(tags.FindAllString(s, -1)) }} {
		if a, b := places(english), places(other); !slices.Equal(a, b) {
			return fmt.Errorf("%q has %q, %q has %q", english, a, other, b)
		}
	}
	return nil
}

func sorted(list []string) []string { sort.Strings(list); return list }

// placesOf are the data that a sentence asks for; a count has as many forms.
func placesOf(s string) []string {
	var out []string
	for _, place := range braces.FindAllString(s, -1) {
		place = strings.Trim(place, "{}")
		key, forms, _ := strings.Cut(place, "|")
		if forms != "" {
			key += fmt.Sprint(" in ", strings.Count(forms, "|")+1, " forms")
		}
		out = append(out, key)
	}
	return sorted(out)
}

// verbsOf are the verbs of Sprintf by the argument that each takes.
func verbsOf(s string) []string {
	var out []string
	next := 1
	for _, m := range verbs.FindAllStringSubmatch(s, -1) {
		switch {
		case m[2] == "%":
			out = append(out, "%")
			continue
		case m[1] != "":
			fmt.Sscan(m[1], &next)
		}
		out = append(out, fmt.Sprint(next, m[2]))
		next++
	}
	return slices.Compact(sorted(out)) // a name may be said once more
}

// bracketsOf are the data inside of each bracket; places may come in another order, but what goes
// together stays together.
func bracketsOf(s string) []string {
	var out, open []string
	for _, part := range regexp.MustCompile(`[\[\]]|\{[^{}]*\}`).FindAllString(verbs.ReplaceAllString(s, ""), -1) {
		switch part {
		case "[":
			open = append(open, "")
		case "]":
			if len(open) == 0 {
				return []string{"closed without being opened"}
			}
			out = append(out, "["+open[len(open)-1]+"]")
			open = open[:len(open)-1]
		default:
			if len(open) > 0 {
				key, _, _ := strings.Cut(strings.Trim(part, "{}"), "|")
				open[len(open)-1] += "{" + key + "}"
			}
		}
	}
	if len(open) > 0 {
		return []string{"opened without being closed"}
	}
	return sorted(out)
}

// TestPlurals: one and many are chosen as Unicode's rules choose them (CLDR, cardinal; Spanish has
// one more form from a million on).
func TestPlurals(t *testing.T) {
	for _, l := range []lang.Language{lang.English, lang.Spanish} {
		tag := language.MustParse(l.Tag())
		for n := range 100_000 {
			one := plural.Cardinal.MatchPlural(tag, n, 0, 0, 0, 0) == plural.One
			if got := strings.HasSuffix(l.Count(n, "bay", "bays"), " "+l.S("bay")); got != one {
				t.Fatalf("%s: %s", l.Tag(), l.Count(n, "bay", "bays"))
			}
		}
	}
}

// TestLists: names are joined as they are said.
func TestLists(t *testing.T) {
	for _, x := range []struct {
		l    lang.Language
		n    []string
		want string
	}{
		{lang.English, nil, ""}, {lang.English, []string{"b1", "b2"}, "b1 and b2"}, {lang.Spanish, []string{"b1"}, "b1"}, {lang.Spanish, []string{"b1", "b2", "b3"}, "b1, b2 y b3"},
	} {
		if got := x.l.List(x.n); got != x.want {
			t.Errorf("%q, want %q", got, x.want)
		}
	}
}

// TestGlossary: every term is used as the glossary, a page of the reference, has it, and what it warns of stands nowhere.
func TestGlossary(t *testing.T) {
	var all string
	for _, key := range lang.Keys() {
		all += strings.ToLower(lang.Spanish.S(key)) + "\n"
	}
	page, err := os.ReadFile("../../../cmd/reference/spanish.md")
	if err != nil {
		t.Fatal(err)
	}
	rows := regexp.MustCompile(`(?m)^\| (.+?) \| (.+?) \| (.*?) \| .*\|$`).FindAllStringSubmatch(string(page), -1)
	if len(rows) < 25 {
		t.Fatalf("%d terms", len(rows))
	}
	for _, x := range rows[1:] { // below the head
		english, spanish, never := x[1], x[2], x[3]
		for _, word := range regexp.MustCompile(`; |, `).Split(strings.ToLower(spanish), -1) {
			if !strings.Contains(all, word) {
				t.Errorf("%s: no sentence says %q", english, word)
			}
		}
		if never != "" && regexp.MustCompile(`\b`+never+`\b`).MatchString(all) {
			t.Errorf("%s: a sentence says %q", english, never)
		}
	}
}

// TestUnknownIsEnglish: what has no row, and what names no language, is said in English.
func TestUnknownIsEnglish(t *testing.T) {
	if got := lang.Spanish.F("no such sentence %d", 3); got != "no such sentence 3" {
		t.Error(got)
	}
	for name, want := range map[string]lang.Language{"": lang.English, "en": lang.English, "es": lang.Spanish, "fr": lang.English} {
		if got := lang.Of(name); got != want {
			t.Errorf("%q: %q", name, got)
		}
	}
}
