package prompt

import (
	"fmt"
	"strings"

	"bayproof/model"
	"bayproof/verify/plan"
)

// startSection is the section of the last row, else the first that the table lists.
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
func (s *Session) find(name string) *model.Section { return sectionOf(s.job, name) }

func sectionOf(job *model.Job, name string) *model.Section {
	for _, sec := range job.Sections {
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

func (s *Session) bay(name string) *model.Bay { return bayOf(s.job, s.section, name) }

// bays returns the bays of a section in the log's order.
func baysOf(job *model.Job, section string) []*model.Bay {
	var bays []*model.Bay
	for _, b := range job.Bays {
		if strings.EqualFold(b.Section.Name, section) {
			bays = append(bays, b)
		}
	}
	return bays
}

// nextName is the bay that comes next: on the truck sheet the first that is measured and not filled, else the name after
// the last one.
func (s *Session) nextName() string {
	bays := baysOf(s.job, s.section)
	names := make([]string, 0, len(bays))
	for _, b := range bays {
		if b.Fill == nil && !b.Struck && !b.Waiting && s.opt.Sheet != Roof {
			return b.Name
		}
		names = append(names, b.Name)
	}
	return plan.NextName(names)
}

// lastBay is the bay of the last row that names one in this section; nil before the first.
func (s *Session) lastBay() *model.Bay {
	for i := len(s.job.Log) - 1; i >= 0; i-- {
		if e := &s.job.Log[i]; e.Bay != "" && strings.EqualFold(e.Section, s.section) {
			return s.bay(e.Bay)
		}
	}
	return nil
}

// above is the bay whose sizes a ditto takes over; nil where there is none.
func (s *Session) above(name string) *model.Bay {
	var last *model.Bay
	for _, b := range baysOf(s.job, s.section) {
		if strings.EqualFold(b.Name, name) {
			break
		}
		if !b.Struck && len(b.Pieces) > 0 {
			last = b
		}
	}
	return last
}

// firstSection asks for a section where the job lists none and its log holds none.
func (s *Session) firstSection() {
	s.question("section (Enter: the job has none): ", func(line string) {
		run, known := s.anywhere(strings.ToLower(line))
		word, tail := cut(line)
		switch {
		case known:
			run("")
		case strings.EqualFold(word, "section"):
			s.section = tail
			return
		case !figured(line):
			s.section = line
			return
		default:
			s.sayf("  that is a bay's line, and a section's name is asked for: north slope, say, or Enter where the job has none")
		}
		if !s.done {
			s.firstSection()
		}
	})
}

// figured tells whether a line holds the figures of a bay: no section is called that.
func figured(line string) bool {
	n := 0
	for _, token := range splitTokens(line) {
		if numeric(token) && token != "," {
			n++
		}
	}
	return n >= 3
}

// change goes to another section; a new one is asked about once.
func (s *Session) change(name string) {
	if name == "" {
		s.listSections()
		return
	}
	if sec := s.find(name); sec != nil {
		s.section = sec.Name
		s.sectionLine(sec)
		return
	}
	if len(s.job.Sections) == 0 {
		s.section = name
		return
	}
	s.question("no section is called "+name+" yet; start it? [y/n] ", func(line string) {
		if yes(line) {
			s.section = name
		}
	})
}

// yes tells whether an answer is yes; anything else is no.
func yes(line string) bool {
	a, _ := model.ParseAnswer(line)
	return a == model.Yes
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
