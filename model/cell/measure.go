package cell

import (
	"fmt"
	"math"

	"bayproof/model"
)

// measure reads one number with its unit: 14 1/2, 14.5 in, 12' 6 1/2", 14 lb 8 oz.
func (p *parser) measure() measure {
	m := measure{at: p.tok.at}
	minus := p.tok.kind == hyphen
	if minus {
		p.advance()
	}
	m.v = p.mixed()
	p.unit(&m)
	if minus {
		p.refuse(m.at, "negative", p.form.least())
	}
	return m
}

// unit reads the unit ahead, and the inches after feet or the ounces after pounds.
func (p *parser) unit(m *measure) {
	switch p.tok.kind {
	case foot, inch, percent, word:
		m.at = p.tok.at
		m.unit, m.has = p.unitWord()
		p.fits(m)
	default:
		return
	}
	switch m.unit.Symbol {
	case "ft":
		p.smaller(m, "in", 12)
	case "lb":
		p.smaller(m, "oz", 16)
	}
}

// unitWord reads a unit of up to three words (in of water).
func (p *parser) unitWord() (model.Unit, bool) {
	from := p.tok
	u, ok := model.LookupUnit(p.text(from))
	switch from.kind { // all its spellings
	case foot:
		u, ok = model.LookupUnit("'")
	case inch:
		u, ok = model.LookupUnit(`"`)
	}
	p.advance()
	back, ahead := p.scan, p.tok
	for range 2 {
		if p.tok.kind != word {
			break
		}
		to := p.tok.to
		p.advance()
		if longer, yes := model.LookupUnit(spaced(p.scan.s[from.at:to])); yes {
			u, ok = longer, true
			back, ahead = p.scan, p.tok
		}
	}
	p.scan, p.tok = back, ahead
	if !ok {
		p.refuse(from.at, fmt.Sprintf("%s is no unit that is known", p.text(from)), p.units())
	}
	return u, ok
}

// fits refuses a unit of another kind than the column's.
func (p *parser) fits(m *measure) {
	want := p.form.Unit.Dimension
	if !m.has || m.unit.Dimension == want {
		return
	}
	if want == model.DimCount {
		p.refuse(m.at, fmt.Sprintf("a plain number has no unit, and %s is one of %s", m.unit.Symbol, m.unit.Dimension), p.units())
		return
	}
	p.refuse(m.at, fmt.Sprintf("%s is a unit of %s, not of %s", m.unit.Symbol, m.unit.Dimension, want), p.units())
}

// smaller reads the inches after feet or the ounces after pounds. Without a mark of their own they must be fewer than
// make up the larger unit; with one too, since 12' 14" is more likely a slip than a length.
func (p *parser) smaller(m *measure, symbol string, ratio float64) {
	back, ahead := p.scan, p.tok
	if p.tok.kind == hyphen {
		p.advance()
	}
	if p.tok.kind != number && p.tok.kind != vulgar {
		p.scan, p.tok = back, ahead
		return
	}
	large, at := m.v, p.tok.at
	if p.tok.whole && p.tok.to-p.tok.at > 2 {
		p.refuse(at, "an apostrophe between thousands, or feet and too many inches", "write 1000 in as the digits alone, feet and inches as 12' 6\"")
	}
	v := p.mixed()
	if p.tok.kind == inch || p.tok.kind == word || p.tok.kind == foot {
		if u, _ := p.unitWord(); u.Symbol != symbol && p.bad == nil {
			p.refuse(at, fmt.Sprintf("%s after %s", u.Symbol, m.unit.Symbol), p.example())
		}
	} else if symbol == "oz" {
		p.refuse(at, "two numbers after one another", "write 14 lb 8 oz or 14.5 lb")
	}
	whole := large == float64(int64(large))
	switch {
	case !whole:
		p.refuse(at, fmt.Sprintf("a part of a %s, and %s after it", m.unit.Symbol, symbol), p.example())
	case v >= ratio:
		hint := fmt.Sprintf("%s %s %s %s?", FormatNumber(large+math.Floor(v/ratio)), m.unit.Symbol, FormatNumber(math.Mod(v, ratio)), symbol)
		p.refuse(at, fmt.Sprintf("%s %s after the %s: it must be below %g", FormatNumber(v), symbol, m.unit.Symbol, ratio), hint)
	}
	m.unit, _ = model.LookupUnit(symbol)
	m.v, m.pair = large*ratio+v, true
}
