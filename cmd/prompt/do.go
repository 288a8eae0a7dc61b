package prompt

import (
	"slices"
	"strings"

	"bayproof/model"
	"bayproof/model/cell"
	"bayproof/verify"
)

// An order is logged by its line, which say.Line has: do types it and asks for its blanks.

// do says a bay's order in full and types the line that reports it: it asks for each blank, and
// takes the line as if it had been typed whole.
func (s *Session) do(tail string) {
	s.reread()
	s.onBay(tail, func(b *model.Bay, _ typed) {
		x := of(s.f, b)
		now, line := "", ""
		if x != nil {
			now, line = s.say.Now(x), s.say.Line(x)
		}
		switch {
		case line != "" && s.opt.Sheet == Roof && (x.Now.Action == verify.ActFill || x.Now.Action == verify.ActCount):
			s.sayf("%s: %s", b.Name, s.say.S("This one is logged at the truck."))
		case line != "":
			s.sayf("  now: %s", now)
			s.fill(line)
		case now != "":
			s.sayf("%s: %s", b.Name, now)
		default:
			s.sayf("%s: nothing to do.", b.Name)
		}
	})
}

// fill asks for the blanks of a line, one after the other, each until it reads. Nothing stands for
// an answer: Enter drops the line, and so does a command or another bay's line, which is taken
// instead. Readings may be given one by one, or all at once with ; between. Why somebody decides is
// a sentence of any kind.
func (s *Session) fill(line string) {
	before, after, blank := strings.Cut(line, "_")
	if !blank {
		s.sayf("  %s", line)
		s.rest(line)
		return
	}
	said := strings.Fields(before)
	words, asked := answersTo(said), "?"
	if words != nil {
		asked = strings.Join(words, ", ")
	}
	s.question("  "+before+"["+asked+"]"+after+" ", func(answer string) {
		instead := answer != "" && s.another(answer, strings.HasPrefix(line, "decide ") && strings.HasSuffix(before, ": "))
		if answer != "" && !instead {
			filled, behind := blankFilled(before, answer, after)
			if why := s.unread(said, words, strings.TrimSpace(strings.TrimPrefix(filled, before))); why != "" {
				s.sayf("  %s", why)
				s.fill(line)
				return
			}
			s.fill(filled + s.whereOf(answer, behind))
			return
		}
		s.sayf("Dropped. Nothing was written.")
		if instead {
			s.rest(answer)
		}
	})
}

// whereOf asks where a look found something, where the order names several places: what follows the
// answer is then a blank in their place. A firm look is firm at all of them.
func (s *Session) whereOf(answer, behind string) string {
	head, places, several := strings.Cut(behind, " at ")
	if !several || !strings.Contains(places, ";") || !slices.ContainsFunc([]string{"soft", "empty", "moves", "cold"}, func(word string) bool { return strings.Contains(strings.ToLower(answer), word) }) {
		return behind
	}
	s.sayf("  Where, of %s?", places)
	return head + " at _"
}

// answersTo are the words that a blank behind some words can be answered with; nil where it is
// figures or words of one's own.
func answersTo(said []string) (words []string) {
	if len(said) < 3 { // a bay's name
		return nil
	}
	last := said[len(said)-1]
	if last == "stall" {
		return []string{"yes", "no"}
	}
	for _, look := range model.ProbeWords() {
		if kind, found, ok := strings.Cut(look, " "); ok && kind == last {
			words = append(words, found)
		}
	}
	return words
}

// unread says why the answer to a blank does not read: it is none of its words, or no figure of the
// column that is named before it. Empty where it reads, or where only the whole line tells.
func (s *Session) unread(said, words []string, answer string) string {
	if figures := []string{"top", "recount", "empties", "size"}; len(said) > 0 && slices.Contains(figures, said[0]) && words == nil && !numeric(answer) && answer != "shared" {
		return s.say.F("%s: a figure is missing", said[0])
	}
	if len(said) < 3 {
		return ""
	}
	column := said[len(said)-1]
	if column == "stall" {
		if _, bad := cell.Stalled(column, answerIn(s.say.Language, answer)); bad == nil {
			return ""
		}
	}
	if words != nil {
		if first, _ := cut(answer); slices.Contains(words, strings.ToLower(first)) {
			return ""
		}
		return s.say.F("One of: %s", strings.Join(words, ", "))
	}
	if _, bad := plainCell(column, answer, s.job.Settings.Units); bad != nil {
		return s.say.F("%s; %s", s.say.Told(bad.What), s.say.Told(bad.Hint))
	}
	return ""
}

// blankFilled puts an answer between what stands before and after its blank. What was typed of
// those with it is not said twice, as in "8 lb" where lb stands behind, or "no stall"; another unit
// takes the place of the one there. Readings with ; between, and a name with its reason behind :,
// are all that was asked for.
func blankFilled(before, answer, after string) (filled, behind string) {
	words := strings.Fields(answer)
	if said := strings.Fields(before); len(words) > 1 {
		switch asked := said[len(said)-1]; {
		case strings.EqualFold(words[0], asked):
			words = words[1:]
		case strings.EqualFold(words[len(words)-1], asked):
			words = words[:len(words)-1]
		}
	}
	next := strings.Fields(after)
	for n := min(len(words)-1, len(next)); n > 0; n-- {
		if slices.EqualFunc(words[len(words)-n:], next[:n], strings.EqualFold) {
			words = words[:len(words)-n]
			break
		}
	}
	answer = strings.Join(words, " ")
	unit := strings.TrimLeft(words[len(words)-1], "0123456789./")
	switch {
	case len(next) > 0 && unit != "" && isUnit(unit) && isUnit(next[0]):
		after = strings.TrimPrefix(strings.TrimSpace(after), next[0])
	case strings.HasPrefix(after, ":") && strings.Contains(answer, ":"):
		after = ""
	case strings.Contains(answer, ";"):
		answer = strings.TrimSuffix(answer, ";")
		if after = strings.TrimLeft(after, "; _"); after != "" {
			after = " " + after
		}
	}
	return before + answer, after
}

// another tells whether the answer to a blank is a line of its own: a command, or the name of a bay
// with what belongs to it. A sentence may begin with a command's word; a command it is if a bay
// follows.
func (s *Session) another(answer string, sentence bool) bool {
	word, tail := cut(answer)
	name, behind, named := s.known(strings.Fields(answer))
	switch {
	case named && len(behind) > 0 && !numeric(name) && (!sentence || numeric(behind[0]) || isWord(behind[0])):
		return true
	case !sentence || tail == "":
		return command(word) != nil
	}
	b, _ := s.leading(tail)
	return command(word) != nil && b != nil
}
