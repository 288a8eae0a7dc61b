package prompt

import "strings"

// Complete returns the lines that a begun line may go on as: commands, then the bays of this section where a command takes
// one, or the sections. Answers to a question are left to the one who types.
func (s *Session) Complete(begun string) []string {
	if s.ask != nil {
		return nil
	}
	word, tail, more := strings.Cut(begun, " ")
	switch {
	case !more:
		return goingOn("", begun, append(firstWords(), s.bayNames()...))
	case word == "section" || word == "show":
		return goingOn(word+" ", tail, s.sectionNames())
	case takesBay(word):
		return goingOn(word+" ", tail, s.bayNames())
	}
	return nil
}

// goingOn keeps the words that go on from what was begun, in any case.
func goingOn(head, begun string, words []string) []string {
	var lines []string
	for _, w := range words {
		if len(w) >= len(begun) && strings.EqualFold(w[:len(begun)], begun) {
			lines = append(lines, head+w)
		}
	}
	return lines
}

// firstWords are the commands as help names them.
func firstWords() []string {
	return []string{"top", "lost", "probe", "close", "amend", "strike", "size", "piece", "less", "bay", "set", "count", "undo",
		"list", "show", "section", "by", "help", "finish"}
}

func takesBay(word string) bool {
	switch word {
	case "top", "lost", "probe", "close", "amend", "strike", "size", "piece", "less", "bay":
		return true
	}
	return false
}

func (s *Session) bayNames() []string {
	var names []string
	for _, b := range baysOf(s.job, s.section) {
		if !b.Struck {
			names = append(names, b.Name)
		}
	}
	return names
}

func (s *Session) sectionNames() []string {
	var names []string
	for _, sec := range s.job.Sections {
		if sec.Name != "" {
			names = append(names, sec.Name)
		}
	}
	return names
}
