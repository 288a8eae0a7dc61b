package prompt

import (
	"strings"

	"bayproof/model"
)

// measure logs the sizes of a bay that is not filled yet.
func (s *Session) measure(tail string) {
	if tail == "" {
		s.step(draft{name: s.nextName(), kind: "size", said: Row{}})
		return
	}
	name, tokens := s.splitName(splitTokens(tail))
	t, err := parseWords(tokens)
	if err != nil {
		s.sayf("%s", err)
		return
	}
	if len(t.ways[0]) == 0 {
		s.step(draft{name: name, kind: "size", said: t.said})
		return
	}
	s.withFigures(draft{name: name, kind: "size", said: t.said}, t, s.submit)
}

// piece logs volume added to a bay or taken away.
func (s *Session) piece(kind, tail string) {
	s.onBay(tail, func(b *model.Bay, t typed) {
		names := sizeNames(t.said["shape"])
		for _, way := range t.ways {
			if len(way) != len(names) {
				continue
			}
			row := t.said
			for i, text := range way {
				row[names[i]] = text
			}
			row["entry"] = kind
			s.put(s.rowOf(b.Name, row))
			return
		}
		s.sayf("%s %s: type %s", kind, b.Name, strings.Join(names, " "))
	})
}

// named takes a bay whose name is also a word of the prompt.
func (s *Session) named(tail string) {
	tokens := splitTokens(tail)
	if len(tokens) == 0 {
		s.sayf("bay NAME and its figures: for a bay that is called like a word of the prompt")
		return
	}
	t, err := parseWords(tokens[1:])
	if err != nil {
		s.sayf("%s", err)
		return
	}
	s.entry(tokens[0], t)
}

// setting logs a change of the machine's setting or of the lot.
func (s *Session) setting(tail string) {
	tail = strings.TrimSpace(strings.TrimPrefix(tail, "set "))
	if tail == "" {
		s.sayf("set what? as in: set gate to 4")
		return
	}
	s.putNameless(Row{"entry": "set", "note": tail})
}

// count logs where the counter starts.
func (s *Session) count(tail string) {
	if tail == "" {
		s.sayf("count what? as in: count 0%s", s.counterHint())
		return
	}
	s.putNameless(Row{"entry": "count", "counter": tail})
}

// putNameless puts a row that belongs to no bay.
func (s *Session) putNameless(row Row) {
	s.put(s.rowIn("", "", row))
}
