package prompt

import (
	"slices"
	"strings"

	"bayproof/model"
	"bayproof/model/cell"
)

// rest takes a line at rest: a command, a bay, or the figures of the next bay. A bay that is called
// like a command is meant where the whole line is its name; with figures behind it the word bay
// tells them apart.
func (s *Session) rest(line string) {
	if line == "" {
		s.step(draft{name: s.nextName(), said: Row{}})
		return
	}
	word, tail := cut(line)
	if c := command(word); c != nil && s.bay(line) == nil {
		if c.words[0] != "undo" && c.words[0] != "fix" && c.during != shows {
			s.bad = nil
		}
		c.run(s, tail)
		return
	}
	s.bad = nil
	if d, is := settingOf(line); is && s.bay(word) == nil {
		s.setting(d)
		return
	}
	all := strings.Fields(line)
	if _, _, known := s.known(all); !known && s.abroad(all) {
		return
	}
	name, tokens := s.splitName(all)
	if len(tokens) == 0 && s.bay(name) == nil && s.unlike(name) {
		s.newBay(name)
		return
	}
	if last := s.before(); len(tokens) > 0 && last != nil && s.bay(name) == nil && s.unlike(name) && strings.ContainsAny(last.Name, "0123456789") {
		if near := nearWord(name); near != "" {
			s.refusef("%s is no word here. Did you mean %s?", name, near)
		} else {
			s.refusef("No bay here is called %s. A new one? Type bay %s", name, line)
		}
		return
	}
	s.parsed(tokens, func(t typed) {
		if last := s.before(); last != nil && len(tokens) == len(all) && s.ofEither(name, t) {
			s.refusef("Which bay? Type %[1]s %[3]s, or %[2]s %[3]s.", last.Name, name, line)
			return
		}
		s.entry(name, t)
	})
}

// settingOf is the setting that a line gives, as in bag_weight,25 lb; is tells whether it gives one.
func settingOf(line string) (d model.SettingDef, is bool) {
	word, tail, _ := strings.Cut(strings.TrimLeft(line, "-"), ",")
	if before, behind, ok := strings.Cut(word, " "); ok {
		word, tail = before, behind
	}
	word = strings.ReplaceAll(strings.ToLower(word), "-", "_")
	defs := model.SettingDefs()
	at := slices.IndexFunc(defs, func(d model.SettingDef) bool { return d.Name == word })
	if tail == "" || at < 0 {
		return d, false
	}
	return defs[at], true
}

// setting refuses a line that gives a setting: it stands in job.csv, and no bay is called so.
func (s *Session) setting(d model.SettingDef) {
	s.refusef("%s is a setting. Write it in job.csv, then go on here.", d.Name)
}

// ofEither tells whether a line that names no bay may be about the bay before as well as the one
// that comes next: words alone, as an order asks for them, while nothing of the next one is in the
// log. On the roof sheet a size is enough for a bay.
func (s *Session) ofEither(next string, t typed) bool {
	return s.bay(next) == nil && len(t.said) > 0 && len(t.loose) == 0 && t.amount == "" && !(s.opt.Sheet == Roof && draft{said: t.said}.sized())
}

// unlike tells whether a word alone is hardly the name of a bay: it is none that comes next, and
// has no figure in it, as a slip for a command has not.
func (s *Session) unlike(name string) bool {
	return !strings.EqualFold(name, s.nextName()) && !strings.ContainsAny(name, "0123456789")
}

// newBay asks whether a word alone is the name of a bay. Whatever is typed but a yes is taken for
// what it is.
func (s *Session) newBay(name string) {
	if _, answer := model.ParseAnswer(answerIn(s.say.Language, name)); answer {
		if s.sayf("Nothing was asked."); len(s.own) > 0 {
			s.sayf("The last entry is in the log. undo takes it back.")
		}
		return
	}
	if near := nearWord(name); near != "" {
		s.sayf("%s is no word here. Did you mean %s?", name, near)
	}
	s.question(s.say.F("  New bay called %q? [no] ", name), func(line string) {
		if answer := s.answer(line); answer == model.Yes {
			s.step(draft{name: name, said: Row{}})
			return
		} else if answer != model.No {
			s.queue(line)
		}
	})
}

// nearWord is the command that a word is a slip for; empty where it is close to none.
func nearWord(word string) string {
	var known []string
	for _, c := range commands() {
		known = append(known, c.words...)
	}
	if near := cell.Nearest(strings.ToLower(word), known); len(word) > 2 && len(near) > 2 {
		return near
	}
	return ""
}

// parsed goes on with the words and figures of a line, or says what is wrong with them.
func (s *Session) parsed(tokens []string, then func(typed)) {
	t, err := parseWords(s.say.Units, tokens)
	if err != nil {
		s.refusef("%s", err)
		return
	}
	then(t)
}

// cut takes the first word off a line.
func cut(line string) (word, tail string) {
	word, tail, _ = strings.Cut(line, " ")
	return word, strings.TrimSpace(tail)
}

// known finds the bay whose name stands in front: the longest run of words that names one here, or
// the one that comes next.
func (s *Session) known(tokens []string) (name string, tail []string, ok bool) {
	for n := min(len(tokens), 4); n > 0; n-- {
		candidate := strings.TrimSuffix(strings.Join(tokens[:n], " "), ",")
		if b := s.bay(candidate); b != nil {
			return b.Name, tokens[n:], true
		}
		if strings.EqualFold(candidate, s.nextName()) {
			return s.nextName(), tokens[n:], true
		}
	}
	return "", tokens, false
}

// splitName takes the bay's name off the front: the longest run of words that is the name of a bay
// here, else the first word where it cannot be a figure, else no name at all, and the next bay is
// meant. In a section whose bays are called by numbers the first figure is the name.
func (s *Session) splitName(tokens []string) (name string, tail []string) {
	if name, tail, ok := s.known(tokens); ok {
		return name, tail
	}
	numbered := false // are bays here called by numbers?
	if bays := baysOf(s.job, s.section); len(bays) > 0 {
		numbered = strings.Trim(bays[len(bays)-1].Name, "0123456789") == ""
	}
	if numeric(tokens[0]) && !numbered || isWord(tokens[0]) && (len(tokens[0]) > 1 || len(tokens) < 6) || tokens[0] == "shared" {
		return s.nextName(), tokens
	}
	return strings.TrimSuffix(tokens[0], ","), tokens[1:]
}

// commandWords are what a line at rest may begin with. The first word is the one that help and
// completion name; where it is empty they name none.
type commandWords struct {
	words  []string
	takes  takes
	during during
	run    func(s *Session, tail string)
}

// during is what a command's word does, typed alone while a question is open.
type during uint8

const (
	answers during = iota // it is an answer like any other
	shows                 // it is answered, and the question asked again
	drops                 // the question is dropped
	ends                  // so is the sitting
)

// takes is what completion offers behind a command's word.
type takes uint8

const (
	nothing takes = iota
	aBay
	aSection
)

// commands are all of them, in the order of help.
func commands() []commandWords {
	move := func(kind string) func(*Session, string) { return func(s *Session, tail string) { s.move(kind, tail) } }
	piece := func(kind string) func(*Session, string) { return func(s *Session, tail string) { s.piece(kind, tail) } }
	return []commandWords{
		{[]string{"top", "topup", "top-up", "add"}, aBay, answers, move("topup")},
		{[]string{"lost"}, aBay, answers, move("lost")},
		{[]string{"probe", "seen"}, aBay, answers, (*Session).probe},
		{[]string{"close", "closed"}, aBay, answers, func(s *Session, tail string) { s.only("closed", tail, "by", "note", "photo") }},
		{[]string{"fix"}, aBay, answers, (*Session).fix},
		{[]string{"amend"}, aBay, answers, (*Session).amend},
		{[]string{"strike"}, aBay, answers, (*Session).strike},
		{[]string{"do"}, aBay, answers, (*Session).do},
		{[]string{"why"}, aBay, shows, (*Session).why},
		{[]string{"decide"}, aBay, answers, (*Session).decide},
		{[]string{"recount"}, aBay, answers, (*Session).recount},
		{[]string{"leave"}, aBay, answers, (*Session).leave},
		{[]string{"size"}, aBay, answers, (*Session).measure},
		{[]string{"piece"}, aBay, answers, piece("piece")},
		{[]string{"less"}, aBay, answers, piece("less")},
		{[]string{"bay"}, aBay, answers, (*Session).named},
		{[]string{"machine", "hose"}, nothing, answers, (*Session).changeMachine},
		{[]string{"set"}, nothing, answers, (*Session).set},
		{[]string{"count", "counter"}, nothing, answers, (*Session).count},
		{[]string{"box"}, nothing, answers, (*Session).box},
		{[]string{"core"}, aBay, answers, (*Session).core},
		{[]string{"empties"}, nothing, answers, (*Session).empties},
		{[]string{"elsewhere"}, nothing, answers, (*Session).elsewhere},
		{[]string{"undo"}, nothing, drops, func(s *Session, _ string) { s.undo() }},
		{[]string{"list", "ls"}, nothing, shows, (*Session).list},
		{[]string{"show"}, aSection, shows, (*Session).show},
		{[]string{"section"}, aSection, answers, (*Session).change},
		{[]string{"by"}, nothing, answers, func(s *Session, tail string) { s.opt.By = tail }},
		{[]string{"help", "?"}, nothing, shows, (*Session).help},
		{[]string{"finish", "quit", "exit", "q"}, nothing, ends, func(s *Session, _ string) { s.finish() }},
		{[]string{"", "cancel", "drop", "back"}, nothing, drops, (*Session).drop},
	}
}

// drop forgets a half-typed bay.
func (s *Session) drop(string) {
	if s.half == nil {
		s.sayf("Nothing to drop. undo takes back the last entry.")
		return
	}
	s.sayf("%s dropped. Nothing of it was written.", s.half.name)
	s.half = nil
}

// command finds the command of a word, in any case; nil where the word is none.
func command(word string) *commandWords {
	for _, c := range commands() {
		if word != "" && slices.Contains(c.words, strings.ToLower(word)) {
			return &c
		}
	}
	return nil
}

// leading takes the name of a bay, which may be of up to four words, off the front of a line; the bay
// is nil where there is none.
func (s *Session) leading(line string) (b *model.Bay, tail []string) {
	tokens := strings.Fields(line)
	for n := min(len(tokens), 4); n > 0; n-- {
		if b := s.bay(strings.Join(tokens[:n], " ")); b != nil {
			return b, tokens[n:]
		}
	}
	if n := len(strings.Fields(s.section)); n > 0 && n < len(tokens) && strings.EqualFold(strings.Join(tokens[:n], " "), s.section) {
		return s.leading(strings.Join(tokens[n:], " ")) // as lists call it
	}
	return nil, tokens
}

// target takes the name of a bay off the front of a command's tail; without one the last bay is
// meant: what is seen or topped up is mostly the bay just filled. It is nil, with the tokens, where a
// name is of no bay.
func (s *Session) target(tail string) (b *model.Bay, tokens []string) {
	tokens = strings.Fields(tail)
	b, behind := s.leading(tail)
	figure := len(behind) > 0 && isUnit(behind[0]) && numeric(tokens[0]) // "top 10 lb" where a bay is called 10
	switch {
	case b != nil && !figure:
		return b, behind
	case len(tokens) > 0 && !numeric(tokens[0]) && !isWord(tokens[0]) && tokens[0] != "no":
		return nil, tokens
	}
	return s.lastBay(), tokens
}

// onBay runs a command on the bay that its tail names, with the words and figures behind the name.
func (s *Session) onBay(tail string, run func(b *model.Bay, t typed)) {
	if b, tokens := s.target(tail); b != nil {
		s.parsed(tokens, func(t typed) { run(b, t) })
	} else {
		s.noBay(tokens)
	}
}

// noBay says that a line is about no bay here, and which there are. tokens are what stands where its
// name would, which figures and the words of columns are not.
func (s *Session) noBay(tokens []string) {
	s.notTaken()
	switch {
	case s.abroad(tokens):
	case len(baysOf(s.job, s.section)) == 0:
		s.sayf("No bay yet.")
	case len(tokens) > 0 && !numeric(tokens[0]) && !isWord(tokens[0]):
		s.sayf("No bay here is called %s. list shows them.", tokens[0])
	default:
		s.sayf("Which bay? list shows them.")
	}
}

// abroad tells whether a line names another section in front of a bay, as lists do, and then says
// how to get there: the next figures would go to where one is.
func (s *Session) abroad(tokens []string) bool {
	for n := min(len(tokens)-1, 4); n > 0; n-- {
		sec := s.find(strings.Join(tokens[:n], " "))
		if sec == nil || numeric(tokens[0]) {
			continue
		}
		s.notTaken()
		if strings.EqualFold(sec.Name, s.section) {
			s.sayf("%s is the section you are in. Type the line without it.", sec.Name)
		} else {
			s.sayf("%[1]s is another section. Type section %[1]s, then the line without it.", sec.Name)
		}
		return true
	}
	return false
}

// Complete returns the lines that a begun line may go on as: commands, then the bays of this
// section where a command takes one, or the sections. Answers to a question are left to the one who
// types.
func (s *Session) Complete(begun string) []string {
	if s.ask != nil {
		return nil
	}
	var bays, sections, words []string
	for _, b := range baysOf(s.job, s.section) {
		if !b.Struck {
			bays = append(bays, b.Name)
		}
	}
	for _, sec := range s.job.Sections {
		if sec.Name != "" {
			sections = append(sections, sec.Name)
		}
	}
	head, tail, more := strings.Cut(begun, " ")
	for _, c := range commands() {
		switch {
		case !more && c.words[0] != "":
			words = append(words, c.words[0])
		case more && c.words[0] == head && c.takes == aBay:
			words = bays
		case more && c.words[0] == head && c.takes == aSection:
			words = sections
		}
	}
	if more {
		head += " "
	} else {
		head, tail, words = "", begun, append(words, bays...)
	}
	var lines []string
	for _, w := range words { // that go on from what was begun, in any case
		if len(w) >= len(tail) && strings.EqualFold(w[:len(tail)], tail) {
			lines = append(lines, head+w)
		}
	}
	return lines
}
