package prompt

import (
	"strings"

	"bayproof/model"
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

// helpText lists what can be typed; every line fits 80 columns.
const helpText = `A bay:  b8 14.5 2 1/4;2 1/2 11'6 1 3/4     name width depth length bags
        1 3/4        the next bay, sizes as the one above (a ditto)
        b8 14.5, 5.5, 12, 3/4    a comma keeps apart what could be 12 3/4
        Enter        be asked, one size at a time; Enter there is a ditto
        38 lb        weighed;  1 + 14.5 lb  a part bag by weight;  shared
        behind it, in any order:  stall  no stall  reach 11  hole 2
        rod firm|soft|empty  smoke still|moves  ir even|cold  at 9
        wedge|taper|round  width2 12  depth2 3  length2 8  bulge 1
        photo b8.jpg  by AB  note (the rest of the line)
Later:  top b7 8 lb stall     topped up (top b7 0 stall: it took none)
        probe b7 rod firm at 9        seen in a filled bay
        lost b7 5 lb          came out again, or never got in
        piece b7 14.5 5.5 3   volume added;  less b7 … taken away
        close b7              the bay is closed
        amend b7 14.5 5.5 12 2   the whole fill anew
        strike b7             the bay is withdrawn
        size b9 14.5 5.5 12   measured, not filled yet
        set gate to 4         machine setting or lot changed
        count 0               the counter starts at
Look:   list  list all  show  section hip  help
        undo (takes back the last entry)  finish
`

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
