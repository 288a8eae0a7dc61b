package prompt

import (
	"fmt"
	"strings"

	"bayproof/model"
	"bayproof/report/say"
	"bayproof/verify"
)

// totals says how the section and the job stand, and the bags against the plan.
func (s *Session) totals() {
	sec := s.find(s.section)
	if sec == nil {
		return
	}
	filled, all := 0, 0
	for _, b := range baysOf(s.job, s.section) {
		if !b.Struck {
			all++
		}
		if b.Fill != nil {
			filled++
		}
	}
	text := fmt.Sprintf("%d filled", filled)
	if n := max(sec.Expected, all); n > 0 {
		text = fmt.Sprintf("%d of %d filled", filled, n)
	}
	if name := sec.Name; name != "" {
		text = name + ": " + text
	}
	if bags := s.bagsIn(sec); bags != "" {
		text += ", " + bags
	}
	s.sayf("  %s; job: %s", text, s.counts())
}

// bagsIn says the bags of a section, weighed bays at their share of a bag, against what its filled bays take at the aim.
func (s *Session) bagsIn(sec *model.Section) string {
	for i := range s.f.Sections {
		x := &s.f.Sections[i]
		if aim := x.BagsRequired * sec.Settings.Aim / sec.Settings.Target; x.Section == sec && x.Bags > 0 && aim > 0 {
			return fmt.Sprintf("%s (plan %.1f)", bagsOf(x.Bags), aim)
		}
	}
	return ""
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
			parts = append(parts, fmt.Sprintf("%d\u00a0%s", x.n, say.Verdict(x.v)))
		}
	}
	if t.NotFilled > 0 {
		parts = append(parts, fmt.Sprintf("%d\u00a0not\u00a0filled", t.NotFilled))
	}
	if len(parts) == 0 {
		return "no bay yet"
	}
	return strings.Join(parts, ", ")
}

// changes names earlier bays whose verdict is another one now.
func (s *Session) changes(old *verify.Findings, but *model.Bay) {
	was := map[string]verify.Verdict{}
	for i := range old.Bays {
		if x := &old.Bays[i]; x.Bay.Fill != nil {
			was[x.Bay.Section.Name+"\x00"+x.Bay.Name] = x.Verdict
		}
	}
	for i := range s.f.Bays {
		x := &s.f.Bays[i]
		before, known := was[x.Bay.Section.Name+"\x00"+x.Bay.Name]
		if !known || x.Bay == but || x.Bay.Fill == nil || before == x.Verdict {
			continue
		}
		text := fmt.Sprintf("! %s was %s, is now %s %s", x.Bay.Name, say.Verdict(before), say.Mark(x.Verdict), say.Verdict(x.Verdict))
		if len(x.Bay.Closed) > 0 {
			text += " (it is closed)"
		}
		if now := s.say.Now(x); now != "" {
			text += ": " + now
		}
		s.sayf("  %s", text)
	}
}

// reveal names a bay that is to be left open, once its count is on disk and not before.
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
			s.sayf("  LEAVE %s OPEN: an inspector looks at it", b.Name)
		}
	}
}
