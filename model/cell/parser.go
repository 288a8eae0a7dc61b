package cell

import (
	"fmt"
	"math"
	"slices"

	"bayproof/model"
)

// parser reads one cell by the grammar that the package's comment shows, a method for each of its
// rules, with one token ahead (recursive descent). The first refusal ends it; what is read after
// that means nothing.
type parser struct {
	form *Form
	scan scanner
	tok  token // the token ahead
	bad  *Refusal
}

// advance moves to the next token.
func (p *parser) advance() { p.tok = p.scan.next() }

// text is the token's own text.
func (p *parser) text(t token) string { return p.scan.s[t.at:t.to] }

// refuse notes the first thing that is wrong.
func (p *parser) refuse(at int, why, hint string) {
	if p.bad == nil {
		p.bad = p.form.refuse(p.scan.s, at, why, hint)
	}
}

// verdict is the refusal in the words that fit best: where the whole cell looks like something
// known (a date, a decimal comma), that is said instead of where the grammar stopped.
func (p *parser) verdict() *Refusal {
	if why, hint := diagnose(p.scan.s, p.form); why != "" {
		return p.form.refuse(p.scan.s, p.bad.At, why, hint)
	}
	return p.bad
}

// mixed reads a number, a fraction, or a whole number with a fraction, and returns its value; the
// token ahead must begin it. 0 where it does not.
func (p *parser) mixed() float64 {
	first := p.tok
	switch {
	case first.kind == vulgar:
		p.advance()
		return p.fraction(first.v, first.den, first.at)
	case first.kind != number:
		p.refuse(first.at, p.absent(first), p.example())
		return 0
	}
	p.advance()
	if p.tok.kind == slash {
		return p.over(first)
	}
	if !first.whole {
		if p.tok.kind == number || p.tok.kind == vulgar {
			p.refuse(p.tok.at, "has two numbers side by side", "write one number, or a whole number and a fraction as in 14 1/2")
		}
		return first.v
	}
	return first.v + p.tail(first)
}

// tail reads the fraction after a whole number, with a space or a hyphen between; 0 where there is
// none. A hyphen with a space on either side is a minus and belongs to whoever reads on (2 - 10.5
// lb), as does a number that no slash follows.
func (p *parser) tail(whole token) float64 {
	back, ahead := p.scan, p.tok
	joined := p.tok.kind == hyphen && !p.tok.gap
	if joined {
		p.advance()
		joined = !p.tok.gap
	}
	part := p.tok
	switch {
	case (joined || ahead.kind != hyphen) && part.kind == vulgar:
		p.advance()
		return p.fraction(part.v, part.den, part.at)
	case (joined || ahead.kind == number) && part.kind == number:
		p.advance()
		if p.tok.kind == slash {
			v := p.over(part)
			if v >= 1 {
				p.refuse(part.at, "has a fraction of 1 or more after a whole number", p.example())
			}
			return v
		}
		// Two whole numbers side by side: no guess, what they may mean is told.
		if !joined {
			hint := fmt.Sprintf("write one number, or %s; %s for two readings", p.text(whole), p.text(part))
			if p.form.Unit.Symbol == "ft" {
				hint = fmt.Sprintf("%s' %s\" for feet and inches, or %[1]s; %[2]s for two readings", p.text(whole), p.text(part))
			}
			p.refuse(part.at, "has two numbers side by side", hint)
		}
	}
	p.scan, p.tok = back, ahead
	return 0
}

// over reads the slash ahead and the denominator of a fraction, and returns its value. Two slashes
// are a date.
func (p *parser) over(num token) float64 {
	p.advance()
	den := p.tok
	if !num.whole || den.kind != number || !den.whole {
		p.refuse(den.at, "has a bad fraction", p.example())
		return 0
	}
	p.advance()
	if p.tok.kind == slash {
		p.refuse(p.tok.at, "has a bad fraction", p.example())
	}
	if den.v > 1000 { // nor would it fit an int
		den.v = 0
	}
	return p.fraction(num.v, int(den.v), num.at)
}

// most is how many readings one cell may hold.
const most = 32

// measure is one number of a cell with the unit that stands behind it. Feet with inches, and pounds
// with ounces, are kept in the smaller unit, in which tapes and scales are exact.
type measure struct {
	v    float64 // in unit; feet with inches are in inches
	unit model.Unit
	has  bool // a unit is written
	pair bool // feet with inches, pounds with ounces
	at   int
}

// group is what a cell of readings comes to.
type group struct {
	values []float64 // SI
	at     []int     // where each begins
	within float64   // SI; NaN where none is written
	unit   string
	said   bool // the unit is written in the cell
}

// group reads a whole cell: readings with ; between, a tolerance after the last, and returns them
// in SI. Where the cell is no good, p.bad says so.
func (f *Form) group(s string) (p parser, g group) {
	p = parser{form: f, scan: scanner{s: s, comma: f.Comma}}
	var ms []measure
	var tol *measure
	p.advance()
	// Each turn reads one measure, and the ± behind it if there is one; that ends the cell.
	for p.bad == nil {
		if len(ms) == most {
			p.refuse(p.tok.at, "has more than 32 values", "keep the ones that count")
			return p, g
		}
		ms = append(ms, p.measure())
		if p.tok.kind == within && p.bad == nil {
			p.advance()
			m := p.measure()
			tol = &m
			if p.tok.kind == semicolon {
				p.refuse(p.tok.at, "has a ± before the last reading", "write one ± after the last reading: it holds for all")
			}
		}
		if p.tok.kind != semicolon {
			break
		}
		p.advance()
	}
	// Whatever is left over has no place in the grammar.
	if p.tok.kind != end {
		p.refuse(p.tok.at, p.unexpected(p.tok), p.example())
	}
	if p.bad == nil {
		g = p.inSI(ms, tol)
	}
	return p, g
}

// inSI finds the one unit of the cell, that of its last reading or of its tolerance, and turns
// everything into SI by it. tol is nil where no tolerance is written.
func (p *parser) inSI(ms []measure, tol *measure) (g group) {
	last := ms[len(ms)-1]
	if tol != nil && !last.has && tol.has {
		if tol.pair {
			p.refuse(tol.at, "mixes two ways of writing", p.example())
		}
		last.unit, last.has = tol.unit, true
	}
	if !last.has {
		last.unit = p.form.Unit
	}
	// A unit behind the ± alone is the readings' too: 14 1/2 ± 1/8 in.
	g.unit, g.said, g.within = last.symbol(), last.has, math.NaN()
	for _, m := range ms {
		p.agree(&m, last)
		si := m.unit.SI(m.v)
		p.inRange(m, si, last.has)
		g.values, g.at = append(g.values, si), append(g.at, m.at)
	}
	if tol == nil || p.bad != nil {
		return g
	}
	p.agreeWithin(tol, last)
	g.within = p.positive(tol.unit.SI(tol.v), tol.at)
	p.narrower(g.within, slices.Min(g.values), tol.at)
	return g
}

// positive refuses a tolerance that is not above 0 or not finite; tol is in SI, and returned.
func (p *parser) positive(tol float64, at int) float64 {
	if !(tol > 0 && tol < math.MaxFloat64) {
		p.refuse(at, "has a ± of nothing", "leave the ± out, or write how far off it may be, to either side")
	}
	return tol
}

// offBy says what a tolerance is.
const offBy = "write how far off it may be, to either side"

// A tolerance beyond both its reading and these, in bags and kg, is a slip: nobody misses a whole
// bag, and no scale for bags is off by so much.
const (
	looseBags = 1
	looseMass = 10 * model.Pound
)

// narrower refuses a tolerance that leaves nothing sure of the least of its readings. A size of
// nothing is no size; where nothing can be, 0 ± 1/8 is an honest count, and a small mass is known
// no better than its scale.
func (p *parser) narrower(tol, reading float64, at int) {
	if p.bad != nil {
		return
	}
	loose := map[model.Dimension]float64{model.DimCount: looseBags, model.DimMass: looseMass}[p.form.Unit.Dimension]
	switch {
	case !p.form.Zero && tol >= reading:
		p.refuse(at, "has a ± as large as the size itself", offBy)
	case p.form.Zero && reading > 0 && tol > max(reading, loose):
		p.refuse(at, "has a ± larger than the reading", offBy)
	}
}

// symbol names the unit as the cell has it. A pair is kept in its smaller unit and named by both.
func (m measure) symbol() string {
	if m.pair {
		if m.unit.Dimension == model.DimMass {
			return "lb oz"
		}
		return "ft in"
	}
	return m.unit.Symbol
}

// agree gives a reading the unit of the last one, or refuses two units. Feet may stand beside feet
// and inches, pounds beside pounds and ounces: that is one way of writing.
func (p *parser) agree(m *measure, last measure) {
	switch a, b := m.symbol(), last.symbol(); {
	case !m.has && last.pair:
		p.refuse(m.at, "mixes two ways of writing", "write every reading in feet and inches, or none")
	case !m.has:
		m.unit = last.unit
	case a == b, a == "ft" && b == "ft in", a == "ft in" && b == "ft", a == "lb" && b == "lb oz", a == "lb oz" && b == "lb":
	case !last.has:
		p.refuse(m.at, "has a unit, but none after the last reading", "put the unit after the last reading: it holds for all")
	default:
		p.refuse(m.at, "has two units, "+a+" and "+b, "write all readings in one unit")
	}
}

// agreeWithin gives the tolerance its unit. Feet may have a tolerance in inches.
func (p *parser) agreeWithin(tol *measure, last measure) {
	switch a, b := tol.symbol(), last.symbol(); {
	case !tol.has:
		tol.unit = last.unit
	case a == b, a == "in" && (b == "ft" || b == "ft in"), a == "oz" && (b == "lb" || b == "lb oz"):
	default:
		p.refuse(tol.at, "has two units, "+b+" and "+a, "write the reading and its ± in one unit")
	}
}

// measure reads one number with its unit: 14 1/2, 14.5 in, 12' 6 1/2", 14 lb 8 oz.
func (p *parser) measure() measure {
	m := measure{at: p.tok.at}
	// A minus is read, so that the number behind it can be shown, and refused then: nothing here is
	// below 0.
	minus := p.tok.kind == hyphen
	if minus {
		p.advance()
	}
	m.v = p.mixed()
	p.unit(&m)
	if minus {
		p.refuse(m.at, "is negative", p.form.least())
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

// unitWord reads a unit of up to three words (in of water): the longest that is known. What comes
// after it is left ahead.
func (p *parser) unitWord() (model.Unit, bool) {
	from := p.tok
	u, ok := model.LookupUnit(p.text(from))
	switch from.kind { // foot and inch marks in all their spellings
	case foot:
		u, ok = model.LookupUnit("'")
	case inch:
		u, ok = model.LookupUnit(`"`)
	}
	p.advance()
	// Words are joined as long as they make a unit; else the parser stands where the last unit
	// ended.
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
		p.refuse(from.at, fmt.Sprintf("has %s, which is no unit", p.text(from)), p.units())
	}
	return u, ok
}

// fits refuses a unit of another kind than the column's: a weight in a column of lengths is in the
// wrong column.
func (p *parser) fits(m *measure) {
	want := p.form.Unit.Dimension
	if !m.has || m.unit.Dimension == want {
		return
	}
	if want == model.DimCount {
		p.refuse(m.at, fmt.Sprintf("has %s, a unit of %s, and a count has none", m.unit.Symbol, m.unit.Dimension), p.units())
		return
	}
	p.refuse(m.at, fmt.Sprintf("has %s, a unit of %s, not of %s", m.unit.Symbol, m.unit.Dimension, want), p.units())
}

// smaller reads the inches after feet or the ounces after pounds. Without a mark of their own they
// must be fewer than make up the larger unit; with one too, since 12' 14" is more likely a slip
// than a length.
func (p *parser) smaller(m *measure, symbol string, ratio float64) {
	back, ahead := p.scan, p.tok
	if p.tok.kind == hyphen {
		p.advance()
	}
	if p.tok.kind != number && p.tok.kind != vulgar {
		p.scan, p.tok = back, ahead
		return
	}
	// An apostrophe stands between thousands in some countries: 1'000 is not 1 ft 0 in.
	large, at := m.v, p.tok.at
	if p.tok.whole && p.tok.to-p.tok.at > 2 {
		p.refuse(at, "has an apostrophe between thousands, or feet and too many inches", "write 1000 in as the digits alone, feet and inches as 12' 6\"")
	}
	v := p.mixed()
	if p.tok.kind == inch || p.tok.kind == word || p.tok.kind == foot {
		if u, _ := p.unitWord(); u.Symbol != symbol && p.bad == nil {
			p.refuse(at, fmt.Sprintf("has %s after %s", u.Symbol, m.unit.Symbol), p.example())
		}
	} else if symbol == "oz" {
		p.refuse(at, "has two numbers one after the other", "write 14 lb 8 oz or 14.5 lb")
	}
	// What is left of the larger unit is told in one way only: 12.5' 6" and 12' 14" are slips.
	whole := large == float64(int64(large))
	switch {
	case !whole:
		p.refuse(at, fmt.Sprintf("has part of a %s, and %s after it", m.unit.Symbol, symbol), p.example())
	case v >= ratio:
		hint := fmt.Sprintf("write %s %s %s %s", FormatNumber(large+math.Floor(v/ratio)), m.unit.Symbol, FormatNumber(math.Mod(v, ratio)), symbol)
		p.refuse(at, fmt.Sprintf("has %s %s after the %s: it must be below %g", FormatNumber(v), symbol, m.unit.Symbol, ratio), hint)
	}
	m.unit, _ = model.LookupUnit(symbol)
	m.v, m.pair = large*ratio+v, true
}

// fraction checks and divides, num/den. A tape has halves to sixty-fourths; a tenth of a foot is on
// a surveyor's tape, but a spreadsheet rounds fractions to tenths too, so it must be written as a
// decimal. Bags are also told apart by thirds. 0 for a denominator of 0.
func (p *parser) fraction(num float64, den, at int) float64 {
	switch {
	case den == 0:
		p.refuse(at, "has a bad fraction", p.example())
		return 0
	case !p.known(den) && p.form.Unit.Dimension == model.DimCount:
		p.refuse(at, fmt.Sprintf("is in %s, and nobody can tell those apart on a bag", parts(den)), p.decimalHint(num, den))
	case !p.known(den) && p.form.Unit.Dimension == model.DimLength:
		p.refuse(at, fmt.Sprintf("is in %s, which no tape has: a spreadsheet rounds 2 3/16 to 2 1/5", parts(den)), "check the tape again, format the column as text, or write a decimal")
	case !p.known(den):
		p.refuse(at, fmt.Sprintf("is in %s: a spreadsheet rounds fractions that way", parts(den)), p.decimalHint(num, den))
	case num > float64(den) && num >= 10:
		p.refuse(at, "has a fraction over 1, which is easy to misread", fmt.Sprintf("write %s, or leave a space after the whole number", FormatNumber(num/float64(den))))
	}
	return num / float64(den)
}

// known tells whether a denominator can be honest: one that a tape has, and the thirds by which a
// bag is told apart.
func (p *parser) known(den int) bool {
	if den == 3 {
		return p.form.Unit.Dimension == model.DimCount
	}
	return den >= 1 && den <= 64 && den&(den-1) == 0
}

// decimalHint asks for the decimal, which a spreadsheet leaves as it is.
func (p *parser) decimalHint(num float64, den int) string {
	return fmt.Sprintf("format the column as text, or write a decimal: %.4g", num/float64(den))
}

// parts names a denominator.
func parts(den int) string {
	names := map[int]string{3: "thirds", 5: "fifths", 6: "sixths", 7: "sevenths", 9: "ninths", 10: "tenths", 12: "twelfths", 100: "hundredths"}
	if name := names[den]; name != "" {
		return name
	}
	return fmt.Sprintf("%dths", den)
}
