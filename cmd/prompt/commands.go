package prompt

import (
	"strings"

	"bayproof/model"
)

// command returns what a first word at rest does.
func (s *Session) command(word string) (run func(tail string), ok bool) {
	switch word {
	case "top", "topup", "top-up", "add":
		return func(tail string) { s.move("topup", tail) }, true
	case "lost":
		return func(tail string) { s.move("lost", tail) }, true
	case "probe", "seen":
		return s.observe, true
	case "close", "closed":
		return s.closeBay, true
	case "amend":
		return s.amend, true
	case "strike":
		return s.strike, true
	case "size":
		return s.measure, true
	case "piece", "less":
		return func(tail string) { s.piece(word, tail) }, true
	case "bay":
		return s.named, true
	case "set", "machine":
		return s.setting, true
	case "count", "counter":
		return s.count, true
	case "undo":
		return func(string) { s.undo() }, true
	}
	return s.looking(word)
}

// looking are the commands that write nothing.
func (s *Session) looking(word string) (run func(tail string), ok bool) {
	switch word {
	case "list", "ls":
		return s.list, true
	case "show":
		return s.show, true
	case "section":
		return s.change, true
	case "by":
		return func(tail string) { s.opt.By = tail }, true
	case "cancel", "drop":
		return func(string) { s.sayf("nothing to drop; undo takes back the last entry") }, true
	}
	return s.anywhere(word)
}

// anywhere are the commands that need no section.
func (s *Session) anywhere(word string) (run func(tail string), ok bool) {
	switch word {
	case "help", "?":
		return func(string) { s.out.WriteString(helpText) }, true
	case "finish", "quit", "exit", "q":
		return func(string) { s.finish() }, true
	}
	return nil, false
}

// target takes the name of a bay off the front of a command's tail; without one the last bay is meant.
func (s *Session) target(tail string) (b *model.Bay, tokens []string) {
	tokens = splitTokens(tail)
	for n := min(len(tokens), 4); n > 0; n-- {
		b := s.bay(strings.Join(tokens[:n], " "))
		if b == nil {
			continue
		}
		if rest := tokens[n:]; len(rest) > 0 && isUnit(rest[0]) && numeric(tokens[0]) {
			break // "top 10 lb" where a bay is called 10: the figure is meant
		}
		return b, tokens[n:]
	}
	if len(tokens) > 0 && !numeric(tokens[0]) && !isWord(tokens[0]) && tokens[0] != "no" {
		return nil, tokens
	}
	return s.lastBay(), tokens
}

// onBay runs a command on the bay that its tail names.
func (s *Session) onBay(tail string, run func(b *model.Bay, t typed)) {
	b, tokens := s.target(tail)
	switch {
	case b == nil && len(tokens) > 0:
		s.sayf("no bay here is called %s; list shows them", tokens[0])
		return
	case b == nil:
		s.sayf("no bay yet")
		return
	}
	t, err := parseWords(tokens)
	if err != nil {
		s.sayf("%s", err)
		return
	}
	run(b, t)
}
