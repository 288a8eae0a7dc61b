package prompt

import (
	"fmt"

	"bayproof/model"
	"bayproof/report/say"
	"bayproof/verify"
)

// accept makes a job with its findings the present one.
func (s *Session) accept(job *model.Job, f *verify.Findings) {
	s.job, s.f = job, f
	s.say = say.New(f)
}

// reply answers rows that are on disk: the verdict, what to do now, what would serve the next bay, the totals, and
// earlier bays that stand otherwise now.
func (s *Session) reply(rows []Row, old *verify.Findings) {
	row := rows[len(rows)-1]
	for i := len(rows) - 1; i >= 0 && row["bay"] == ""; i-- {
		row = rows[i]
	}
	b := bayOf(s.job, row["section"], row["bay"])
	switch {
	case b == nil && row["entry"] == "set":
		s.sayf("setting noted; the order of filling is judged afresh from here")
	case b == nil:
		s.sayf("counter starts at %s", row["counter"])
	default:
		s.replyBay(b, row)
		s.replaced(bayOf(old.Job, row["section"], row["bay"]), b)
		s.totals()
	}
	s.changes(old, b)
	s.reveal(b)
}

func (s *Session) replyBay(b *model.Bay, row Row) {
	x := of(s.f, b)
	switch {
	case b.Struck:
		s.sayf("%s withdrawn", b.Name)
	case b.Waiting:
		s.sayf("%s shares the next bay's figure", b.Name)
	case b.Fill == nil:
		s.sized(b)
	case row["entry"] == "closed":
		s.closed(x)
	default:
		s.verdict(x)
	}
}

// replaced says what an amend took out of force besides the fill, so that nobody thinks it still counts.
func (s *Session) replaced(before, now *model.Bay) {
	if before == nil || before.Struck {
		return
	}
	if gone := alive(before) - alive(now); gone > 0 && !now.Struck {
		s.sayf("  the amend stands for the whole bay: %s (pieces, top-ups, losses, what was seen) no longer hold; type again what still does",
			say.Count(gone, "earlier row", "earlier rows"))
	}
}

// alive counts the rows of a bay that are in force besides its sizes and its fill.
func alive(b *model.Bay) int {
	n := 0
	for _, e := range b.Rows {
		if _, dead := b.Dead[e]; dead {
			continue
		}
		switch e.Kind {
		case model.EntryPiece, model.EntryLess, model.EntryTopup, model.EntryLost, model.EntrySeen:
			n++
		}
	}
	return n
}

// closed says how a bay stood when it was closed.
func (s *Session) closed(x *verify.Bay) {
	if x.Verdict == verify.Close {
		s.sayf("%s closed %s CLOSE", x.Bay.Name, say.Mark(x.Verdict))
		return
	}
	s.sayf("%s closed though %s %s: it will be listed at the finish", x.Bay.Name, say.Mark(x.Verdict), say.Verdict(x.Verdict))
	if text := s.say.Now(x); text != "" {
		s.sayf("  now: %s", text)
	}
}

// sized says what a measured bay will take.
func (s *Session) sized(b *model.Bay) {
	v := b.Volume()
	if !(v > 0) {
		s.sayf("%s noted", b.Name)
		return
	}
	s.sayf("%s measured: %s, %s; at the aim it takes %s", b.Name, s.sizesText(b), s.say.Volume(v), s.amount(b.Section.Settings.Aim*v, &b.Section.Settings))
}

// verdict says how a filled bay stands and what to do about it.
func (s *Session) verdict(x *verify.Bay) {
	set := &x.Bay.Section.Settings
	s.sayf("%s %s %s  %s", x.Bay.Name, say.Mark(x.Verdict), say.Verdict(x.Verdict), s.say.Evidence(x))
	line := "  " + s.sizesText(x.Bay)
	if len(x.Bay.Pieces) > 1 {
		line += fmt.Sprintf(" and %d pieces", len(x.Bay.Pieces)-1)
	}
	line += "; " + s.went(x, set)
	if x.Verdict == verify.Close {
		line += "; " + s.say.Blind(x)
	}
	s.sayf("%s", line)
	for _, r := range x.Reasons {
		if !r.IsAnswered() && !say.InEvidence(r.Code) {
			s.sayf("  %s", s.say.Reason(r))
		}
	}
	if text := s.say.Now(x); text != "" {
		s.sayf("  now: %s", text)
	}
	if text := s.say.NextBay(x); text != "" {
		s.sayf("  next bay: %s", text)
	}
}
