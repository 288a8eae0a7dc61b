package prompt

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"bayproof/model"
	"bayproof/model/cell"
	"bayproof/report/say"
	"bayproof/verify"
	"bayproof/verify/plan"
)

// accept makes a job with its findings the present one; quantities are said in its units from then
// on.
func (s *Session) accept(job *model.Job, f *verify.Findings) {
	s.job, s.f = job, f
	s.say = say.New(f)
}

// reply answers rows that are on disk, a bay in three lines at most: the verdict and what to do;
// what was understood of it, and how far the section is; then earlier bays that stand otherwise
// now. A caution stands under it the first time.
func (s *Session) reply(rows []Row, old *verify.Findings) {
	row := rows[len(rows)-1]
	for i := len(rows) - 1; i >= 0 && row["bay"] == ""; i-- {
		row = rows[i]
	}
	b := bayOf(s.job, row["section"], row["bay"])
	switch {
	case b == nil && row["entry"] == "set":
		s.sayf("Setting noted. Judged afresh from here. Blow a test box.")
		if !s.opt.Bare {
			s.sayf("  Log it, as in: box 12.4 lb 3.5 ft3")
		}
	case b == nil && row["entry"] == "empties":
		noted := s.say.F("%s empty bags noted.", row["bags"])
		if row["machine"] != "" {
			noted = s.say.F("%s empty bags of %s noted.", row["bags"], row["machine"])
		}
		s.sayf("%s %s", noted, s.say.Counts(s.f))
		s.recountLine(row["section"])
	case b == nil && row["entry"] == "elsewhere":
		what := row["weight"]
		if row["bags"] != "" {
			what = s.bags(row["bags"])
		}
		s.sayf("%s went elsewhere, noted.", what)
	case b == nil && row["entry"] == "leave":
		s.sayf("%s left empty: %s.", row["bay"], row["note"])
	case b == nil && row["entry"] == "strike":
	case b == nil:
		s.sayf("The counter starts at %s.", row["counter"])
	case b.Struck:
		s.sayf("%s withdrawn.", b.Name)
	case b.Owes != model.OwesNothing:
		if b.Owes == model.OwesCount {
			s.sized(b)
		}
		s.sayf("%s: %s", b.Name, s.say.Owed(b.Owes))
	case b.Fill == nil:
		s.sized(b)
	case row["entry"] == "closed":
		s.closed(of(s.f, b))
	default:
		s.verdict(of(s.f, b), row["entry"] != "seen" && row["entry"] != "decided")
	}
	if b != nil && slices.ContainsFunc(rows, func(r Row) bool { return r["entry"] == "amend" }) {
		s.replaced(bayOf(old.Job, row["section"], row["bay"]), b)
	}
	s.changes(old, b)
	s.reveal(b)
}

// replaced says what an amend took out of force besides the fill, so that nobody thinks it still
// counts.
func (s *Session) replaced(before, now *model.Bay) {
	if before == nil || before.Struck || now.Struck {
		return
	}
	if gone := len(besides(before)) - len(besides(now)); gone > 0 {
		s.sayf("  The amend stands for the whole bay. Of its earlier rows %d no longer hold: type again what still does.", gone)
	}
}

// besides are the rows of a bay that are in force besides its sizes and its fill.
func besides(b *model.Bay) []*model.Entry {
	var rows []*model.Entry
	for _, e := range b.Rows {
		if _, dead := b.Dead[e]; dead || e == b.Fill {
			continue
		}
		switch e.Kind {
		case model.EntryPiece, model.EntryLess, model.EntryTopup, model.EntryLost, model.EntrySeen:
			rows = append(rows, e)
		case model.EntrySize:
			if e.Observes() {
				rows = append(rows, e)
			}
		}
	}
	return rows
}

// closed says how a bay stood when it was closed. Closing one that is not CLOSE is the crew's
// affair: it is logged and said.
func (s *Session) closed(x *verify.Bay) {
	if x.Verdict == verify.Close {
		s.sayf("%s closed: %s %s", x.Bay.Name, say.Mark(x.Verdict), s.say.Verdict(x.Verdict))
		return
	}
	if x.IsDecided() {
		s.sayf("%s closed: %s", x.Bay.Name, s.say.DecidedAs(x))
		return
	}
	s.sayf("%s closed before it was cleared: %s %s", x.Bay.Name, say.Mark(x.Verdict), s.say.Verdict(x.Verdict))
	if text := s.order(x); text != "" {
		s.sayf("  now: %s", text)
	}
}

// order is the one thing to do about a bay in a line, with the word that logs it once it is done;
// that of another section is logged there.
func (s *Session) order(x *verify.Bay) string {
	return s.withLine(x, s.say.BriefNow(x))
}

// withLine is the text of a bay's order with the word that logs it behind.
func (s *Session) withLine(x *verify.Bay, text string) string {
	if text == "" || s.opt.Bare || x.Bay.Section.Name != s.section {
		return text
	}
	how := s.logged(x, false)
	switch {
	case how == "":
		return text
	case !strings.HasSuffix(text, "?") && !strings.HasSuffix(text, "."):
		text += "."
	}
	return text + " " + how
}

// logged says how a bay's order is logged once it is done, from another section where so told; empty
// where no line of the prompt does.
func (s *Session) logged(x *verify.Bay, abroad bool) string {
	switch {
	case s.say.Line(x) == "" || x.IsDecided():
		return ""
	case abroad && x.Bay.Section.Name != "":
		return s.say.F("Log it: section %s, then do %s", x.Bay.Section.Name, x.Bay.Name)
	}
	return s.say.F("Log it: do %s", x.Bay.Name)
}

// recountLine says how empties that contradict the counts are logged once they were counted again,
// of a section or of the job: typed as the first time they would be added to those.
func (s *Session) recountLine(section string) {
	o := s.f.Totals.Now
	for i := range s.f.Sections {
		if x := &s.f.Sections[i]; section != "" && strings.EqualFold(x.Section.Name, section) {
			o = x.Now
		}
	}
	if line := s.say.OrderLine(&o); line != "" && !s.opt.Bare {
		s.sayf("  Counted again? Log it: %s and how many", strings.TrimSuffix(line, " _"))
	}
}

// sized says what a measured bay will take: mass = aim · volume, in bags where bags are counted.
func (s *Session) sized(b *model.Bay) {
	v := b.Volume()
	if !(v > 0) {
		s.sayf("%s noted.", b.Name)
		return
	}
	s.sayf("%s measured: %s. It takes %s.", b.Name, s.say.Bay(b), s.amount(b.Section.Settings.Aim*v, &b.Section.Settings))
}

// verdict says how a filled bay stands and the one thing to do about it, and where figures of it
// were typed how they were understood. What the verdict rests on is left to why.
func (s *Session) verdict(x *verify.Bay, figures bool) {
	if text := s.order(x); text != "" {
		s.sayf("%s %s  %s: %s", say.Mark(x.Verdict), s.say.Verdict(x.Verdict), x.Bay.Name, text)
	} else {
		s.sayf("%s %s  %s", say.Mark(x.Verdict), s.say.Verdict(x.Verdict), x.Bay.Name)
	}
	if figures {
		s.sayf("  %s; %s; %s", s.understood(x.Bay), s.went(x, &x.Bay.Section.Settings), s.say.F("%s bays", s.sharesOf(x.Bay.Section)))
	}
	if caution := s.say.Cautioned(x); caution != "" && !s.cautioned[caution] {
		s.cautioned[caution] = true
		s.sayf("  %s", caution)
	}
}

// understood says a bay's sizes as they were understood, with its further pieces.
func (s *Session) understood(b *model.Bay) string {
	switch n := len(b.Pieces) - 1; {
	case n == 1:
		return s.say.F("%s and 1 piece", s.say.Bay(b))
	case n > 1:
		return s.say.F("%s and %d pieces", s.say.Bay(b), n)
	}
	return s.say.Bay(b)
}

// counts says the verdicts of the job.
func (s *Session) counts() string {
	t := s.f.Totals
	var parts []string
	for _, x := range []struct {
		n int
		v verify.Verdict
	}{{t.Close, verify.Close}, {t.Add, verify.Add}, {t.Probe, verify.Probe}, {t.Measure, verify.Measure}} {
		if x.n > 0 {
			parts = append(parts, fmt.Sprintf("%d\u00a0%s", x.n, s.say.Verdict(x.v)))
		}
	}
	if t.NotFilled > 0 {
		parts = append(parts, strings.ReplaceAll(s.say.F("%d not filled", t.NotFilled), " ", "\u00a0"))
	}
	if len(parts) == 0 {
		return s.say.S("no bay yet")
	}
	return strings.Join(parts, ", ")
}

// changes names earlier bays whose verdict is another one now, on one line: a later count may speak
// for or against them. What to do about them stands in the list that show gives.
func (s *Session) changes(old *verify.Findings, but *model.Bay) {
	type name struct{ section, bay string }
	was := map[name]verify.Verdict{}
	for i := range old.Bays {
		if x := &old.Bays[i]; x.Bay.Fill != nil {
			was[name{x.Bay.Section.Name, x.Bay.Name}] = x.Verdict
		}
	}
	var now []string
	var only *verify.Bay
	for i := range s.f.Bays {
		x := &s.f.Bays[i]
		before, known := was[name{x.Bay.Section.Name, x.Bay.Name}]
		if !known || x.Bay == but || x.Bay.Fill == nil || before == x.Verdict {
			continue
		}
		only = x
		if text := []any{s.called(x.Bay), say.Mark(x.Verdict), s.say.Verdict(x.Verdict)}; len(x.Bay.Closed) > 0 {
			now = append(now, s.say.F("%s is now %s %s, though closed", text...))
		} else {
			now = append(now, s.say.F("%s is now %s %s", text...))
		}
	}
	switch {
	case len(now) == 1 && s.order(only) != "":
		s.sayf("  ! %s: %s", now[0], s.order(only))
	case len(now) > 0:
		s.sayf("  ! %s", strings.Join(now, "; "))
	}
}

// reveal names a bay that is to be left open, once its count is on disk and not before: a crew that
// knows which bay is looked at fills it better. Its place is its rank in the order of filling of
// its section.
func (s *Session) reveal(b *model.Bay) {
	if b == nil || b.Fill == nil {
		return
	}
	place := 0
	for _, other := range baysOf(s.job, b.Section.Name) {
		if other.Order > 0 && other.Order <= b.Order {
			place++
		}
	}
	for _, h := range s.opt.Hold {
		if strings.EqualFold(h.Section.Name, b.Section.Name) && h.Place == place && s.told[h] == "" {
			s.told[h] = b.Name
			s.sayf("  LEAVE %s OPEN. An inspector looks at it.", b.Name)
		}
	}
}

// amount says a mass, kg, in pounds, and about as many bags to the part of a bag that the crew can
// tell; as pounds alone where a bag's weight is not known.
func (s *Session) amount(mass float64, set *model.Settings) string {
	if bags, ok := told(mass, set); ok {
		return s.say.F("%s (about %s)", s.say.Whole(mass), s.bagsOf(bags))
	}
	return s.say.Whole(mass)
}

// told are the bags of a mass, kg, to the part of a bag that the crew can tell; false where that is
// none, or not known.
func told(mass float64, set *model.Settings) (bags float64, ok bool) {
	bags = math.Round(mass/plan.BagWeight(set)/set.BagStep) * set.BagStep
	return bags, bags > 0
}

// went says what went in against the aim, in bags where both can be said in bags.
func (s *Session) went(x *verify.Bay, set *model.Settings) string {
	if bags, ok := told(set.Aim*x.Volume, set); ok && counted(x.Bags) {
		return s.say.F("%s, aim %s", s.in(x), say.Bags(bags))
	}
	return s.say.F("%s, aim %s", s.in(x), s.say.Whole(set.Aim*x.Volume))
}

// in says what is in a bay: bags where somebody could have counted so many, else whole pounds, as
// of its part of a shared count.
func (s *Session) in(x *verify.Bay) string {
	if counted(x.Bags) {
		return s.bagsOf(x.Bags)
	}
	return s.say.Whole(x.Mass)
}

// counted tells whether a number of bags is one that a hopper shows: to an eighth.
func counted(bags float64) bool { return math.Abs(bags*8-math.Round(bags*8)) < 1e-6 }

// bagsOf says a count of bags: 1 bag, 1 3/4 bags.
func (s *Session) bagsOf(n float64) string { return s.bags(say.Bags(n)) }

// bags is a count with its noun.
func (s *Session) bags(n string) string {
	if slices.Contains([]string{"1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8", "1"}, n) {
		return s.say.F("%s bag", n)
	}
	return s.say.F("%s bags", n)
}

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
