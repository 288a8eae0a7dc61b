package lang

import (
	"fmt"
	"maps"
	"slices"
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

// spanish is the Spanish of every sentence, from its tables by subject.
var spanish = sync.OnceValue(func() map[string]string {
	all := map[string]string{}
	for _, table := range []map[string]string{prompt, screens, sheets, page} {
		maps.Copy(all, table)
	}
	return all
})

// Keys are the English of all sentences that have a Spanish one, sorted.
func Keys() []string { return slices.Sorted(maps.Keys(spanish())) }

// S is a sentence in the language, its places left as they are; English where the table has none.
func (l Language) S(english string) string {
	if l == Spanish {
		if text, ok := spanish()[english]; ok {
			return text
		}
	}
	return english
}

// F fills a sentence as fmt.Sprintf does; another language may take the figures in another order, as %[2]s.
func (l Language) F(english string, args ...any) string { return fmt.Sprintf(l.S(english), args...) }
