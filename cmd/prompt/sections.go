package prompt

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"bayproof/model"
	"bayproof/model/cell"
	"bayproof/verify"
	"bayproof/verify/plan"
)

// startSection is the section of the last row, where work went on, else the first that the table
// lists.
func (s *Session) startSection() string {
	for i := len(s.job.Log) - 1; i >= 0; i-- {
		if e := &s.job.Log[i]; e.Bay != "" {
			return e.Section
		}
	}
	if len(s.job.Sections) > 0 {
		return s.job.Sections[0].Name
	}
	return ""
}

// find returns the section of that name, in any case; nil where there is none.
func (s *Session) find(name string) *model.Section {
	for _, sec := range s.job.Sections {
		if strings.EqualFold(sec.Name, name) {
			return sec
		}
	}
	return nil
}

// bayOf returns a bay of a section by its name, in any case; nil where there is none.
func bayOf(job *model.Job, section, name string) *model.Bay {
	for _, b := range job.Bays {
		if strings.EqualFold(b.Section.Name, section) && strings.EqualFold(b.Name, name) {
			return b
		}
	}
	return nil
}

// bay returns a bay of the present section.
func (s *Session) bay(name string) *model.Bay { return bayOf(s.job, s.section, name) }

// measured tells whether a bay has sizes, and a volume by them.
func measured(b *model.Bay) bool {
	return b != nil && len(b.Pieces) > 0 && b.Volume() > 0 && !b.Struck
}

// baysOf returns the bays of a section in the log's order.
func baysOf(job *model.Job, section string) []*model.Bay {
	var bays []*model.Bay
	for _, b := range job.Bays {
		if strings.EqualFold(b.Section.Name, section) {
			bays = append(bays, b)
		}
	}
	return bays
}

// nextName is the bay that comes next: the first that one sheet named and the other did not, else
// the name after the last one.
func (s *Session) nextName() string {
	bays := baysOf(s.job, s.section)
	names, left := make([]string, 0, len(bays)), 0
	for _, b := range s.job.Left { // taken
		if strings.EqualFold(b.Section.Name, s.section) {
			names, left = append(names, b.Name), left+1
		}
	}
	for _, b := range bays {
		if waits := b.Fill == nil && !b.Struck && b.Owes != model.OwesShare; waits && (b.Owes == model.OwesSizes) == (s.opt.Sheet == Roof) {
			return b.Name
		}
		if b.Undone() && len(names)-left == len(bays)-1 {
			return b.Name
		}
		names = append(names, b.Name)
	}
	return plan.NextName(names)
}

// lastBay is the bay of the last row that names one in this section; nil before the first, and
// where that one is left empty.
func (s *Session) lastBay() *model.Bay {
	for i := len(s.job.Log) - 1; i >= 0; i-- {
		if e := &s.job.Log[i]; e.Bay != "" && strings.EqualFold(e.Section, s.section) {
			return s.bay(e.Bay)
		}
	}
	return nil
}

// before is a bay of this section that a line without a name may be about: the last one, else the
// last that is not left empty; nil before the first.
func (s *Session) before() *model.Bay {
	if last := s.lastBay(); last != nil {
		return last
	}
	if bays := baysOf(s.job, s.section); len(bays) > 0 {
		return bays[len(bays)-1]
	}
	return nil
}

// above is the bay whose sizes a ditto takes over, the last one before it with sizes; nil where
// there is none.
func (s *Session) above(name string) *model.Bay {
	var last *model.Bay
	for _, b := range baysOf(s.job, s.section) {
		if strings.EqualFold(b.Name, name) {
			break
		}
		if !b.Struck && b.Volume() > 0 {
			last = b
		}
	}
	return last
}

// firstSection asks for a section where the job lists none and its log holds none. A bay's line
// that is typed there is kept for when that is answered.
func (s *Session) firstSection() {
	s.question(s.say.S("section (Enter: the job has none): "), func(line string) {
		word, tail := cut(line)
		switch {
		case strings.EqualFold(word, "section"):
			s.section = tail
		case figured(line):
			s.queue(line)
			s.sayf("That is a bay's line, and it is kept. First the section's name, as in: north slope")
			s.firstSection()
		default:
			s.section = line
		}
	})
}

// figured tells whether a line holds the figures of a bay: three of them, or some behind a name
// that is counted on as bays are (b2 1 1/2). No section is called that.
func figured(line string) bool {
	n, tokens := 0, strings.Fields(line)
	for _, token := range tokens {
		if numeric(token) && token != "," {
			n++
		}
	}
	counted := len(tokens) > 1 && !numeric(tokens[0]) && numeric(tokens[1]) && strings.ContainsAny(tokens[0][len(tokens[0])-1:], "0123456789")
	return n >= 3 || counted
}

// change goes to another section. One that the job's list lacks is gone to as well, and said:
// nothing is in it before a bay is. Without a name it lists them.
func (s *Session) change(name string) {
	sec := s.find(name)
	switch {
	case name == "" && len(s.job.Sections) == 0:
		s.sayf("No section yet. section NAME starts one.")
	case name == "":
		for _, sec := range s.job.Sections {
			s.sayf("%s", s.filledOf(sec))
		}
	case sec != nil:
		s.section = sec.Name
		s.sayf("%s", s.filledOf(sec))
	default:
		s.section = name
		var names []string
		for _, sec := range s.job.Sections {
			names = append(names, sec.Name)
		}
		switch near := cell.Nearest(strings.ToLower(name), names); {
		case near != "":
			s.sayf("%[1]s is new. If you mean %[2]s: section %[2]s", name, near)
		case len(names) > 0:
			s.sayf("%s is new. There are: %s", name, strings.Join(names, ", "))
		}
	}
}

// changeMachine goes to another machine or hose: counts, and bays filled from now on, are its own.
func (s *Session) changeMachine(name string) {
	s.machine = name
	switch last, ok := s.lastReading(); {
	case ok && name == "":
		s.sayf("%s", s.counterHint())
	case ok:
		s.sayf("%s: its counter stood at %s.", name, cell.FormatNumber(last))
	case name != "":
		s.sayf("%s: no reading yet. count 0 says where its counter starts.", name)
	}
}

// set logs a change of the machine's setting or of the lot: from there on the order of filling
// is judged afresh.
func (s *Session) set(tail string) {
	tail = strings.TrimSpace(strings.TrimPrefix(tail, "set "))
	if tail == "" {
		s.usagef("Set what? As in: set gate to 4")
		return
	}
	// What is blown may change within a job. All other settings hold for the whole of it.
	if d, is := settingOf(tail); is && (d.Kind != model.SettingText || d.Personal) {
		s.setting(d)
		return
	}
	s.put(s.rowIn("", "", Row{"entry": "set", "note": tail}))
}

// filledOf says how many bays of a section are filled: "north slope: 3 of 12 filled".
func (s *Session) filledOf(sec *model.Section) string {
	if sec.Name == "" {
		return s.Filled(sec)
	}
	return sec.Name + ": " + s.Filled(sec)
}

// Filled says how many bays of a section are filled: "3 of 12 filled".
func (s *Session) Filled(sec *model.Section) string { return s.say.F("%s filled", s.sharesOf(sec)) }

// sharesOf counts the filled bays of a section, "3 of 12": of those that its table counts, or of
// those that the log holds where these are more.
func (s *Session) sharesOf(sec *model.Section) string {
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
	if n := max(sec.Expected, all); n > 0 {
		return s.say.F("%d of %d", filled, n)
	}
	return fmt.Sprint(filled)
}

// emptiedApart tells whether it is a section's own empties that are counted again, and not the job's.
func (s *Session) emptiedApart(sec *model.Section) bool {
	return !math.IsNaN(sec.BagsUsed) || slices.ContainsFunc(s.f.Sections, func(x verify.Section) bool {
		return x.Section == sec && slices.ContainsFunc(x.Reasons, func(r verify.Reason) bool { return r.Code == verify.TotalsShort })
	})
}
