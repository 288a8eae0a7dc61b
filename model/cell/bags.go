package cell

import (
	"math"
	"strings"

	"bayproof/model"
)

// Bags reads a count of bags or a counter: `1 3/4`, `1 + 14.5 lb`, `2 - 10.5 lb`, `1 ± 1/8`,
// `shared`. An empty cell leaves MaterialNone. Otherwise Kind is set to kind, Raw to the cell, Bags
// to the number of bags and Part to the mass of the part bag in kg, below 0 for what was left over.
// Within, the cell's own ±, is in kg where there is a part by weight, else in bags; NaN where there
// is none.
//
// A part by weight is refused in a counter: its readings are subtracted from each other, and a part
// of the reading before would have to be known with it. A refused cell leaves m empty.
func (f *Form) Bags(s string, kind model.MaterialKind, m *model.Material) *Refusal {
	m.Within = math.NaN()
	if v, ok := f.plain(s); ok {
		m.Kind, m.Bags, m.Raw = kind, v, s
		return nil
	}
	if Blank(s) {
		m.Kind = model.MaterialNone
		return nil
	}
	m.Kind, m.Raw = kind, s
	if isShared(s) {
		m.Shared = true
		return nil
	}
	p := parser{form: f, scan: scanner{s: s, comma: f.Comma}}
	p.bags(m)
	if kind == model.MaterialCounter && m.Part != 0 {
		p.refuse(0, "has a part by weight, and a counter has none", "write the counter as a number, 12.5; part bags by weight go in the column bags")
	}
	if p.bad != nil {
		*m = model.Material{Within: math.NaN()}
		return p.verdict()
	}
	return nil
}

// isShared tells whether a cell says that what it counts is the next bay's too.
func isShared(s string) bool { return strings.EqualFold(strings.Trim(spaced(s), " "), "shared") }

// bags reads the whole cell: the rule of the same name in the grammar.
func (p *parser) bags(m *model.Material) {
	p.advance()
	count := measure{at: p.tok.at}
	if p.tok.kind == hyphen {
		p.refuse(p.tok.at, "is negative", "write 0 or more; for material that came out use lost")
	}
	count.v = p.mixed()
	p.bagWord()
	switch {
	case p.tok.kind == within:
		p.advance()
		at := p.tok.at
		m.Within = p.positive(p.mixed(), at)
		p.narrower(m.Within, count.v, at)
		p.bagWord()
	case p.tok.kind == plus, p.tok.kind == hyphen:
		p.part(m, count)
	}
	if p.tok.kind != end {
		p.refuse(p.tok.at, p.unexpected(p.tok), "write 1.75, 1 3/4, 1 + 14.5 lb or 2 - 10.5 lb")
	}
	count.unit = p.form.Unit
	p.inRange(count, count.v, true)
	m.Bags = count.v
}

// bagWord passes the word bags, and refuses a unit.
func (p *parser) bagWord() {
	if p.tok.kind != word && p.tok.kind != foot && p.tok.kind != inch && p.tok.kind != percent {
		return
	}
	switch strings.ToLower(p.text(p.tok)) {
	case "bag", "bags":
		p.advance()
		return
	}
	if u, ok := model.LookupUnit(p.text(p.tok)); ok && u.Dimension == model.DimMass {
		p.refuse(p.tok.at, "is a weight in a column of bags", "say it in weight, or write 0 + "+strings.Trim(spaced(p.scan.s), " "))
		return
	}
	p.refuse(p.tok.at, "has "+p.text(p.tok)+", and a count of bags has no unit", "write 1.75, 1 3/4, 1 + 14.5 lb or 2 - 10.5 lb")
}

// heaviestPart is the most that a part of a bag can weigh, in kg.
const heaviestPart = 60

// part reads a part bag by weight: + 14.5 lb in the hopper, or - 10.5 lb left over. Before it stand
// whole bags: a bag that was opened is told either by eye or by weight. It is a mass, so that its ±
// is one too.
func (p *parser) part(m *model.Material, count measure) {
	sign := p.tok
	const ways = "weigh the part bag and write 1 + 14.5 lb or 2 - 10.5 lb, or give the count as 1 3/4"
	if sign.kind == hyphen && !sign.gap {
		p.refuse(sign.at, "has a hyphen that joins no whole number and fraction", "put a space before the minus: 2 - 10.5 lb")
	}
	if count.v != math.Trunc(count.v) {
		p.refuse(count.at, "has one part by eye and another by weight", ways)
	}
	weights := Form{Name: p.form.Name, Unit: model.US.Unit(model.ShowMass), Comma: p.form.Comma, Zero: true, Max: heaviestPart}
	// The rest of the cell is a mass, with the units, limits and hints of one.
	outer := p.form
	p.form = &weights
	p.advance()
	part := p.measure()
	if !part.has {
		p.refuse(part.at, "has a part with no unit", ways)
	}
	kg := part.unit.SI(part.v)
	p.inRange(part, kg, true)
	if p.tok.kind == within && p.bad == nil {
		p.advance()
		tol := p.measure()
		p.agreeWithin(&tol, part)
		m.Within = p.positive(tol.unit.SI(tol.v), tol.at)
		p.narrower(m.Within, kg, tol.at)
	}
	p.form = outer
	if sign.kind == hyphen {
		kg = -kg
		if count.v == 0 && kg < 0 {
			p.refuse(sign.at, "is less than nothing", ways)
		}
	}
	m.Part = kg
}

// Weight reads a weighed mass in kg into m; an empty cell, or a refused one, leaves MaterialNone.
func (f *Form) Weight(s string, m *model.Material) *Refusal {
	a, bad := f.Amount(s)
	m.Kind, m.Within = model.MaterialNone, math.NaN()
	if bad != nil || math.IsNaN(a.Value) {
		return bad
	}
	m.Kind, m.Mass, m.Within, m.Raw = model.MaterialWeight, a.Value, a.Within, s
	return nil
}
