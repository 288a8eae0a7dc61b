package cell

import (
	"math"

	"bayproof/model"
)

// most is how many readings one cell may hold.
const most = 32

// measure is one number of a cell with the unit that stands behind it.
type measure struct {
	v    float64 // in unit; feet with inches are in inches
	unit model.Unit
	has  bool // a unit is written
	pair bool // feet with inches, pounds with ounces
	at   int
}

// group is what a cell of readings comes to.
type group struct {
	n      int
	value  [most]float64 // SI
	at     [most]int
	within float64 // SI; NaN where none is written
	unit   string
	said   bool // the unit is written in the cell
}

// group reads the whole cell: readings with ; between, a tolerance after the last. The parser must be new.
func (p *parser) group(g *group) {
	var ms [most]measure
	var tol measure
	var hasTol bool
	p.advance()
	for p.bad == nil {
		if g.n == most {
			p.refuse(p.tok.at, "more than 32 values", "give the ones that count")
			return
		}
		ms[g.n] = p.measure()
		g.n++
		if p.tok.kind == within && p.bad == nil {
			p.advance()
			tol, hasTol = p.measure(), true
			if p.tok.kind == semicolon {
				p.refuse(p.tok.at, "a ± before the last reading", "one ± after the last reading holds for all")
			}
		}
		if p.tok.kind != semicolon {
			break
		}
		p.advance()
	}
	if p.tok.kind != end {
		p.refuse(p.tok.at, p.unexpected(p.tok), p.example())
	}
	if p.bad == nil {
		p.settle(g, ms[:g.n], tol, hasTol)
	}
}

// settle finds the one unit of the cell and turns everything into SI.
func (p *parser) settle(g *group, ms []measure, tol measure, hasTol bool) {
	last := ms[len(ms)-1]
	if hasTol && !last.has && tol.has {
		if tol.pair {
			p.refuse(tol.at, "two ways of writing in one cell", p.example())
		}
		last.unit, last.has = tol.unit, true
	}
	if !last.has {
		last.unit = p.form.Unit
	}
	g.unit, g.said, g.within = last.symbol(), last.has, math.NaN()
	for i, m := range ms {
		p.agree(&m, last)
		g.value[i], g.at[i] = m.unit.SI(m.v), m.at
		p.inRange(m, g.value[i], last.has)
	}
	if !hasTol || p.bad != nil {
		return
	}
	p.agreeWithin(&tol, last)
	g.within = p.positive(tol.unit.SI(tol.v), tol.at)
	least := g.value[0]
	for _, v := range g.value[:g.n] {
		least = min(least, v)
	}
	p.narrower(g.within, least, tol.at)
}

// positive refuses a tolerance that is none.
func (p *parser) positive(tol float64, at int) float64 {
	if !(tol > 0 && tol < math.MaxFloat64) {
		p.refuse(at, "a ± of nothing", "leave the ± out, or give half the width of what it may be off by")
	}
	return tol
}

// offBy says what a tolerance is.
const offBy = "the ± is how far off it may be, to either side"

// A tolerance beyond both its reading and these is a slip: nobody misses a whole bag, and no scale for bags is off by so much.
const (
	looseBags = 1
	looseMass = 10 * model.Pound
)

// narrower refuses a tolerance that leaves nothing sure of the least of its readings. A size of nothing is no size; where
// nothing can be, 0 ± 1/8 is an honest count, and a small mass is known no better than its scale.
func (p *parser) narrower(tol, reading float64, at int) {
	if p.bad != nil {
		return
	}
	loose := 0.0
	switch p.form.Unit.Dimension {
	case model.DimCount:
		loose = looseBags
	case model.DimMass:
		loose = looseMass
	}
	switch {
	case !p.form.Zero && tol >= reading:
		p.refuse(at, "a ± that reaches down to zero: a size of nothing is no size", offBy)
	case p.form.Zero && reading > 0 && tol > max(reading, loose):
		p.refuse(at, "a ± larger than the reading itself", offBy)
	}
}

// symbol names the unit as the cell has it.
func (m measure) symbol() string {
	if m.pair {
		if m.unit.Dimension == model.DimMass {
			return "lb oz"
		}
		return "ft in"
	}
	return m.unit.Symbol
}

// agree gives a reading the unit of the last one, or refuses two units.
func (p *parser) agree(m *measure, last measure) {
	switch a, b := m.symbol(), last.symbol(); {
	case !m.has && last.pair:
		p.refuse(m.at, "two ways of writing in one cell", "write every reading in feet and inches, or none")
	case !m.has:
		m.unit = last.unit
	case a == b, a == "ft" && b == "ft in", a == "ft in" && b == "ft", a == "lb" && b == "lb oz", a == "lb oz" && b == "lb":
	case !last.has:
		p.refuse(m.at, "a unit, but none after the last reading", "a unit after the last reading holds for all")
	default:
		p.refuse(m.at, "two units in one cell, "+a+" and "+b, "write all readings in one unit")
	}
}

// agreeWithin gives the tolerance its unit. Feet may have a tolerance in inches.
func (p *parser) agreeWithin(tol *measure, last measure) {
	switch a, b := tol.symbol(), last.symbol(); {
	case !tol.has:
		tol.unit = last.unit
	case a == b, a == "in" && (b == "ft" || b == "ft in"), a == "oz" && (b == "lb" || b == "lb oz"):
	default:
		p.refuse(tol.at, "two units in one cell, "+b+" and "+a, "write the reading and its ± in one unit")
	}
}
