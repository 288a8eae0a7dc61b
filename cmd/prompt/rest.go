package prompt

import (
	"strings"
)

// rest takes a line at rest: a command, a bay, or the figures of the next bay.
func (s *Session) rest(line string) {
	if line == "" {
		s.step(draft{name: s.nextName(), said: Row{}})
		return
	}
	word, tail := cut(line)
	if run, ok := s.command(strings.ToLower(word)); ok && s.bay(line) == nil {
		run(tail)
		return
	}
	name, tokens := s.splitName(splitTokens(line))
	t, err := parseWords(tokens)
	if err != nil {
		s.sayf("%s", err)
		return
	}
	s.entry(name, t)
}

// cut takes the first word off a line.
func cut(line string) (word, tail string) {
	word, tail, _ = strings.Cut(line, " ")
	return word, strings.TrimSpace(tail)
}

// splitTokens cuts a line at its spaces. A comma followed by a space is a token by itself: it keeps apart what might
// belong together, as in 12, 3/4.
func splitTokens(line string) []string {
	return strings.Fields(strings.ReplaceAll(line+" ", ", ", " , "))
}

// splitName takes the bay's name off the front: the longest run of words that is the name of a bay here, else the first
// word where it cannot be a figure, else no name at all, and the next bay is meant. In a section whose bays are called
// by numbers the first figure is the name.
func (s *Session) splitName(tokens []string) (name string, tail []string) {
	for n := min(len(tokens), 4); n > 0; n-- {
		candidate := strings.Join(tokens[:n], " ")
		if b := s.bay(candidate); b != nil {
			return b.Name, tokens[n:]
		}
		if strings.EqualFold(candidate, s.nextName()) {
			return s.nextName(), tokens[n:]
		}
	}
	if numeric(tokens[0]) && !s.numbered() || isWord(tokens[0]) || tokens[0] == "shared" {
		return s.nextName(), tokens
	}
	return tokens[0], tokens[1:]
}

// numbered tells whether bays here are called by numbers.
func (s *Session) numbered() bool {
	bays := baysOf(s.job, s.section)
	if len(bays) == 0 {
		return false
	}
	return strings.Trim(bays[len(bays)-1].Name, "0123456789") == ""
}
