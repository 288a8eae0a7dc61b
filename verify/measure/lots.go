package measure

import "bayproof/model"

// Lot is what one mass filled: one bay, or the bays that share one count. It has one density.
//
// The variance of the density is Own² + Count² + Common² and, for a running counter, the variance of the sum over
// Terms: the parts are kept apart because they are shared differently. Own and Count belong to this lot alone, Common
// is one and the same error in every bag of the job, a reading of the counter is shared with the neighbour.
type Lot struct {
	Bays    []*model.Bay
	Volume  float64 // m³, of all its bays
	Mass    float64 // kg
	Bags    float64 // bags in it; NaN where nothing was counted in bags
	Used    float64 // bags that left the pile for it, weighed masses as their share, what was lost included; NaN where no bag weight is known
	UUsed   float64 // bags: standard uncertainty of Used from its readings; in Pool only
	Density float64 // kg/m³

	Own    float64 // kg/m³: sizes, weighings
	OwnDOF float64 // +Inf where nothing was estimated from few readings
	// Tape is the part of Own, by dimension and with its sign, that the half-widths of the tape readings bring: hook,
	// angle and habit, which every reading of a dimension shares. A pooled figure adds them before it squares.
	Tape [Dims]float64
	// Taken is the part of Own, by dimension, that sizes taken over from the bay above bring.
	Taken [Dims]float64
	Count float64 // kg/m³: a count by `ends` or `fresh` as noise of its own; 0 for a weighed mass and for a counter
	// Interval is the half-width in kg/m³ within which a `fresh` count leaves the density: like bays round the same way.
	// 0 where the count is not fresh. It describes the same error as Count does.
	Interval  float64
	Terms     []Term  // readings of the running counter, with the density's sensitivity to each
	Common    float64 // kg/m³ per standard uncertainty of the bag weight
	CommonDOF float64

	U      float64 // kg/m³: combined standard uncertainty
	DOF    float64 // effective degrees of freedom (Welch–Satterthwaite), not rounded; +Inf where nothing was estimated
	Budget []Share // by input, largest first, adding up to 1

	sizes *Sizes // of its bays together
}

// Term is the share that one reading of the job's counter has in a lot's density.
type Term struct {
	Reading int     // number of the reading in the job's counter
	Coef    float64 // kg/m³ per bag
	U       float64 // bags: standard uncertainty of that reading; 0 for one known to be exact
}

// Share is one input's share in a variance.
type Share struct {
	Input string // a setting-like name: width, depth, length, bulge, bags, bag_weight, weight, ditto
	Share float64
}

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
