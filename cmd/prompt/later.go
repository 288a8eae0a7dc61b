package prompt

import (
	"bayproof/model"
)

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
