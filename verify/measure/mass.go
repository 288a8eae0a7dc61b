package measure

import (
	"math"

	"bayproof/model"
)

// mass is what a lot's rows say went in, with the parts of its uncertainty.
type mass struct {
	kg      float64
	bags    float64 // bags counted, weighed part bags as their share
	used    float64 // bags that left the pile, spill and losses included
	coef    float64 // kg per kg of bag weight: whole and stepped bags counted
	counted bool    // bags were counted
	count2  float64 // kg²: counts by ends
	half    float64 // kg: half-width of fresh counts, which round alike and so add up
	weigh2  float64 // kg²: weighed masses and part bags
}

// scale is what a section's material is reckoned with.
type scale struct {
	bag    float64 // kg net
	step   float64 // bags, as used
	within float64 // kg: ± of a weighed mass
	keep   float64 // share that reaches the bay
	mode   model.Counting
	chain  *chain
}

// take adds a row's material; sign is −1 for what was lost. Terms of a running counter go to terms. A top-up of 0 changes
// nothing.
func (m *mass) take(e *model.Entry, s *scale, terms []Term) []Term {
	if e.TopsUpNothing() {
		return terms
	}
	f := s.keep
	before := m.bags
	if e.Kind == model.EntryLost {
		f = -1
	}
	switch g := &e.Material; g.Kind {
	case model.MaterialWeight:
		m.weighed(f, g.Mass, halfWidth(g, s.within))
		m.bags += sign(f) * g.Mass / s.bag
	case model.MaterialBags:
		if !g.Shared {
			terms = m.bagged(e, f, s, terms)
		}
	case model.MaterialCounter:
		if !g.Shared {
			terms = m.counter(g, f, s, terms)
		}
	}
	if f > 0 {
		m.used += m.bags - before
	}
	return terms
}

// sign is +1 for material that went in and −1 for what was lost.
func sign(f float64) float64 {
	if f < 0 {
		return -1
	}
	return 1
}

// weighed adds a mass in kg with its half-width (rectangular). Nothing that was lost is not a weighing.
func (m *mass) weighed(f, kg, half float64) {
	m.kg += f * kg
	if kg != 0 || m.kg == 0 {
		u := f * half / sqrt3
		m.weigh2 += u * u
	}
}

// bagged adds a count of bags with its weighed part bag. A count with a weighed part is whole and exact. A top-up of 0 is
// no count.
func (m *mass) bagged(e *model.Entry, f float64, s *scale, terms []Term) []Term {
	g := &e.Material
	if g.Bags == 0 && g.Part == 0 && e.Kind == model.EntryTopup {
		return terms
	}
	m.counted = true
	m.kg += f * (g.Bags*s.bag + g.Part)
	m.coef += f * g.Bags
	m.bags += sign(f) * g.Bags
	if g.Part != 0 {
		m.bags += sign(f) * g.Part / s.bag
		u := f * halfWidth(g, s.within) / sqrt3
		m.weigh2 += u * u
		return terms
	}
	if s.mode == model.CountingRunning {
		if from, to, ok := s.chain.boundsOf(e); ok {
			return chained(terms, f*s.bag, from, to, s.chain)
		}
	}
	m.step(g, f, s)
	return terms
}

// counter adds the difference of two readings of the running counter.
func (m *mass) counter(g *model.Material, f float64, s *scale, terms []Term) []Term {
	n := g.Bags - g.Prev
	m.counted = true
	m.kg += f * n * s.bag
	m.coef += f * n
	m.bags += sign(f) * n
	if s.mode == model.CountingEnds || s.mode == model.CountingFresh {
		m.step(g, f, s)
		return terms
	}
	return chained(terms, f*s.bag, g.PrevAt, g.ReadAt, s.chain)
}

// step adds the uncertainty of a count to the step q: q/√6 where both ends are read by themselves; the interval ±q/2, and
// so q/√12, where only one is (fresh); the cell's own ± where it states one. No bags at all: q/√6, however they would
// have been counted.
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

// chained adds the two readings of a running counter that bound a row, merging with those already there: the reading
// between a fill and the top-up that follows it drops out.
func chained(terms []Term, kg float64, from, to int, c *chain) []Term {
	terms = merge(terms, Term{Reading: from, Coef: -kg, U: c.u[from]})
	return merge(terms, Term{Reading: to, Coef: kg, U: c.u[to]})
}

func merge(terms []Term, t Term) []Term {
	for i := len(terms) - 1; i >= 0; i-- {
		if terms[i].Reading == t.Reading {
			terms[i].Coef += t.Coef
			return terms
		}
	}
	return append(terms, t)
}

// halfWidth is the ± of a mass: the cell's own, else the setting's.
func halfWidth(g *model.Material, setting float64) float64 {
	if math.IsNaN(g.Within) {
		return setting
	}
	return g.Within
}
