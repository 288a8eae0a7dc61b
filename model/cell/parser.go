package cell

import "fmt"

// parser reads one cell by the grammar. The first refusal ends it; what is read after that means nothing.
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

// verdict is the refusal in the words that fit best: where the whole cell looks like something known (a date, a
// decimal comma), that is said instead of where the grammar stopped.
func (p *parser) verdict() *Refusal {
	if why, hint := diagnose(p.scan.s, p.form); why != "" {
		return p.form.refuse(p.scan.s, p.bad.At, why, hint)
	}
	return p.bad
}

// mixed reads a number, a fraction, or a whole number with a fraction; the token ahead must begin it.
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
			p.refuse(p.tok.at, "two numbers side by side", "write one number, or a whole number and a fraction as in 14 1/2")
		}
		return first.v
	}
	return first.v + p.tail(first)
}

// tail reads the fraction after a whole number, with a space or a hyphen between; 0 where there is none.
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
				p.refuse(part.at, "a fraction of 1 or more after a whole number", p.example())
			}
			return v
		}
		if !joined {
			p.refuse(part.at, "two numbers side by side", p.bothReadings(p.text(whole), p.text(part)))
		}
	}
	p.scan, p.tok = back, ahead
	return 0
}

// bothReadings says what two whole numbers side by side could mean.
func (p *parser) bothReadings(a, b string) string {
	if p.form.Unit.Symbol == "ft" {
		return fmt.Sprintf("%s' %s\" for feet and inches, or %s; %s for two readings", a, b, a, b)
	}
	return fmt.Sprintf("write one number, or %s; %s for two readings", a, b)
}

// over reads the slash ahead and the denominator of a fraction.
func (p *parser) over(num token) float64 {
	p.advance()
	den := p.tok
	if !num.whole || den.kind != number || !den.whole {
		p.refuse(den.at, "no fraction", p.example())
		return 0
	}
	p.advance()
	if p.tok.kind == slash {
		p.refuse(p.tok.at, "no fraction", p.example())
	}
	if den.v > 1000 {
		den.v = 0
	}
	return p.fraction(num.v, int(den.v), num.at)
}
