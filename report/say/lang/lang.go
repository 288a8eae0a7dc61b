package lang

import (
	"fmt"
	"maps"
	"strings"
	"sync"
)

// Language is one of the languages that bayproof speaks; the zero value is English.
type Language string

// The languages. Spanish is that of crews in the United States, where the decimal mark is a point.
const (
	English Language = ""
	Spanish Language = "es"
)

// Of is the language of a value of the setting lang: English where it names none.
func Of(name string) Language {
	if name == string(Spanish) {
		return Spanish
	}
	return English
}

// Tag names the language as HTML does: en, es.
func (l Language) Tag() string {
	if l == English {
		return "en"
	}
	return string(l)
}

// tables are the sentences by subject.
func tables() []map[string]string { return []map[string]string{prompt, screens, sheets, page} }

// spanish is the Spanish of every sentence.
var spanish = sync.OnceValue(func() map[string]string {
	all := map[string]string{}
	for _, table := range tables() {
		maps.Copy(all, table)
	}
	return all
})

// S is a sentence in the language, its places left as they are; English where the table has none.
func (l Language) S(english string) string {
	if l == Spanish {
		if text, ok := spanish()[english]; ok {
			return text
		}
	}
	return english
}

// F fills a sentence as fmt.Sprintf does; another language may take the figures in another order,
// as %[2]s.
func (l Language) F(english string, args ...any) string {
	if len(args) == 0 {
		return l.S(english)
	}
	return fmt.Sprintf(l.S(english), args...)
}

// Count says how many of something there are: "no bays", "1 bay", "3 bays". Both forms are
// sentences of their own; Spanish too has one for 1 and one for all others (up to a million).
func (l Language) Count(n int, one, many string) string {
	switch {
	case n == 0 && l == English:
		return "no " + many
	case n == 1:
		return "1 " + l.S(one)
	}
	return fmt.Sprintf("%d %s", n, l.S(many))
}

// List joins names as they are said: "b3", "b3 and b4", "b3, b4 and b5".
func (l Language) List(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return l.F("%s and %s", strings.Join(names[:len(names)-1], ", "), names[len(names)-1])
}
