// What is said of a cell that was refused: where the grammar stopped, or what well-known slip
// stands in it (a date that was a fraction, a decimal comma), and what would be accepted.

package cell

import (
	"fmt"
	"regexp"
	"strings"
	"sync"
	"unicode/utf8"

	"bayproof/model"
)

// refuse makes a refusal that names the column and shows the cell. The examples of its hint get the
// file's decimal mark.
func (f *Form) refuse(s string, at int, why, hint string) *Refusal {
	b := []byte(hint)
	for i := 1; f.Comma && i+1 < len(b); i++ {
		if b[i] == '.' && b[i-1]-'0' <= 9 && b[i+1]-'0' <= 9 {
			b[i] = ','
		}
	}
	return refuse(f.Name, s, at, why, string(b))
}

// refuse makes a refusal: "width 2-Mar is a date, not a number". What is wrong is what the cell is
// or has.
func refuse(name, s string, at int, why, hint string) *Refusal {
	what := show(s) + " " + why
	if name != "" {
		what = name + " " + what
	}
	return &Refusal{What: what, Hint: hint, At: at}
}

// show makes a cell fit for a message: one line, 40 characters at most, no control characters that
// a terminal would obey.
func show(s string) string {
	var b strings.Builder
	n := 0
	for _, r := range strings.TrimSpace(s) {
		if n++; n > 40 {
			b.WriteString("…")
			break
		}
		if r < ' ' || r == 127 || r == utf8.RuneError {
			r = '?'
		}
		b.WriteRune(r)
	}
	return b.String()
}

// absent says that a number is missing where t stands.
func (p *parser) absent(t token) string {
	switch t.kind {
	case semicolon, foot, inch, within, percent, slash:
		return "needs a number before " + p.text(t)
	}
	return p.unexpected(t)
}

// misplaced says what a token is where the grammar cannot use it; words and the rest are shown
// themselves.
var misplaced = map[kind]string{
	end: "needs a number", hyphen: "has a hyphen that joins no whole number and fraction",
	number: "has two numbers side by side", vulgar: "has two numbers side by side", semicolon: "has a ; in the wrong place",
	foot: "has a foot mark in the wrong place", inch: "has an inch mark in the wrong place", plus: "has a + in the wrong place", within: "has a second ±",
}

// unexpected says what stands where the grammar cannot use it.
func (p *parser) unexpected(t token) string {
	if said, ok := misplaced[t.kind]; ok {
		return said
	}
	if text := p.text(t); t.kind != word || text != strings.Trim(spaced(p.scan.s), " ") {
		return "has " + text + ", which is no part of a number"
	}
	return "is not a number"
}

// example shows what the column accepts.
func (p *parser) example() string {
	switch u := p.form.Unit; u.Dimension {
	case model.DimLength:
		switch u.Factor {
		case model.Foot:
			return `write 12.5, 12' 6 1/2", 12 ft 6 1/2 in, or with a unit 150 in, 3.8 m`
		case model.Inch:
			return "write 14.5, 14 1/2, 14-1/2, or with a unit 14 1/2 in, 368 mm"
		}
		return "write the number of " + u.Symbol + ", or with a unit 368 mm, 14 1/2 in, 12' 6 1/2\""
	case model.DimMass:
		return "write 14.5, 14 1/2, or with a unit 14.5 lb, 6.6 kg"
	case model.DimShare:
		return "write a number up to 1 as 0.95, or a percentage as 95 %"
	case model.DimRValue:
		return "write the number alone, as 21"
	case model.DimCount:
		return "write 1.75, 1 3/4 or 1-3/4"
	default:
		return "write a number as 3.5, or with a unit 3.5 " + u.Symbol
	}
}

// units lists the units that a column knows.
func (p *parser) units() string {
	if len(unitsOf(p.form.Unit)) == 0 {
		return p.example()
	}
	return "write " + anyOf(unitsOf(p.form.Unit))
}

// anyOf lists words of which one will do.
func anyOf(words []string) string {
	last := len(words) - 1
	if last < 1 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:last], ", ") + " or " + words[last]
}

// unitsOf lists the units of a unit's kind that are proposed, those of its own system first.
func unitsOf(u model.Unit) []string {
	if u.Dimension == model.DimLength && u.Factor != model.Inch && u.Factor != model.Foot {
		return []string{"mm", "cm", "m", "in", "ft"}
	}
	return map[model.Dimension][]string{
		model.DimLength: {"in", "ft", "mm", "cm", "m"}, model.DimArea: {"ft2", "m2"}, model.DimVolume: {"ft3", "m3", "in3", "cm3", "L"},
		model.DimMass: {"lb", "oz", "kg", "g"}, model.DimDensity: {"lb/ft3", "kg/m3"}, model.DimPressure: {"in of water", "Pa"},
		model.DimFlow: {"cfm", "m3/h", "L/s"}, model.DimShare: {"%"},
	}[u.Dimension]
}

// diagnose knows what often stands in a cell that is no measurement, and says so better than a
// grammar can. It is asked only about cells that were refused.
func diagnose(s string, f *Form) (why, hint string) {
	// What people and spreadsheets write for nothing: an empty cell says it without a doubt.
	t := strings.ToLower(strings.Trim(spaced(s), " "))
	switch strings.Trim(t, "+-") {
	case "nan", "inf", "infinity", "n/a", "na", "none", "null", "?", "x", "tbd":
		return "is not a number", "write what you measured, or leave the cell empty"
	}
	for _, c := range complaints() {
		if c.marks == pointFiles && f.Comma || c.marks == commaFiles && !f.Comma {
			continue
		}
		if m := c.pattern.FindStringSubmatch(t); m != nil {
			return c.why, c.hint(m)
		}
	}
	return "", ""
}

// complaint is one well-known slip.
type complaint struct {
	pattern *regexp.Regexp // over the lower-case text
	marks   marks
	why     string
	hint    func(m []string) string
}

// marks says in which files a complaint holds.
type marks uint8

const (
	anyFiles marks = iota
	pointFiles
	commaFiles
)

// complaints lists the slips, the surest first. The patterns are compiled when the first bad cell
// needs them: most runs have none.
var complaints = sync.OnceValue(func() []complaint {
	const (
		months = `(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*`
		asText = "format the column as text and type it again: a spreadsheet turned a fraction into a date"
	)
	re := regexp.MustCompile
	say := func(s string) func([]string) string { return func([]string) string { return s } }
	return []complaint{
		{re(`[\n\r]`), anyFiles, "has a line break", say("write the cell on one line; is a quote left open?")},
		{re(`^=`), anyFiles, "is a formula, not a number", say("write the number itself")},
		{re(`^#`), anyFiles, "is a spreadsheet's error, not a number", say("write the number itself")},
		{re(`^(\d{1,2})[-. /]` + months + `$|^` + months + `[-. /](\d{1,2})$`), anyFiles, "is a date, not a number", dateHint},
		{re(`^\d{1,2}[-. /]` + months + `[-. /,]+\d{2,4}$|^` + months + `[-. /]\d{1,2},? \d{2,4}$`), anyFiles, "is a date, not a number", say(asText)},
		{re(`^\d{1,2}/\d{1,2}/\d{2,4}\b|^\d{4}-\d{1,2}-\d{1,2}|^\d{1,2}\.\d{1,2}\.\d{2,4}$`), anyFiles, "is a date, not a number", say(asText)},
		{re(`^[-+]?0x`), anyFiles, "is a hexadecimal number", say("write a decimal number as 14.5")},
		{re(`\d_\d`), anyFiles, "has an underscore", say("write the digits alone")},
		{re(`^(\d{1,3}(?:,\d{3})+)(\.\d+)?\D*$`), pointFiles, "has a comma between thousands", func(m []string) string {
			return "write " + strings.ReplaceAll(m[1], ",", "") + m[2] + ", with no comma"
		}},
		{re(`^(\d*),(\d+)\D*$`), pointFiles, "has a decimal comma, and this file uses the point", func(m []string) string {
			return fmt.Sprintf("write %s.%s, or save the file with semicolons between its cells", m[1], m[2])
		}},
		{re(`\d,`), pointFiles, "has a comma", say("write ; between readings, and a point before decimals")},
		{re(`\d\.\d{3}\b`), commaFiles, "has a point, and this file uses the decimal comma", say("write the number with a comma for its decimals and nothing between thousands")},
		{re(`\d\.\d`), commaFiles, "has a decimal point, and this file uses the comma", say("write all numbers of a file with one decimal mark")},
	}
})

// dateHint guesses the fraction behind a date of a day and a month: 8-Mar was 3/8.
func dateHint(m []string) string {
	const asText = "format the column as text"
	var month int
	for i, name := range strings.Fields("jan feb mar apr may jun jul aug sep oct nov dec") {
		if strings.Contains(m[0], name) {
			month = i + 1
		}
	}
	var day int
	fmt.Sscan(m[1]+m[2], &day)
	// 3/8 is 8-Mar to one spreadsheet and 3-Aug to another; the larger of the two is the
	// denominator.
	lo, hi := min(day, month), max(day, month)
	if lo >= 1 && lo < hi && hi <= 64 && hi&(hi-1) == 0 {
		return fmt.Sprintf("%s, and write %s if you typed %d/%d: a spreadsheet turned a fraction into a date", asText, FormatNumber(float64(lo)/float64(hi)), lo, hi)
	}
	return asText + " and type it again: a spreadsheet turned a fraction into a date"
}
