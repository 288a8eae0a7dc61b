package prompt

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"
	"unicode/utf8"

	"bayproof/model"
	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
)

// greet says where the session starts.
func (s *Session) greet() {
	switch s.opt.Sheet {
	case Roof:
		s.sayf("%s. Roof sheet: sizes, reach, rod. ? for help, finish to end.", s.job.Name)
	case Truck:
		s.sayf("%s. Truck sheet: the counter at each stop. ? for help, finish to end.", s.job.Name)
	default:
		s.sayf("%s. Sizes and bags, bay by bay. ? for help, finish to end.", s.job.Name)
	}
	if sec := s.find(s.section); sec != nil && len(s.job.Log) > 0 {
		s.sayf("  %s. Whole job: %s", s.filledOf(sec), s.counts())
	}
	if set := &s.job.Settings; math.IsNaN(set.BagWeight) && len(set.BagChecks) == 0 {
		s.sayf("No bag weight yet: only pounds can be logged. For bags put bag_weight,25 lb into job.csv first.")
	}
	if len(s.job.Sections) == 0 {
		s.firstSection()
	}
}

// list shows the bays of the section, or of all.
func (s *Session) list(tail string) {
	s.reread()
	all, none := strings.EqualFold(tail, "all"), true
	listed := func(sec *model.Section) bool { return all || strings.EqualFold(sec.Name, s.section) }
	for i := range s.f.Bays {
		if x := &s.f.Bays[i]; listed(x.Bay.Section) {
			none = false
			s.sayf("%s", s.bayLine(x, all))
		}
	}
	for _, b := range s.job.Left {
		if listed(b.Section) {
			none = false
			s.sayf("%-6s left empty: %s", b.Name, b.Left.Note)
		}
	}
	if none {
		s.sayf("No bay yet.")
	}
}

// bayLine is a bay on one line.
func (s *Session) bayLine(x *verify.Bay, withSection bool) string {
	name := x.Bay.Name
	if withSection && x.Bay.Section.Name != "" {
		name = x.Bay.Section.Name + " " + name
	}
	switch {
	case x.Bay.Struck:
		return s.say.F("%-6s withdrawn", name)
	case x.Bay.Owes != model.OwesNothing:
		return fmt.Sprintf("%-6s %s", name, s.say.Owed(x.Bay.Owes))
	case x.Bay.Fill == nil:
		return s.say.F("%-6s measured, not filled: %s", name, s.say.Bay(x.Bay))
	}
	text := fmt.Sprintf("%-6s %s %-*s %s, %s", name, say.Mark(x.Verdict), s.widest(), s.say.Verdict(x.Verdict), s.say.Bay(x.Bay), s.in(x))
	if len(x.Bay.Closed) > 0 {
		text += ", " + s.say.ClosedAs(x)
	}
	return text
}

// widest is the width of the longest word of a verdict.
func (s *Session) widest() (n int) {
	for _, v := range []verify.Verdict{verify.Measure, verify.Close, verify.Add, verify.Probe} {
		n = max(n, utf8.RuneCountInString(s.say.Verdict(v)))
	}
	return n
}

// show tells how a section stands, with what is to be done in it.
func (s *Session) show(tail string) {
	s.reread()
	sec := s.find(s.section)
	if tail != "" {
		sec = s.find(tail)
	}
	switch {
	case sec == nil && tail == "":
		s.sayf("No bay yet.")
		return
	case sec == nil:
		s.sayf("No section is called %s.", tail)
		return
	}
	s.accept(s.job, s.opt.Judge(s.job, sec.Name))
	s.sayf("%s", s.filledOf(sec))
	for i := range s.f.Sections {
		if x := &s.f.Sections[i]; x.Section == sec && x.Bays > 0 {
			s.sayf("  %s", s.say.Section(x))
			if aim := x.BagsRequired * sec.Settings.Aim / sec.Settings.Target; x.Bags > 0 && aim > 0 { // weighed bays at their share of a bag
				quarters := func(bags float64) string { return s.bagsOf(math.Round(bags*4) / 4) }
				s.sayf("  %s so far. Plan for these bays: %s", quarters(x.Bags), quarters(aim))
			}
			for _, r := range x.Reasons {
				s.sayf("  %s", s.say.Reason(r))
			}
		}
	}
	s.todo(sec)
}

// todo lists the bays of a section (of all for nil) that are filled and not CLOSE, with what to do,
// in the log's order; under a heading where there are any, which says how the first is logged.
func (s *Session) todo(sec *model.Section) {
	// Bays of the present section go by their names alone, and are logged from here; of others, and of
	// all sections once the sitting ends, the section is said too.
	name, abroad := s.called, sec != nil && sec.Name != s.section
	if sec == nil {
		name, abroad = s.title, len(s.job.Sections) > 1
	}
	var lines []string
	how := ""
	for i := range s.f.Bays {
		x := &s.f.Bays[i]
		if x.Bay.Fill == nil || x.Bay.Struck || x.Verdict == verify.Close || x.IsDecided() || sec != nil && x.Bay.Section != sec {
			continue
		}
		if sec == nil && x.Reopened != "" { // listed above
			continue
		}
		how = cmp.Or(how, s.logged(x, abroad))
		lines = append(lines, fmt.Sprintf("  %s %s  %s: %s", say.Mark(x.Verdict), s.say.Verdict(x.Verdict), name(x.Bay), s.say.BriefNow(x)))
	}
	switch {
	case lines == nil:
		return
	case how == "":
		s.sayf("Left to do:")
	default:
		s.sayf("Left to do. %s", how)
	}
	for _, line := range lines {
		s.sayf("%s", line)
	}
}

// called is a bay with its section where that is not the present one.
func (s *Session) called(b *model.Bay) string {
	if b.Section.Name == s.section {
		return b.Name
	}
	return s.title(b)
}

// title is a bay with its section where the job has several.
func (s *Session) title(b *model.Bay) string {
	if len(s.job.Sections) > 1 && b.Section.Name != "" {
		return b.Section.Name + " " + b.Name
	}
	return b.Name
}

// finish ends the session with a summary: what was closed against the evidence first, then what is
// to be done, what is missing, how the sections stand, whether the empties are still to be counted,
// and the bays left open for an inspector.
func (s *Session) finish() {
	if !s.asked {
		s.setDown()
	}
	if s.ask != nil {
		return
	}
	if s.opt.Sheet != Roof && !s.asked && s.uncounted() {
		s.askEmpties()
		return
	}
	s.done = true
	for _, row := range s.lost {
		s.sayf("NOT in the log: %s", row.inWords())
	}
	s.reread()
	s.accept(s.job, s.opt.Judge(s.job, ""))
	s.sayf("%s: %s", s.job.Name, s.counts())
	s.closedAgainst()
	s.todo(nil)
	s.missing()
	for i := range s.f.Sections {
		if x := &s.f.Sections[i]; x.Bays > 0 {
			s.sayf("%s", s.say.Section(x))
		}
	}
	if s.uncounted() {
		s.sayf("%s Log them next time, as in: empties 6", s.say.Counts(s.f))
	}
	for _, h := range s.opt.Hold {
		if name := s.told[h]; name != "" {
			s.sayf("Left open for an inspector: %s", strings.TrimSpace(h.Section.Name+" "+name))
		}
	}
}

// uncounted tells whether bags were counted into bays since empties were counted last, and no total
// says otherwise how many went.
func (s *Session) uncounted() bool {
	set := &s.job.Settings
	bySection := slices.ContainsFunc(s.job.Sections, func(x *model.Section) bool { return !math.IsNaN(x.BagsUsed) })
	if s.say.Counts(s.f) == "" || bySection || !math.IsNaN(set.BagsLoaded-set.BagsLeft) { // empty where no bay was counted
		return false
	}
	for _, e := range slices.Backward(s.job.Log) {
		switch {
		case e.Withdrawn:
		case e.Kind == model.EntryEmpties:
			return false
		case e.Material.Kind == model.MaterialBags || e.Material.Kind == model.MaterialCounter:
			return true
		}
	}
	return false
}

// askEmpties asks for the empties before the sitting ends, once, of each machine; it ends all the
// same where they are not counted.
func (s *Session) askEmpties() {
	s.asked = true
	s.sayf("Run the hopper down into the last bay. Weigh the open bag. Bundle and count the empties.")
	var machines []string
	for _, b := range s.job.Bays {
		if b.Fill != nil && !slices.Contains(machines, b.Machine) {
			machines = append(machines, b.Machine)
		}
	}
	s.emptiesOf(machines)
}

// emptiesOf asks for the empties of machines, one after the other, and ends the sitting.
func (s *Session) emptiesOf(machines []string) {
	if len(machines) == 0 {
		s.finish()
		return
	}
	question := s.say.S("Empty bags since the last count [Enter: not counted yet]: ")
	if machines[0] != "" {
		question = s.say.F("Empty bags of %s since the last count [Enter: not counted yet]: ", machines[0])
	}
	s.question(question, func(line string) {
		switch said := s.answer(line); {
		case said == model.Yes:
			s.sayf("%s: a figure is missing", "empties")
			s.emptiesOf(machines)
			return
		case said == model.No:
			line = ""
		case line != "" && !numeric(line):
			s.rest(line)
			return
		}
		if line != "" {
			n := len(s.own)
			s.machine = machines[0]
			if s.empties(line); s.ask != nil {
				return
			}
			if len(s.own) == n { // refused
				s.emptiesOf(machines)
				return
			}
		}
		s.emptiesOf(machines[1:])
	})
}

// closedAgainst lists bays that were closed though not CLOSE, or on a CLOSE that later evidence
// speaks against.
func (s *Session) closedAgainst() {
	heading := sync.OnceFunc(func() { s.sayf("Closed, look again:") })
	for i := range s.f.Bays {
		x := &s.f.Bays[i]
		if len(x.Closings) == 0 || x.Bay.Struck || x.IsDecided() {
			continue
		}
		last := x.Closings[len(x.Closings)-1].Verdict
		if last == verify.Close && x.Verdict == verify.Close {
			continue
		}
		heading()
		switch mark, bay := say.Mark(x.Verdict), s.title(x.Bay); {
		case last == verify.Close && x.Reopened != "":
			s.sayf("  %s %s: closed on %s, now %s: %s", mark, bay, s.say.Verdict(last), s.say.Verdict(x.Verdict), s.say.Since(x))
		case last == x.Verdict:
			s.sayf("  %s %s: closed as %s", mark, bay, s.say.Verdict(last))
		default:
			s.sayf("  %s %s: closed on %s, now %s", mark, bay, s.say.Verdict(last), s.say.Verdict(x.Verdict))
		}
	}
}

// missing names what is measured and not filled, and what the table counts and the log lacks.
func (s *Session) missing() {
	var names []string
	for _, b := range s.job.Bays {
		if b.Fill == nil && !b.Struck {
			names = append(names, s.title(b))
		}
	}
	if len(names) > 0 {
		s.sayf("Not filled: %s", s.say.List(names))
	}
	for i := range s.f.Sections {
		if x := &s.f.Sections[i]; x.Missing > 0 {
			s.sayf("%s: %d of the %d bays are not in the log.", x.Section.Name, x.Missing, x.Expected)
		}
	}
}

// helpLine is one thing that can be typed, with what it means in the crew's language; a heading has
// no meaning.
type helpLine struct{ typed, means string }

// helpLines are all of them. What is typed is the same in every language.
func (s *Session) helpLines() []helpLine {
	S := s.say.S
	return []helpLine{
		{S("A bay:"), ""},
		{`b8 14.5 2 1/4;2 1/2 11'6 1 3/4`, S("name, width, depth, length, bags")},
		{"1 3/4", S("the next bay, sizes as the one above")},
		{"b8 14.5, 5.5, 12, 3/4", S("commas keep 12 and 3/4 apart")},
		{"Enter", S("it asks, one size at a time")},
		{"width 8 1/4 1/2", S("this one is narrower, the rest as above (w d l)")},
		{"38 lb", S("weighed")},
		{"1 + 14.5 lb", S("one bag, and a part bag by weight")},
		{"shared", S("one count with the next bay")},
		{S("Behind it, in any order:"), ""},
		{"stall, no stall", S("the flow stopped by itself, or did not")},
		{"reach 11", S("how far the tube went in, feet")},
		{"hole 2", S("where the tube went in, feet from the low end")},
		{"rod firm along", S("or soft, empty; across; hand firm")},
		{"smoke still 50 Pa", S("or moves; ir even 20 F, or cold")},
		{"at 9; 11", S("where you looked, feet from the low end")},
		{"wedge", S("or taper, round; width2 depth2 length2 bulge")},
		{"photo b8.jpg, by AB", S("a photo's name, your initials")},
		{"note wet", S("the rest of the line is the note")},
		{S("Later:"), ""},
		{"top b7 8 lb stall", S("topped up; top b7 0 stall: it took none")},
		{"probe b7 rod firm at 9", S("looked at, once it is filled")},
		{"lost b7 5 lb", S("came out again, or never got in")},
		{"piece b7 14.5 5.5 3", S("more room; less b7 and sizes: less room")},
		{"size b9 14.5 5.5 12", S("measured, not filled yet")},
		{"close b7", S("closed up")},
		{"do b7", S("its order, and the line that reports it")},
		{"why b7", S("what its verdict rests on")},
		{"decide b7 AB: reason", S("a person closes it as it is")},
		{"leave b7 flue", S("left empty on purpose")},
		{"machine B", S("of two machines, the one you type for")},
		{"set gate to 4", S("machine setting or lot changed")},
		{"count 0", S("where the counter starts")},
		{"empties 6", S("empty bags since the last count")},
		{"elsewhere 2 attic", S("bags that went into no bay")},
		{"box 12.4 lb 3.5 ft3", S("a test box, blown to the stall and weighed")},
		{"core b7 27 g diameter 2.5 depth 5.5 at 3", S("a core")},
		{S("A slip:"), ""},
		{"undo", S("takes back the last entry")},
		{"fix width 22.5", S("a slip in the last bay; fix b7 bags 2")},
		{"recount b7 1 3/4", S("what went in, counted again")},
		{"amend b7 14.5 5.5 12 2", S("the whole fill anew")},
		{"strike b7", S("the bay is out; strike b7 closed: only that row")},
		{S("Look:"), ""},
		{"list, list all, show", S("the bays; what is left to do")},
		{"section hip", S("go to another section")},
		{"help words", S("what the words mean")},
		{"finish", S("the end of the sitting")},
	}
}

// wordLines are the words that the answers use.
func (s *Session) wordLines() []helpLine {
	S := s.say.S
	verdict := func(v verify.Verdict, means string) helpLine {
		return helpLine{say.Mark(v) + " " + s.say.Verdict(v), means}
	}
	return []helpLine{
		verdict(verify.Close, S("The pounds are in, and nothing points to a void.")),
		verdict(verify.Add, S("Short. The numbers prove it.")),
		verdict(verify.Probe, S("Pounds look right, but there may be a hole.")),
		verdict(verify.Measure, S("Can't tell yet.")),
		{"stall", S("The flow stopped by itself. A jam is no stall.")},
		{"hole", S("Where the tube went in, from the low end.")},
		{S("the low end"), S("The eave, or a wall's bottom plate.")},
		{S("aim"), S("What to pack to: the target and some more.")},
		{S("ditto"), S("Taken from the bay above, not measured here.")},
		{"±", S("19 times in 20 the truth lies within it.")},
	}
}

// help lists what can be typed, or what the words mean.
func (s *Session) help(tail string) {
	lines := s.helpLines()
	if strings.EqualFold(tail, "words") {
		lines = s.wordLines()
	}
	for _, l := range lines {
		if l.means == "" {
			s.sayf("%s", l.typed)
			continue
		}
		s.sayf("%s", "  "+screen.Pad(l.typed+" ", 23)+" "+l.means)
	}
}
