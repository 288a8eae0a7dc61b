package prompt

import (
	"fmt"
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
	case "help", "?":
		return func(string) { s.out.WriteString(helpText) }, true
	case "finish", "quit", "exit", "q":
		return func(string) { s.finish() }, true
	}
	return nil, false
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

// move logs a top-up or a loss.
func (s *Session) move(kind, tail string) {
	s.onBay(tail, func(b *model.Bay, t typed) {
		row := t.said
		if n := len(t.ways[0]); n > 1 || n == 0 && t.amount == "" {
			s.sayf("%s %s: how much? as in %s %s 8 lb, or 1/4 for bags", kind, b.Name, kind, b.Name)
			return
		}
		if t.amount == "" {
			column, text := s.moved(kind, t.ways[0][0])
			row[column] = text
		}
		row["entry"] = kind
		row = s.rowOf(b.Name, row)
		if kind == "topup" && row["weight"] != "" && s.column(Row{}) == "counter" && s.lastReading() != nil {
			s.weighedBetween(row)
			return
		}
		s.put(row)
	})
}

// moved says in which column a top-up or a loss stands. Where the section runs by the counter a top-up is a reading of
// it, and 0 is the reading before once more.
func (s *Session) moved(kind, text string) (column, value string) {
	column = s.columnOf(text, Row{})
	last := s.lastReading()
	if column == "counter" && (kind == "lost" || last == nil) {
		return "bags", text
	}
	if column == "counter" && strings.Trim(text, "0.") == "" {
		return "counter", last.Material.Raw
	}
	return column, text
}

// weighedBetween logs a weighed top-up in a section that runs by the counter: without a reading after it the next bay's
// count would hold it once more, so the reading is asked for and starts the counter anew.
func (s *Session) weighedBetween(row Row) {
	last := s.lastReading().Material.Raw
	s.question("  where does the counter stand now? [Enter: still at "+last+"] ", func(line string) {
		if line == "" {
			line = last
		}
		if _, bad := plainCell("counter", line, s.job.Settings.Units); bad != nil {
			s.sayf("  %s; %s", bad.What, bad.Hint)
			s.weighedBetween(row)
			return
		}
		start := Row{"entry": "count", "counter": line}
		if s.opt.By != "" {
			start["by"] = s.opt.By
		}
		s.put(row, start)
	})
}

// observe logs what was seen of a filled bay.
func (s *Session) observe(tail string) {
	s.onBay(tail, func(b *model.Bay, t typed) { s.seen(b, t.said) })
}

func (s *Session) seen(b *model.Bay, said Row) {
	if len(said) == 0 {
		s.where(b)
		return
	}
	said["entry"] = "seen"
	s.put(s.rowOf(b.Name, said))
}

// where says how a bay stands when only its name was typed.
func (s *Session) where(b *model.Bay) {
	if x := of(s.f, b); x != nil && b.Fill != nil {
		s.verdict(x)
		return
	}
	s.sized(b)
}

// closeBay logs that a bay was closed.
func (s *Session) closeBay(tail string) {
	s.onBay(tail, func(b *model.Bay, t typed) {
		row := Row{"entry": "closed"}
		for _, k := range []string{"by", "note", "photo"} {
			if t.said[k] != "" {
				row[k] = t.said[k]
			}
		}
		s.put(s.rowOf(b.Name, row))
	})
}

// amend logs a whole new fill; sizes that are not typed are those the bay had.
func (s *Session) amend(tail string) {
	s.onBay(tail, func(b *model.Bay, t typed) {
		s.withFigures(draft{name: b.Name, said: t.said, kind: "amend"}, t, func(d draft) {
			if d.mass == "" && !d.amountSaid() {
				restateMaterial(b, d.said)
			}
			s.submit(d)
		})
	})
}

// strike withdraws a bay.
func (s *Session) strike(tail string) {
	s.onBay(tail, func(b *model.Bay, t typed) {
		row := Row{"entry": "strike"}
		if t.said["note"] != "" {
			row["note"] = t.said["note"]
		}
		s.put(s.rowOf(b.Name, row))
	})
}

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
	section := s.section
	s.section = ""
	row = s.rowOf("", row)
	s.section = section
	s.put(row)
}

// listSections names the sections.
func (s *Session) listSections() {
	for _, sec := range s.job.Sections {
		s.sectionLine(sec)
	}
	if len(s.job.Sections) == 0 {
		s.sayf("no section yet; section NAME starts one")
	}
}

func (s *Session) sectionLine(sec *model.Section) {
	filled, all := 0, 0
	for _, b := range baysOf(s.job, sec.Name) {
		if b.Struck {
			continue
		}
		all++
		if b.Fill != nil {
			filled++
		}
	}
	text := fmt.Sprintf("%s: %d filled", sec.Name, filled)
	if n := max(sec.Expected, all); n > 0 {
		text = fmt.Sprintf("%s: %d of %d filled", sec.Name, filled, n)
	}
	s.sayf("%s", text)
}
