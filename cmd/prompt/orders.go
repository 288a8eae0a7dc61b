package prompt

import (
	"math"
	"strings"

	"bayproof/model"
	"bayproof/report/say"
)

// do says a bay's order in full and types the line that reports it: it asks for each blank, and takes the line as if it had been
// typed whole.
func (s *Session) do(tail string) {
	s.onBay(tail, func(b *model.Bay, _ typed) {
		s.accept(s.job, s.judge(s.job, s.section))
		x := of(s.f, b)
		line := ""
		if x != nil {
			line = s.say.Line(x)
		}
		if x == nil || line == "" {
			if x != nil && s.say.Now(x) != "" {
				s.sayf("%s: %s", b.Name, s.say.Now(x))
				return
			}
			s.sayf("%s: nothing to do", b.Name)
			return
		}
		s.sayf("  now: %s", s.say.Now(x))
		s.fill(line)
	})
}

// fill asks for the blanks of a line, one after the other. Nothing stands for an answer: Enter drops the line.
func (s *Session) fill(line string) {
	before, after, blank := strings.Cut(line, "_")
	if !blank {
		s.sayf("  %s", line)
		s.rest(line)
		return
	}
	s.question("  "+before+"[?]"+after+" ", func(answer string) {
		if answer == "" {
			s.sayf("  dropped; nothing was written")
			return
		}
		s.fill(before + answer + after)
	})
}

// why tells what a bay's verdict rests on, what was answered too, what it could hide, the whole order, and what would have
// served.
func (s *Session) why(tail string) {
	s.onBay(tail, func(b *model.Bay, _ typed) {
		x := of(s.f, b)
		switch {
		case x == nil || b.Fill == nil:
			s.sized(b)
			return
		}
		s.sayf("%s %s %s  %s", x.Bay.Name, say.Mark(x.Verdict), say.Verdict(x.Verdict), s.say.Evidence(x))
		for _, r := range x.Reasons {
			switch {
			case r.IsAnswered():
				s.sayf("  %s: answered, %s", s.say.Reason(r), s.say.Answered(r))
			case !say.InEvidence(r.Code):
				s.sayf("  %s", s.say.Reason(r))
			}
		}
		if !math.IsNaN(x.CouldHide) {
			s.sayf("  could hide a gap of %s", s.say.Length(x.CouldHide))
		}
		if text := s.say.Now(x); text != "" {
			s.sayf("  now: %s", text)
		}
		if text := s.say.NextBay(x); text != "" {
			s.sayf("  next bay: %s", text)
		}
	})
}

// decide logs that a person closes a bay as it stands: NAME: reason.
func (s *Session) decide(tail string) {
	head, reason, ok := strings.Cut(tail, ":")
	b, tokens := s.named1(head)
	name := strings.Join(tokens, " ")
	if reason = strings.TrimSpace(reason); !ok || b == nil || name == "" || reason == "" {
		s.sayf("decide what? as in: decide b4 AB: seen from the attic")
		return
	}
	row := s.rowOf(b.Name, Row{"entry": "decided", "note": reason})
	row["by"] = name
	s.put(row)
}

// named1 takes the name of a bay off the front of a line; the bay is nil where there is none.
func (s *Session) named1(line string) (*model.Bay, []string) {
	tokens := strings.Fields(line)
	for n := min(len(tokens), 4); n > 0; n-- {
		if b := s.bay(strings.Join(tokens[:n], " ")); b != nil {
			return b, tokens[n:]
		}
	}
	return nil, tokens
}

// recount says anew what went into a bay; all else that was said of it stands.
func (s *Session) recount(tail string) {
	s.onBay(tail, func(b *model.Bay, t typed) {
		fill := filling(b)
		if fill == nil || len(t.ways[0]) != 1 && t.amount == "" {
			s.sayf("recount %s: how much? as in recount %s 1 3/4", b.Name, b.Name)
			return
		}
		rows := s.restate(b, fill)
		for _, column := range []string{"bags", "counter", "weight"} {
			delete(rows[0], column)
		}
		if t.amount == "" {
			t.said[s.columnOf(t.ways[0][0])] = t.ways[0][0]
		}
		for column, text := range t.said {
			rows[0][column] = text
		}
		s.put(rows...)
	})
}

// leave logs that a bay is not filled on purpose, and why.
func (s *Session) leave(tail string) {
	b, tokens := s.named1(tail)
	name, reason := "", strings.Join(tokens, " ")
	if b != nil {
		name = b.Name
	} else if len(tokens) > 1 {
		name, reason = tokens[0], strings.Join(tokens[1:], " ")
	}
	if name == "" || reason == "" {
		s.sayf("leave what? as in: leave b7 flue")
		return
	}
	s.put(s.rowOf(name, Row{"entry": "leave", "note": reason}))
}
