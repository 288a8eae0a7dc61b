package prompt

import (
	"fmt"
	"math"
	"strings"

	"bayproof/model"
	"bayproof/report/say"
	"bayproof/verify"
	"bayproof/verify/plan"
)

// accept makes a job with its findings the present one; quantities are said in its units from then on.
func (s *Session) accept(job *model.Job, f *verify.Findings) {
	s.job, s.f = job, f
	s.say = say.New(f)
}

// reply answers rows that are on disk, a bay in three lines at most: the verdict; what was understood of it, and how far the
// section is; what to do now. Then earlier bays that stand otherwise now.
func (s *Session) reply(rows []Row, old *verify.Findings) {
	row := rows[len(rows)-1]
	for i := len(rows) - 1; i >= 0 && row["bay"] == ""; i-- {
		row = rows[i]
	}
	b := bayOf(s.job, row["section"], row["bay"])
	switch {
	case b == nil && row["entry"] == "set":
		s.sayf("setting noted; the order of filling is judged afresh from here. A test box now shows what stalled means on it: box 12.4 lb 3.5 ft3")
	case b == nil && row["entry"] == "empties":
		s.sayf("%s empties noted. %s", row["bags"], s.say.Counts(s.f))
	case b == nil && row["entry"] == "elsewhere":
		s.sayf("%s noted as gone elsewhere", row["weight"]+row["bags"])
	case b == nil && row["entry"] == "leave":
		s.sayf("%s left: %s. Nothing is ordered there.", row["bay"], row["note"])
	case b == nil && row["entry"] == "strike":
	case b == nil:
		s.sayf("counter starts at %s", row["counter"])
	case b.Struck:
		s.sayf("%s withdrawn", b.Name)
	case b.Owes != model.OwesNothing:
		if b.Owes == model.OwesCount {
			s.sized(b)
		}
		s.sayf("%s %s", b.Name, say.Owed(b.Owes))
	case b.Fill == nil:
		s.sized(b)
	case row["entry"] == "closed":
		s.closed(of(s.f, b))
	default:
		s.verdict(of(s.f, b))
	}
	if b != nil {
		s.replaced(bayOf(old.Job, row["section"], row["bay"]), b)
	}
	s.changes(old, b)
	s.reveal(b)
}

// replaced says what an amend took out of force besides the fill, so that nobody thinks it still counts.
func (s *Session) replaced(before, now *model.Bay) {
	if before == nil || before.Struck || now.Struck {
		return
	}
	if gone := len(besides(before)) - len(besides(now)); gone > 0 {
		s.sayf("  the amend stands for the whole bay: %s (pieces, top-ups, losses, what was seen) no longer hold; type again what still does",
			say.Count(gone, "earlier row", "earlier rows"))
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

// closed says how a bay stood when it was closed. Closing one that is not CLOSE is the crew's affair: it is logged and said.
func (s *Session) closed(x *verify.Bay) {
	if x.Verdict == verify.Close {
		s.sayf("%s closed %s CLOSE", x.Bay.Name, say.Mark(x.Verdict))
		return
	}
	if x.IsDecided() {
		s.sayf("%s closed: %s", x.Bay.Name, s.say.DecidedAs(x))
		return
	}
	s.sayf("%s closed though %s %s: it will be listed at the finish", x.Bay.Name, say.Mark(x.Verdict), say.Verdict(x.Verdict))
	if text := s.say.Now(x); text != "" {
		s.sayf("  now: %s", text)
	}
}

// sized says what a measured bay will take: mass = aim · volume, in bags where bags are counted.
func (s *Session) sized(b *model.Bay) {
	v := b.Volume()
	if !(v > 0) {
		s.sayf("%s noted", b.Name)
		return
	}
	s.sayf("%s measured: %s, %s; at the aim it takes %s", b.Name, s.say.Bay(b), s.say.Volume(v), s.amount(b.Section.Settings.Aim*v, &b.Section.Settings))
}

// verdict says how a filled bay stands and the one thing to do about it. What the verdict rests on is left to why.
func (s *Session) verdict(x *verify.Bay) {
	s.sayf("%s %s %s  %s", x.Bay.Name, say.Mark(x.Verdict), say.Verdict(x.Verdict), s.say.Stands(x))
	line := s.say.Bay(x.Bay)
	if len(x.Bay.Pieces) > 1 {
		line += fmt.Sprintf(" and %d pieces", len(x.Bay.Pieces)-1)
	}
	s.sayf("  %s; %s; %s", line, s.went(x, &x.Bay.Section.Settings), s.progress(x.Bay.Section))
	if text := s.order(x); text != "" {
		s.sayf("  now: %s", text)
	}
}

// order says what to do about a bay: briefly, but whole with its caution the first time that a sitting has that caution.
func (s *Session) order(x *verify.Bay) string {
	if caution := say.Cautioned(x); caution != "" && !s.cautioned[caution] {
		s.cautioned[caution] = true
		return s.say.Now(x)
	}
	return s.say.BriefNow(x)
}

// progress says how far a section is, and its bags against the plan: weighed bays at their share of a bag, against what the
// section's filled bays take at the aim.
func (s *Session) progress(sec *model.Section) string {
	text := sharesOf(s.job, sec) + " bays"
	for i := range s.f.Sections {
		x := &s.f.Sections[i]
		if aim := x.BagsRequired * sec.Settings.Aim / sec.Settings.Target; x.Section == sec && x.Bags > 0 && aim > 0 {
			text += fmt.Sprintf(": %s, plan %.1f", say.Bags(x.Bags), aim)
		}
	}
	return text
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

// changes names earlier bays whose verdict is another one now: a later count may speak for or against them.
func (s *Session) changes(old *verify.Findings, but *model.Bay) {
	type name struct{ section, bay string }
	was := map[name]verify.Verdict{}
	for i := range old.Bays {
		if x := &old.Bays[i]; x.Bay.Fill != nil {
			was[name{x.Bay.Section.Name, x.Bay.Name}] = x.Verdict
		}
	}
	for i := range s.f.Bays {
		x := &s.f.Bays[i]
		before, known := was[name{x.Bay.Section.Name, x.Bay.Name}]
		if !known || x.Bay == but || x.Bay.Fill == nil || before == x.Verdict {
			continue
		}
		text := fmt.Sprintf("! %s was %s, is now %s %s", x.Bay.Name, say.Verdict(before), say.Mark(x.Verdict), say.Verdict(x.Verdict))
		if len(x.Bay.Closed) > 0 {
			text += " (it is closed)"
		}
		if now := s.say.BriefNow(x); now != "" {
			text += ": " + now
		}
		s.sayf("  %s", text)
	}
}

// reveal names a bay that is to be left open, once its count is on disk and not before: a crew that knows which bay is looked at
// fills it better. Its place is its rank in the order of filling of its section.
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

// amount says a mass, kg, as bags: exactly, and to the part of a bag that the crew can tell; as a mass where a bag's weight is
// not known.
func (s *Session) amount(mass float64, set *model.Settings) string {
	bags := mass / plan.BagWeight(set)
	if math.IsNaN(bags) {
		return s.say.Mass(mass, model.Pound)
	}
	if set.BagStep > 0 {
		return fmt.Sprintf("%.2f\u00a0bags\u00a0(%s)", bags, strings.ReplaceAll(say.Bags(math.Round(bags/set.BagStep)*set.BagStep), " ", "\u00a0"))
	}
	return fmt.Sprintf("%.2f bags", bags)
}

// went says what went in against the aim, in bags where both can be said in bags.
func (s *Session) went(x *verify.Bay, set *model.Settings) string {
	aim := set.Aim * x.Volume
	bags := aim / plan.BagWeight(set)
	if math.IsNaN(x.Bags) || math.IsNaN(bags) {
		return s.say.Mass(x.Mass, math.NaN()) + ", aim " + s.say.Mass(aim, math.NaN())
	}
	return fmt.Sprintf("%s, aim %.2f", bagsOf(x.Bags), bags)
}

// bagsOf says a count of bags: 1 bag, 1 3/4 bags.
func bagsOf(n float64) string {
	if n == 1 {
		return "1 bag"
	}
	return say.Bags(n) + " bags"
}
