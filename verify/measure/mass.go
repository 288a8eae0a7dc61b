// What went into a lot, kg, and how well it is known.
//
// A count of bags is read to a step q (a quarter of a bag, say). What one reading is off by is
// uniform over ±q/2, u = q/√12 (JCGM 100, F.2.2.1). A count in which both ends are read is the
// difference of two such readings, q/√6 (4.3.9). Counts differ in how they hang together with their
// neighbors:
//
//   - ends: both ends of every bay are read by themselves; errors are independent between bays;
//
//   - fresh: every bay starts from an exact level and one end is read; like bays all round the same
//     way, so the count is kept as the interval that it is;
//
//   - running: one reading ends a bay and begins the next. Readings get numbers, and every lot
//     keeps the sensitivity to each (Term): what one bay has too much the next has too little.

package measure

import (
	"cmp"
	"math"
	"slices"

	"bayproof/model"
	"bayproof/verify/stat"
)

// mass is what a lot's rows say went in, with the parts of its uncertainty, in kg or kg². The zero
// value is nothing.
type mass struct {
	kg      float64 // in the lot, spill and losses taken off
	bags    float64 // bags counted, weighed part bags as their share
	used    float64 // bags that left the pile, spill and losses included
	coef    float64 // kg per kg of bag weight: whole and stepped bags counted
	counted bool    // bags were counted
	stepped bool    // by steps: some count has no weighed part bag
	count2  float64 // kg²: counts by ends
	half    float64 // kg: half-width of fresh counts, which round alike and so add up
	weigh2  float64 // kg²: weighed masses and part bags
	terms   []Term  // readings of a count that runs on; Coef in kg per bag
}

// scale is what a section's material is computed with: the bag, the step of its counts, the share
// that reaches the bay, and how a count hangs together with the one before.
type scale struct {
	bag    float64 // kg net
	step   float64 // bags, as used
	within float64 // kg: ± of a weighed mass
	keep   float64 // share that reaches the bay
	mode   model.Counting
	chain  *chain
}

// take adds a row's material. Of what went in only the share that reaches the bay counts (what was
// spilled did not); what was lost out of the bay again is taken off whole. A top-up of 0 changes
// nothing. Of a shared count the figure stands in the row that ends it. used counts what left the
// pile, so that losses take nothing off it.
func (m *mass) take(e *model.Entry, s *scale) {
	if e.TopsUpNothing() {
		return
	}
	f, sign := s.keep, 1.0
	if e.Kind == model.EntryLost {
		f, sign = -1, -1
	}
	before := m.bags
	switch g := &e.Material; {
	case g.Kind == model.MaterialWeight:
		m.weighed(f, g.Mass, halfWidth(g, s.within))
		m.bags += sign * g.Mass / s.bag
	case g.Shared: // the figure stands in the row that ends the shared count
	case g.Kind == model.MaterialBags:
		m.bagged(e, f, sign, s)
	case g.Kind == model.MaterialCounter:
		n := g.Bags - g.Prev
		m.kg += f * n * s.bag
		m.count(n, f, sign)
		m.stepped = true
		if s.mode == model.CountingEnds || s.mode == model.CountingFresh {
			m.step(g, f, s)
		} else {
			m.chained(f*s.bag, g.PrevAt, g.ReadAt, s.chain)
		}
	}
	if f > 0 {
		m.used += m.bags - before
	}
}

// weighed adds f times a mass in kg with its half-width in kg: variance (f·half/√3)². A weighing of
// 0 beside other material is none.
func (m *mass) weighed(f, kg, half float64) {
	m.kg += f * kg
	if kg != 0 || m.kg == 0 {
		m.weigh2 += square(f * half / sqrt3)
	}
}

// bagged adds a count of bags and its weighed part bag in kg. A count with a weighed part is of
// whole bags, and exact; the part has the scale's half-width. A top-up of 0 is no count.
func (m *mass) bagged(e *model.Entry, f, sign float64, s *scale) {
	g := &e.Material
	if g.Bags == 0 && g.Part == 0 && e.Kind == model.EntryTopup {
		return
	}
	m.kg += f * (g.Bags*s.bag + g.Part)
	m.count(g.Bags, f, sign)
	if g.Part != 0 {
		m.bags += sign * g.Part / s.bag
		m.weigh2 += square(f * halfWidth(g, s.within) / sqrt3)
		return
	}
	m.stepped = m.stepped || g.Bags != 0
	if s.mode == model.CountingRunning {
		if from := s.chain.from(e); from > 0 {
			m.chained(f*s.bag, from, from+1, s.chain)
			return
		}
	}
	m.step(g, f, s)
}

// count adds n bags that f of reached the bay: each carries the error of the bag weight.
func (m *mass) count(n, f, sign float64) {
	m.counted = true
	m.coef += f * n
	m.bags += sign * n
}

// step adds the uncertainty of a count to the step q, times f·bag kg a bag:
//
//   - ends: variance (q/√6)², or (w/√3)² where the cell states its own ±w;
//
//   - fresh: a half-width q/2, or the cell's own; halves add up, as like bays round alike;
//
//   - no bags at all: q/√6, however they would have been counted.
func (m *mass) step(g *model.Material, f float64, s *scale) {
	kg, stated := math.Abs(f*s.bag), !math.IsNaN(g.Within)
	switch {
	case s.mode == model.CountingFresh && g.Bags != 0 && stated:
		m.half += kg * g.Within
	case s.mode == model.CountingFresh && g.Bags != 0:
		m.half += kg * s.step / 2
	case stated:
		m.count2 += square(kg * g.Within / sqrt3)
	default:
		m.count2 += square(kg * s.step / sqrt6)
	}
}

// chained adds the two readings, from and to, of a count that runs on which bound a row: a
// difference, so that the error of the first counts against the lot and that of the second for it.
// kg is the mass per bag, signed. A reading that the lot has already gets the sum of both
// coefficients: the reading between a fill and the top-up that follows it drops out.
func (m *mass) chained(kg float64, from, to int, c *chain) {
	// A difference of two readings: the error of the first counts against the lot, that of the
	// second for it.
	for _, t := range [...]Term{{from, -kg, c.u[from]}, {to, kg, c.u[to]}} {
		if i := slices.IndexFunc(m.terms, func(o Term) bool { return o.Reading == t.Reading }); i >= 0 {
			m.terms[i].Coef += t.Coef
		} else {
			m.terms = append(m.terms, t)
		}
	}
}

// halfWidth returns the ± of a weighed mass in kg: the cell's own, else the setting's.
func halfWidth(g *model.Material, setting float64) float64 {
	if math.IsNaN(g.Within) {
		return setting
	}
	return g.Within
}

// Divisors that turn a half-width into a standard uncertainty (JCGM 100, 4.3.7 and 4.3.9).
const (
	sqrt3  = 1.7320508075688772 // rectangular ±a: a/√3
	sqrt6  = 2.449489742783178  // difference of two readings rounded to a step q: q/√6
	sqrt12 = 3.4641016151377544 // one reading rounded to a step q: q/√12
)

// FewBags is the number of weighed bags below which their scatter is not taken below what the label
// allows.
const FewBags = 4

// BagWeight is the average net weight of the job's bags with its standard uncertainty. Its error is
// one and the same in every bag.
type BagWeight struct {
	Mass    float64 // kg; NaN where it is not known
	U       float64 // kg
	DOF     float64 // of U; +Inf where nothing was estimated
	Weighed int     // bags weighed; 0 where the label holds
}

// Bag returns the net bag weight that holds for the job.
//
// By the label: its weight, u = limit·weight/√3, where the limit is a share of the average
// (rectangular). By n weighed bags: their mean less the tare, with
//
//	u² = s²/n + a²/3,  ν = n − 1 for the first part
//
// s the standard deviation of the bags and a the scale's half-width (weigh_within). Below FewBags
// bags s is not taken below the allowable variation of one bag over √3; of one bag nothing is
// estimated, so that this floor stands alone, with infinite ν. The mass is NaN where neither is
// known.
func Bag(st *model.Settings) BagWeight {
	n := len(st.BagChecks)
	if n == 0 {
		return BagWeight{Mass: st.Bag(), U: st.BagWeight * st.BagWithin / sqrt3, DOF: math.Inf(1)}
	}
	_, s := stat.MeanSD(st.BagChecks)
	w := BagWeight{Mass: st.Bag(), Weighed: n}
	dof := float64(n - 1)
	if n < FewBags {
		floor := AllowableVariation(w.Mass) / sqrt3
		if !(s >= floor) {
			s = floor
		}
	}
	if n == 1 {
		dof = math.Inf(1)
	}
	var f stat.Freedom
	f.Add(s*s/float64(n), dof)
	f.Add(st.WeighWithin*st.WeighWithin/3, math.Inf(1))
	w.U, w.DOF = f.U(), f.DOF()
	return w
}

// AllowableVariation returns how much one bag may fall short of its label, in kg, by its net weight
// in kg (NIST Handbook 133, maximum allowable variations; from memory). The three rows known are
// used beyond their ends too.
func AllowableVariation(net float64) float64 {
	switch lb := net / model.Pound; {
	case lb <= 23.20:
		return 0.31 * model.Pound
	case lb <= 31.60:
		return 0.37 * model.Pound
	}
	return 0.44 * model.Pound
}

// chain holds the standard uncertainties of a job's counter readings, by number of the reading.
// Bags that are counted running without a counter share their readings with the rows before and
// after them in the same way, and get numbers of their own behind those.
type chain struct {
	u      []float64 // bags, by number of the reading; 0 is the exact zero
	before []int     // by row of bags that run on: the reading before it, the one after it is the next; 0 for other rows
}

// from returns the reading before a row of bags that run on; 0 where it is none.
func (c *chain) from(e *model.Entry) int {
	if e.Index >= len(c.before) {
		return 0
	}
	return c.before[e.Index]
}

// chainUp finds the readings of counts that run on, by a counter or by bags. Where one that was
// known has another number or uncertainty than before, all sections that have such counts are anew.
func (m *Measured) chainUp(job *model.Job) {
	any := false
	for s, of := range job.Sections {
		sec := &m.Sections[s]
		if sec.Anew {
			sec.runsOn = of.Settings.Counting == model.CountingRunning || sec.readsCounter()
		}
		any = any || sec.runsOn
	}
	if !any {
		m.chain = nil
		return
	}
	was := m.chain
	m.chain = m.chainOf(job)
	if was != nil && m.chain.goesOn(was) {
		return
	}
	for s := range m.Sections {
		sec := &m.Sections[s]
		sec.Anew = sec.Anew || sec.runsOn
	}
}

// readsCounter tells whether any material of the section was read off a counter.
func (sec *Section) readsCounter() bool {
	for k := range sec.Lots {
		for _, b := range sec.Lots[k].Bays {
			for _, e := range b.Moves {
				if e.Material.Kind == model.MaterialCounter {
					return true
				}
			}
		}
	}
	return false
}

// goesOn tells whether all readings of another chain are in this one, as they are there.
func (c *chain) goesOn(was *chain) bool {
	return len(c.u) >= len(was.u) && slices.Equal(c.u[:len(was.u)], was.u) &&
		len(c.before) >= len(was.before) && slices.Equal(c.before[:len(was.before)], was.before)
}

// chainOf gathers the readings of the log: those of bays in file order, so that an amended reading
// takes the old one's place, one of a struck bay included; then those that a `count` row says.
func (m *Measured) chainOf(job *model.Job) *chain {
	c := &chain{u: []float64{0}}
	for i, b := range job.Bays {
		for _, e := range b.Rows {
			if e.Material.Kind == model.MaterialCounter && !e.Material.Shared && !e.TopsUpNothing() {
				c.set(&e.Material, m.Sections[m.sectionOf[i]].Step.Used)
			}
		}
	}
	for _, e := range m.counted {
		c.set(&e.Material, job.Settings.BagStep)
	}
	c.runOn(job, m)
	return c
}

// set notes one reading of the counter and, where the reading before it has not been seen, that one
// too: q/√12 each, or the cell's own ± over √3. A counter at 0 is exact.
func (c *chain) set(g *model.Material, q float64) {
	for len(c.u) <= max(g.ReadAt, g.PrevAt) {
		c.u = append(c.u, q/sqrt12)
	}
	c.u[g.ReadAt] = readingU(g, q)
	if g.Bags == 0 || g.ReadAt == 0 {
		c.u[g.ReadAt] = 0
	}
}

// readingU returns the standard uncertainty of one reading in bags: its own ± over √3, else the
// step q over √12.
func readingU(g *model.Material, q float64) float64 {
	if !math.IsNaN(g.Within) {
		return g.Within / sqrt3
	}
	return q / sqrt12
}

// runOn numbers the readings between rows of bags that run on from each other, in the order of the
// log. After a weighed part bag the hopper is known to be empty: that reading is exact.
func (c *chain) runOn(job *model.Job, m *Measured) {
	type counted struct {
		row  *model.Entry
		step float64 // bags
	}
	var rows []counted
	for i, b := range job.Bays {
		if b.Section.Settings.Counting != model.CountingRunning || b.Struck {
			continue
		}
		for _, e := range b.Moves {
			if e.Material.Kind == model.MaterialBags && !e.Material.Shared && !e.TopsUpNothing() {
				rows = append(rows, counted{e, m.Sections[m.sectionOf[i]].Step.Used})
			}
		}
	}
	slices.SortStableFunc(rows, func(a, b counted) int { return cmp.Compare(a.row.Index, b.row.Index) })
	for k, r := range rows {
		if k == 0 {
			c.u = append(c.u, r.step/sqrt12)
		}
		for len(c.before) <= r.row.Index {
			c.before = append(c.before, 0)
		}
		c.before[r.row.Index] = len(c.u) - 1
		end := readingU(&r.row.Material, r.step)
		if r.row.Material.Part != 0 { // after a weighed part bag the hopper is known to be empty
			end = 0
		}
		c.u = append(c.u, end)
	}
}
