package measure

import "bayproof/model"

// formLots makes a lot of every filled bay, one of the bays that share a count, by section and in fill order.
func (m *Measured) formLots(job *model.Job) {
	m.Lots = Zeroed(m.Lots, len(job.Bays))[:0]
	m.LotOf = Zeroed(m.LotOf, len(job.Bays))
	m.Sections = Zeroed(m.Sections, len(job.Sections))
	for s := range job.Sections {
		from := len(m.Lots)
		for i, b := range job.Bays {
			if int(m.sectionOf[i]) == s {
				m.LotOf[i] = -1
				if isFilled(b) && leads(b) {
					m.Lots = m.Lots[:len(m.Lots)+1]
					m.Lots[len(m.Lots)-1].Bays = together(job, i)
				}
			}
		}
		sortLots(m.Lots[from:])
		m.Sections[s] = Range{int32(from), int32(len(m.Lots))}
	}
	m.number(job)
}

// isFilled tells whether the bay has material in force.
func isFilled(b *model.Bay) bool { return b.Fill != nil && !b.Struck }

// leads tells whether the bay is the first in fill order of those that share its count.
func leads(b *model.Bay) bool {
	for _, o := range b.SharedWith {
		if isFilled(o) && o.Order < b.Order {
			return false
		}
	}
	return true
}

// together returns the bay with those that share its count, in fill order.
func together(job *model.Job, i int) []*model.Bay {
	b := job.Bays[i]
	if len(b.SharedWith) == 0 {
		return job.Bays[i : i+1 : i+1]
	}
	out := append(make([]*model.Bay, 0, len(b.SharedWith)+1), b)
	for _, o := range b.SharedWith {
		if isFilled(o) {
			out = append(out, o)
		}
	}
	for k := 1; k < len(out); k++ {
		for j := k; j > 0 && out[j-1].Order > out[j].Order; j-- {
			out[j-1], out[j] = out[j], out[j-1]
		}
	}
	return out
}

// sortLots puts lots into fill order. They are there already but for bays that were sized before they were filled.
func sortLots(lots []Lot) {
	for i := 1; i < len(lots); i++ {
		for j := i; j > 0 && lots[j-1].Bays[0].Order > lots[j].Bays[0].Order; j-- {
			lots[j-1], lots[j] = lots[j], lots[j-1]
		}
	}
}

// number fills in LotOf and gives every lot the sizes of its bays, added up where it has several.
func (m *Measured) number(job *model.Job) {
	var shared map[*model.Bay]int32
	m.memory.next = Zeroed(m.memory.next, len(m.Sections))
	next := m.memory.next
	for s := range next {
		next[s] = m.Sections[s].From
	}
	for k := range m.Lots {
		if len(m.Lots[k].Bays) > 1 {
			if shared == nil {
				shared = make(map[*model.Bay]int32)
			}
			m.Lots[k].sizes = &Sizes{}
			for _, b := range m.Lots[k].Bays {
				shared[b] = int32(k)
			}
		}
	}
	for i, b := range job.Bays {
		if !isFilled(b) {
			continue
		}
		k, joint := shared[b]
		if joint {
			m.Lots[k].sizes.join(&m.Sizes[i])
		} else {
			k = m.find(b, m.Sections[m.sectionOf[i]], &next[m.sectionOf[i]])
			m.Lots[k].sizes = &m.Sizes[i]
		}
		m.LotOf[i] = k
	}
}

// join adds the sizes of another bay of the same lot. What the tape's readings share they share across the bays too.
func (z *Sizes) join(o *Sizes) {
	z.Volume += o.Volume
	for d := range Dims {
		z.tape[d] += o.tape[d]
		z.rand[d] += o.rand[d]
		z.ditto[d] += o.ditto[d]
		z.ditto2[d] += o.ditto2[d]
	}
}

// find looks up the lot of a bay that shares with none; hint is where the section's next one is expected. Every bay
// that leads has a lot, so the walk ends.
func (m *Measured) find(b *model.Bay, r Range, hint *int32) int32 {
	for {
		k := *hint
		if *hint++; *hint >= r.To {
			*hint = r.From
		}
		if m.Lots[k].Bays[0] == b {
			return k
		}
	}
}
