package cell

import (
	"fmt"

	"bayproof/model"
)

// fraction checks and divides. A tape has halves to sixty-fourths; a tenth of a foot is on a surveyor's tape, but a
// spreadsheet rounds fractions to tenths too, so it must be written as a decimal. Bags are also told apart by thirds.
func (p *parser) fraction(num float64, den, at int) float64 {
	switch {
	case den == 0:
		p.refuse(at, "no fraction", p.example())
		return 0
	case !p.known(den) && p.form.Unit.Dimension == model.DimCount:
		p.refuse(at, fmt.Sprintf("nobody tells a bag apart by %s", parts(den)), p.decimalHint(num, den))
	case !p.known(den) && p.form.Unit.Dimension == model.DimLength:
		p.refuse(at, fmt.Sprintf("no tape has %s: a spreadsheet rounds 2 3/16 to 2 1/5", parts(den)), "look at the tape again, format the column as text, or write a decimal")
	case !p.known(den):
		p.refuse(at, fmt.Sprintf("a fraction in %s: a spreadsheet rounds fractions so", parts(den)), p.decimalHint(num, den))
	case num > float64(den) && num >= 10:
		p.refuse(at, "a fraction over 1 can be misread", fmt.Sprintf("write %s, or leave a space after the whole number", FormatNumber(num/float64(den))))
	}
	return num / float64(den)
}

// known tells whether a denominator can be honest.
func (p *parser) known(den int) bool {
	if den == 3 {
		return p.form.Unit.Dimension == model.DimCount
	}
	return den >= 1 && den <= 64 && den&(den-1) == 0
}

// decimalHint asks for the decimal.
func (p *parser) decimalHint(num float64, den int) string {
	return fmt.Sprintf("format the column as text, or write a decimal: %.4g", num/float64(den))
}

// parts names a denominator.
func parts(den int) string {
	switch den {
	case 3:
		return "thirds"
	case 5:
		return "fifths"
	case 6:
		return "sixths"
	case 7:
		return "sevenths"
	case 9:
		return "ninths"
	case 10:
		return "tenths"
	case 12:
		return "twelfths"
	case 100:
		return "hundredths"
	}
	return fmt.Sprintf("%dths", den)
}
