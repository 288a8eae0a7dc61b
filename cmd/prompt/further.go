package prompt

import (
	"errors"
	"maps"
	"math"
	"slices"
	"strings"
	"unicode"

	"bayproof/model"
	"bayproof/model/cell"
	"bayproof/report/say"
	"bayproof/verify"
)

// measure logs the sizes of a bay that is not filled yet: those typed behind its name, else they
// are asked for.
func (s *Session) measure(tail string) {
	d := draft{name: s.nextName(), kind: "size", said: Row{}}
	if tail == "" {
		s.step(d)
		return
	}
	name, tokens := s.splitName(strings.Fields(tail))
	s.parsed(tokens, func(t typed) {
		d.name, d.said = name, t.said
		if b := s.bay(name); b != nil && b.Fill != nil && len(t.loose) == 0 && len(t.said) > 0 { // size b4 depth 5.4; 5.5
			t.said["entry"] = "size"
			s.put(s.rowOf(name, t.said))
			return
		}
		if len(t.loose) == 0 && !d.sized() {
			s.step(d)
			return
		}
		s.withFigures(d, t, func(d draft) { s.submit(d, func() {}) })
	})
}

// piece logs volume added to a bay or taken away: a dormer's cheek, a chimney. Only lines with as
// many figures as the shape has sizes can be meant, and the first such cut is taken.
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
		s.usagef("Its sizes? As in: %s %s 14.5 5.5 3", kind, b.Name)
	})
}

// named takes a bay whose name is also a word of the prompt.
func (s *Session) named(tail string) {
	tokens := strings.Fields(tail)
	if len(tokens) == 0 {
		s.sayf("bay NAME and its figures: for a bay that is called like a word here.")
		return
	}
	s.parsed(tokens[1:], func(t typed) { s.entry(tokens[0], t) })
}

// count logs where the counter starts.
func (s *Session) count(tail string) {
	if tail == "" {
		s.usagef("%s", strings.TrimSpace(s.counterHint()+" "+s.say.S("Count what? As in: count 0")))
		return
	}
	s.put(s.rowIn("", "", Row{"entry": "count", "counter": tail}))
}

// sampled reads a core or a test box: figures tell by their unit what they are, or by the name of
// their column.
func (s *Session) sampled(kind string, tokens []string) (Row, error) {
	row := Row{"kind": kind}
	for len(tokens) > 0 {
		name, from := strings.ToLower(tokens[0]), 1
		if numeric(tokens[0]) {
			name, from = "", 0
		}
		n := from
		for n < len(tokens) && numeric(tokens[n]) && (n == from || !numeric(tokens[n-1]) || !isUnit(tokens[n-1])) {
			n++
		}
		text := strings.Join(tokens[from:n], " ")
		for _, column := range []string{"weight", "volume"} {
			form, _ := cell.Column(column, s.job.Settings.Units)
			if _, bad := form.Number(text); name == "" && bad == nil && strings.IndexFunc(text, unicode.IsLetter) >= 0 {
				name = column
			}
		}
		if text == "" || !slices.ContainsFunc(model.CoreColumns(), func(c model.Column[model.Core]) bool { return c.Figure != nil && c.Name == name }) {
			return nil, errors.New(s.say.F("What is %q? As in: %s", strings.Join(tokens[:max(n, 1)], " "), asIn[kind]))
		}
		row[name], tokens = text, tokens[n:]
	}
	if row["weight"] == "" {
		return nil, errors.New(s.say.F("How much did it weigh? As in: %s", asIn[kind]))
	}
	if kind == "core" && row["volume"] == "" && (row["diameter"] == "" || row["depth"] == "") {
		return nil, errors.New(s.say.F("How big is it? As in: %s", asIn[kind]))
	}
	return row, nil
}

// asIn are lines that log a core and a test box.
var asIn = map[string]string{"core": "core b7 27 g diameter 2.5 depth 5.5 at 3", testBox: "box 12.4 lb 3.5 ft3"}

// testBox is what cores.csv calls one, and the note of what went into it.
const testBox = "test box"

// box logs a test box that was blown to the stall and weighed: a row of cores.csv, and its material
// as gone elsewhere. Its volume is said once.
func (s *Session) box(tail string) {
	row, err := s.sampled(testBox, strings.Fields(tail))
	if err != nil {
		s.refusef("%s", err)
		return
	}
	for _, c := range s.job.Cores {
		if c.Kind == testBox && row["volume"]+row["diameter"] == "" {
			row["volume"] = cell.FormatNumber(math.Round(c.Volume/model.Foot/model.Foot/model.Foot*1e6)/1e6) + " ft3"
		}
	}
	if row["volume"]+row["diameter"] == "" {
		s.refusef("How big is the box? As in: box %s 3.5 ft3. That is asked once.", row["weight"])
		return
	}
	if s.sample(row) {
		s.put(s.rowIn("", "", Row{"entry": "elsewhere", "weight": row["weight"], "note": testBox}))
	}
}

// core logs a core sample of a bay.
func (s *Session) core(tail string) {
	b, tokens := s.target(tail)
	if b == nil && s.abroad(tokens) {
		return
	}
	if b == nil {
		s.usagef("Core of which bay? As in: %s", asIn["core"])
		return
	}
	row, err := s.sampled("core", tokens)
	if err != nil {
		s.refusef("%s", err)
		return
	}
	row["section"], row["bay"] = b.Section.Name, b.Name
	if !s.sample(row) {
		return
	}
	if x := of(s.f, s.bay(b.Name)); x != nil && x.Bay.Fill != nil {
		s.verdict(x, true)
	}
}

// sample writes a row of cores.csv and says what it comes to.
func (s *Session) sample(row Row) bool {
	if s.opt.By != "" {
		row["by"] = s.opt.By
	}
	if s.machine != "" {
		row["machine"] = s.machine
	}
	if err := s.book.AppendCore(row); err != nil {
		s.refusef("%s", err)
		return false
	}
	s.own = append(s.own, deed{core: row})
	job, faults := s.book.Job()
	if len(faults) > 0 {
		s.refuse(faults)
		return false
	}
	s.take(job)
	if k := s.job.Cores; len(k) > 0 {
		last := k[len(k)-1]
		s.sayf("%s: %s %s", s.kind(row), s.say.Target(last.Mass/last.Volume), s.say.Of(verify.Density).Name)
	}
	return true
}

// kind is what a row of the file of cores and test boxes is about.
func (s *Session) kind(row Row) string {
	if row["kind"] == testBox {
		return s.say.S("test box")
	}
	return s.say.S("core")
}

// empties logs a count of empty bags: of the job, or of the section that is named; recount stands
// for all that were counted before.
func (s *Session) empties(tail string) {
	tokens := strings.Fields(tail)
	row := Row{"entry": "empties"}
	if len(tokens) > 0 && strings.EqualFold(tokens[0], "recount") {
		row["note"], tokens = "recount", tokens[1:]
	}
	if len(tokens) == 0 {
		s.usagef("Empties? As in: empties 6, empties hip 6, empties recount 31")
		return
	}
	n := len(tokens) - 1
	for n > 0 && numeric(tokens[n-1]) {
		n--
	}
	row["bags"] = strings.Join(tokens[n:], " ")
	if name := strings.Join(tokens[:n], " "); name != "" {
		sec := s.find(name)
		if sec == nil {
			s.refusef("No section is called %s.", name)
			return
		}
		row["section"] = sec.Name
	}
	s.put(s.rowIn("", "", row))
}

// elsewhere logs what left the truck and went into no bay: how much, and where to.
func (s *Session) elsewhere(tail string) {
	tokens := strings.Fields(tail)
	usage := func() { s.usagef("How much went where? As in: elsewhere 2 attic, or elsewhere 12 lb torn") }
	n := slices.IndexFunc(tokens, func(token string) bool {
		return !numeric(token) && !slices.Contains([]string{"bag", "bags", "weight", "counter"}, strings.ToLower(token))
	})
	if n <= 0 {
		usage()
		return
	}
	note := strings.TrimPrefix(strings.Join(tokens[n:], " "), "note ")
	s.parsed(tokens[:n], func(t typed) {
		row, loose := t.said, t.ways[0]
		// Of two amounts nobody knows which one went. A counter may stand beside a weight.
		if len(loose) > 1 || len(loose) == 1 && row["bags"]+row["weight"] != "" {
			usage()
			return
		}
		if len(loose) > 0 {
			column := s.columnOf(loose[0])
			if column == "counter" { // which alone does not say how much
				column = "bags"
			}
			row[column] = loose[0]
		}
		row["entry"], row["note"] = "elsewhere", note
		s.put(s.rowIn("", "", row))
	})
}

// probe logs what was seen of a bay. A figure without a word is none: rod firm 9 may be at 9.
func (s *Session) probe(tail string) {
	s.onBay(tail, func(b *model.Bay, t typed) {
		if len(t.loose) > 0 {
			s.refusef("What is %q? help lists the words.", t.loose[0])
			return
		}
		s.seen(b, t.said)
	})
}

// seen logs what was seen of a filled bay. Its name alone asks how it stands.
func (s *Session) seen(b *model.Bay, said Row) {
	x := of(s.f, b)
	switch {
	case len(said) > 0:
		said["entry"] = "seen"
		if slices.ContainsFunc(model.LogColumns(), func(c model.Column[model.Entry]) bool { return c.Is == model.ColumnSize && said[c.Name] != "" }) {
			said["entry"] = "size" // bulge 3/4
		}
		s.put(s.rowOf(b.Name, said))
	case x != nil && b.Fill != nil:
		s.verdict(x, true)
	default:
		s.sized(b)
	}
}

// only logs an entry that carries no more than these columns: that a bay was closed, or is
// withdrawn.
func (s *Session) only(entry, tail string, columns ...string) {
	s.onBay(tail, func(b *model.Bay, t typed) {
		more := slices.Clone(t.loose)
		for _, column := range slices.Sorted(maps.Keys(t.said)) {
			if !slices.Contains(columns, column) {
				more = append(more, column)
			}
		}
		if len(more) > 0 {
			s.refusef("%s takes no %s. Type that apart.", entry, more[0])
			return
		}
		t.said["entry"] = entry
		s.put(s.rowOf(b.Name, t.said))
	})
}

// strike withdraws a bay, or where an entry's word stands behind its name the last such row of it
// alone.
func (s *Session) strike(tail string) {
	b, tokens := s.target(tail)
	if b != nil && len(tokens) == 1 {
		if kind, ok := model.ParseEntryKind(tokens[0]); ok {
			s.put(s.rowOf(b.Name, Row{"entry": "strike", "note": kind.String()}))
			return
		}
	}
	s.only("strike", tail, "by", "note")
}

// amend logs a whole new fill; sizes that are not typed are those the bay had, and so is what went
// in. The row stands for all that was said of the bay before.
func (s *Session) amend(tail string) {
	s.onBay(tail, func(b *model.Bay, t typed) {
		s.withFigures(draft{name: b.Name, said: t.said, kind: "amend"}, t, func(d draft) {
			if d.mass == "" && !d.amountSaid() {
				maps.Copy(d.said, amountOf(b))
			}
			s.submit(d, func() {})
		})
	})
}

// move logs a top-up or a loss: material that went into a filled bay later, or came out again or
// never got in.
func (s *Session) move(kind, tail string) {
	s.onBay(tail, func(b *model.Bay, t typed) {
		switch n := len(t.ways[0]); {
		case n > 1, n == 0 && t.amount == "":
			s.usagef("How much? As in: %[1]s %[2]s 8 lb, or %[1]s %[2]s 1/4 for bags", strings.TrimSuffix(kind, "up"), b.Name)
			return
		case t.amount == "":
			column, text := s.moved(kind, t.ways[0][0])
			t.said[column] = text
		case n == 1: // 4 lb counter 12 1/2: the weight is the mass, and the counter goes on from there
			t.said["weight"] = t.ways[0][0]
		}
		s.moving(kind, b, t.said)
	})
}

// moving logs a top-up or a loss whose figure stands in its column.
func (s *Session) moving(kind string, b *model.Bay, row Row) {
	row["entry"] = kind
	row = s.rowOf(b.Name, row)
	last, ok := s.lastReading()
	if kind == "topup" && row["weight"] != "" && row["counter"] == "" && s.column() == "counter" && ok {
		// Without a reading after it the next bay's count would hold it once more.
		row["counter"] = cell.FormatNumber(last)
		if s.put(row); s.bad != nil || s.ask != nil { // not written
			return
		}
		s.sayf("  The counter is taken to stand at %s still. If it moved: fix %s counter and what it shows.", row["counter"], b.Name)
		return
	}
	s.put(row)
}

// moved says in which column a top-up or a loss stands. Where the section runs by the counter a
// top-up is a reading of it, and 0 is the reading before once more.
func (s *Session) moved(kind, text string) (column, value string) {
	column = s.columnOf(text)
	last, ok := s.lastReading()
	if column == "counter" && (kind == "lost" || !ok) {
		return "bags", text
	}
	if column == "counter" && strings.Trim(text, "0.") == "" {
		return "counter", cell.FormatNumber(last)
	}
	return column, text
}

// figureFor asks for a figure of a column until it reads; Enter stands for fallback, which may be
// empty.
func (s *Session) figureFor(d draft, question, column, fallback string, then func(text string)) {
	s.question(question, func(line string) {
		if line == "" {
			line = fallback
		}
		if line != "" && s.instead(line) {
			return
		}
		line = pointed(line)
		if _, bad := plainCell(column, line, s.job.Settings.Units); line != "" && bad != nil {
			if s.wholeLine(d, line) {
				return
			}
			s.sayf("  %s; %s", s.say.Told(bad.What), s.say.Told(bad.Hint))
			s.figureFor(d, question, column, fallback, then)
			return
		}
		then(line)
	})
}

// why tells what a bay's verdict rests on, what was answered too, what it could hide, the whole
// order, and what would have served.
func (s *Session) why(tail string) {
	s.reread()
	s.onBay(tail, func(b *model.Bay, _ typed) { s.rests(b) })
}

// Why tells of a bay of the present section what why does.
func (s *Session) Why(bay string) string {
	if b := s.bay(bay); b != nil {
		s.rests(b)
	}
	return s.flush()
}

// rests says what a bay's verdict rests on.
func (s *Session) rests(b *model.Bay) {
	x := of(s.f, b)
	if x == nil || b.Fill == nil {
		s.sized(b)
		return
	}
	s.sayf("%s %s  %s %s", say.Mark(x.Verdict), s.say.Verdict(x.Verdict), x.Bay.Name, s.say.Evidence(x))
	for _, r := range x.Reasons {
		switch {
		case r.IsAnswered():
			s.sayf("  %s. Answered: %s", s.say.Reason(r), s.say.Answered(r))
		case !say.InEvidence(r.Code):
			s.sayf("  %s", s.say.Reason(r))
		}
	}
	if !math.IsNaN(x.CouldHide) {
		s.sayf("  could hide a %s gap", s.say.Length(x.CouldHide))
	}
	if text := s.withLine(x, s.say.Now(x)); text != "" {
		s.sayf("  now: %s", text)
	}
	if text := s.say.NextBay(x); text != "" {
		s.sayf("  next bay: %s", text)
	}
}

// decide logs that a person closes a bay as it stands: NAME: reason.
func (s *Session) decide(tail string) {
	head, reason, ok := strings.Cut(tail, ":")
	b, tokens := s.leading(head)
	name := strings.Join(tokens, " ")
	_, yes := model.ParseAnswer(answerIn(s.say.Language, name))
	if b == nil && s.abroad(tokens) {
		return
	}
	if reason = strings.TrimSpace(reason); !ok || b == nil || name == "" || reason == "" || yes {
		s.usagef("Decide what? As in: decide b4 AB: seen from the attic")
		return
	}
	s.put(s.rowOf(b.Name, Row{"entry": "decided", "note": reason, "by": name}))
}

// recount says anew what went into a bay; all else that was said of it stands.
func (s *Session) recount(tail string) {
	s.onBay(tail, func(b *model.Bay, t typed) {
		fill := filling(b)
		if fill == nil || len(t.ways[0]) != 1 && t.amount == "" {
			s.usagef("How much? As in: recount %s 1 3/4", b.Name)
			return
		}
		if t.amount == "" {
			t.said[s.columnOf(t.ways[0][0])] = t.ways[0][0]
		}
		s.recounted(b, fill, t.said)
	})
}

// recounted says a bay's rows again with another figure of what went in.
func (s *Session) recounted(b *model.Bay, fill *model.Entry, said Row) {
	rows := s.restate(b, fill)
	for _, column := range []string{"bags", "counter", "weight"} {
		delete(rows[0], column)
	}
	maps.Copy(rows[0], said)
	s.put(rows...)
}

// leave logs that a bay is not filled on purpose, and why.
func (s *Session) leave(tail string) {
	b, tokens := s.leading(tail)
	name, reason := "", strings.Join(tokens, " ")
	if b != nil {
		name = b.Name
	} else if s.abroad(tokens) {
		return
	} else if len(tokens) > 1 {
		name, reason = tokens[0], strings.Join(tokens[1:], " ")
	}
	if name == "" || reason == "" {
		s.usagef("Leave what? As in: leave b7 flue")
		return
	}
	s.put(s.rowOf(name, Row{"entry": "leave", "note": reason}))
}
