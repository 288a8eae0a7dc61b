package lang_test

import (
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"bayproof/report/say/lang"
)

// A roof's sentences are read by a tired man in a hurry. Two limits hold for them: no sentence has
// over 20 words; and each screen as a whole, and each text of six words or more by itself, reads at
// or under US grade 7 by the formula of Kincaid et al., Derivation of new readability formulas for
// Navy enlisted personnel (1975):
//
//	grade = 0.39 · words/sentences + 11.8 · syllables/words − 15.59
//
// A sentence ends at . ? or ! alone. A figure, a name and any place for one counts as one word of
// one syllable; bracketed parts that follow each other are sentences of their own. Syllables are
// groups of vowels, y among them, less a silent e at the end, and less that of -es and -ed where
// nobody hears it. Texts of under four words are labels.
const (
	mostWords = 20
	mostGrade = 7.0
)

var (
	ends   = regexp.MustCompile(`[.?!](?:\s|$)`)
	vowels = regexp.MustCompile(`[aeiouy]+`)
	silent = regexp.MustCompile(`(?:[^aeiouylr]|[aeiouy][lr])e$|[^aeiouytd]ed$|[^aeiouyscxzgh]es$`)
	word   = regexp.MustCompile(`[\pL\pN][\pL\pN'’/-]*`)
)

// spoken is a sentence with a figure at its places, all brackets in.
func spoken(text string) string {
	text = tags.ReplaceAllString(text, "")
	text = braces.ReplaceAllStringFunc(text, func(place string) string {
		if _, forms, ok := strings.Cut(place, "|"); ok {
			forms = strings.Trim(forms, "}")
			return "9 " + forms[strings.LastIndexByte(forms, '|')+1:]
		}
		return "9"
	})
	text = verbs.ReplaceAllString(text, "9")
	return strings.NewReplacer("][", ". ", "[", "", "]", "").Replace(text)
}

func sentencesOf(text string) (out [][]string) {
	for _, s := range ends.Split(text, -1) {
		if words := word.FindAllString(s, -1); len(words) > 0 {
			out = append(out, words)
		}
	}
	return out
}

func syllables(w string) int {
	w = strings.ToLower(w)
	if strings.ContainsAny(w, "0123456789") {
		return 1
	}
	n := 0
	for _, part := range strings.FieldsFunc(w, func(r rune) bool { return r == '-' || r == '/' || r == '\'' || r == '’' }) {
		k := len(vowels.FindAllString(part, -1))
		if k > 1 && silent.MatchString(part) {
			k--
		}
		n += max(k, 1)
		if part == "t" || part == "s" || part == "ll" || part == "re" { // of don't, what's
			n--
		}
	}
	return max(n, 1)
}

// grade is that of several texts together.
func grade(texts []string) float64 {
	var sentences, words, sound float64
	for _, text := range texts {
		for _, s := range sentencesOf(spoken(text)) {
			sentences++
			words += float64(len(s))
			for _, w := range s {
				sound += float64(syllables(w))
			}
		}
	}
	return 0.39*words/sentences + 11.8*sound/words - 15.59
}

// long are the sentences of a text that have too many words.
func long(text string) (out []string) {
	for _, s := range sentencesOf(spoken(text)) {
		if len(s) > mostWords {
			out = append(out, strings.Join(s, " "))
		}
	}
	return out
}

// desk are texts of the supervisor's screens, which may use the words of the trade's books.
var desk = []string{}

// TestPlain holds both limits for every screen, and for all of them together.
func TestPlain(t *testing.T) {
	byScreen := map[string][]string{}
	for text, x := range find(t) {
		if x.cell || slices.Contains(desk, text) {
			continue
		}
		for _, s := range long(text) {
			t.Errorf("%s: over %d words: %s", x.at, mostWords, s)
		}
		n := len(word.FindAllString(spoken(text), -1))
		if g := grade([]string{text}); n >= 6 && !(g <= mostGrade) {
			t.Errorf("%s: grade %.1f: %s", x.at, g, text)
		}
		if n >= 4 {
			byScreen[x.screen] = append(byScreen[x.screen], text)
			byScreen["all"] = append(byScreen["all"], text)
		}
	}
	for screen, texts := range byScreen {
		g := grade(texts)
		t.Logf("%s: grade %.1f, %d sentences", screen, g, len(texts))
		if !(g <= mostGrade) {
			slices.SortFunc(texts, func(a, b string) int { return int(math.Copysign(1, grade([]string{b})-grade([]string{a}))) })
			t.Errorf("%s reads at grade %.1f; hardest: %q", screen, g, texts[:min(8, len(texts))])
		}
	}
}

// TestPlainFinds: the limits are those of the formula, and what is hard is found.
func TestPlainFinds(t *testing.T) {
	for w, want := range map[string]int{
		"bay": 1, "measure": 2, "little": 2, "hole": 1, "netting": 2, "emptied": 2, "logged": 1, "needed": 2, "pieces": 2, "bags": 1, "hoses": 2, "machine": 2, "insulation": 4, "don't": 1,
		"b7": 1, "3/8-in": 1, "ceiling": 2, "area": 2, "the": 1, "one": 1, "places": 2, "times": 1, "bubble": 2,
	} {
		if got := syllables(w); got != want {
			t.Errorf("%s has %d syllables, not %d", w, got, want)
		}
	}
	// By hand: 8 words, 1 sentence, 8 syllables: 0.39·8 + 11.8 − 15.59.
	if got := grade([]string{"Stop at the first pop and call out."}); math.Abs(got-(-0.67)) > 0.01 {
		t.Errorf("grade %.2f", got)
	}
	hard := []string{
		"exponentially weighted mean of the density in fill order, at the confidence that was chosen",
		"how far one reading scatters is unknown, not zero; the probability of the target cannot be determined",
	}
	if got := grade(hard); got <= mostGrade {
		t.Errorf("%.1f for what nobody on a roof reads", got)
	}
	if len(long(strings.Repeat("one more ", 11)+"end.")) == 0 || len(long("Ten words stand in this one. Ten more stand in the other. Fine.")) != 0 {
		t.Error("long sentences are not told apart")
	}
	if lang.English.S("x") != "x" {
		t.Error("English is not its own key")
	}
}

// TestSpanishIsShort: Spanish takes a fifth more words, and no more.
func TestSpanishIsShort(t *testing.T) {
	for _, key := range lang.Keys() {
		for _, s := range sentencesOf(spoken(lang.Spanish.S(key))) {
			if len(s) > 24 {
				t.Errorf("%d words: %s", len(s), strings.Join(s, " "))
			}
		}
	}
}
