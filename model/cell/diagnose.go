package cell

import (
	"fmt"
	"regexp"
	"strings"
	"sync"
)

// diagnose knows what often stands in a cell that is no measurement, and says so better than a grammar can. It is
// asked only about cells that were refused.
func diagnose(s string, f *Form) (why, hint string) {
	t := strings.ToLower(strings.Trim(spaced(s), " "))
	switch strings.Trim(t, "+-") {
	case "nan", "inf", "infinity", "n/a", "na", "none", "null", "?", "x", "tbd":
		return "not a number", "write what was measured, or leave the cell empty"
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

// complaints lists the slips, the surest first. The patterns are compiled when the first bad cell needs them: most
// runs have none.
var complaints = sync.OnceValue(func() []complaint {
	const (
		months = `(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*`
		asText = "a spreadsheet turns a fraction into a date: format the column as text and type it again"
	)
	re := regexp.MustCompile
	say := func(s string) func([]string) string { return func([]string) string { return s } }
	return []complaint{
		{re(`[\n\r]`), anyFiles, "a line break inside the cell", say("a quote may be missing its end")},
		{re(`^=`), anyFiles, "a formula, not a number", say("write the number itself")},
		{re(`^#`), anyFiles, "a spreadsheet's error, not a number", say("write the number itself")},
		{re(`^(\d{1,2})[-. /]` + months + `$|^` + months + `[-. /](\d{1,2})$`), anyFiles, "a date, not a number", dateHint},
		{re(`^\d{1,2}[-. /]` + months + `[-. /,]+\d{2,4}$|^` + months + `[-. /]\d{1,2},? \d{2,4}$`), anyFiles, "a date, not a number", say(asText)},
		{re(`^\d{1,2}/\d{1,2}/\d{2,4}\b|^\d{4}-\d{1,2}-\d{1,2}|^\d{1,2}\.\d{1,2}\.\d{2,4}$`), anyFiles, "a date, not a number", say(asText)},
		{re(`^[-+]?0x`), anyFiles, "a hexadecimal number", say("write a decimal number as 14.5")},
		{re(`\d_\d`), anyFiles, "an underscore inside a number", say("write the digits alone")},
		{re(`^(\d{1,3}(?:,\d{3})+)(\.\d+)?\D*$`), pointFiles, "a comma between thousands", func(m []string) string {
			return "write " + strings.ReplaceAll(m[1], ",", "") + m[2] + ", with no comma"
		}},
		{re(`^(\d*),(\d+)\D*$`), pointFiles, "a decimal comma in a file whose decimal mark is the point", func(m []string) string {
			return fmt.Sprintf("write %s.%s, or save the file with semicolons between its cells", m[1], m[2])
		}},
		{re(`\d,`), pointFiles, "a comma inside the cell", say("several readings have ; between them; the decimal mark is the point")},
		{re(`\d\.\d{3}\b`), commaFiles, "a point in a file whose decimal mark is the comma", say("write the number with a comma for its decimals and nothing between thousands")},
		{re(`\d\.\d`), commaFiles, "a decimal point in a file whose decimal mark is the comma", say("write all numbers of a file with one decimal mark")},
	}
})

// dateHint guesses the fraction behind a date of a day and a month: 8-Mar was 3/8.
func dateHint(m []string) string {
	const asText = "a spreadsheet turns a fraction into a date: format the column as text"
	var month int
	for i, name := range strings.Fields("jan feb mar apr may jun jul aug sep oct nov dec") {
		if strings.Contains(m[0], name) {
			month = i + 1
		}
	}
	var day int
	fmt.Sscan(m[1]+m[2], &day)
	lo, hi := min(day, month), max(day, month)
	if lo >= 1 && lo < hi && hi <= 64 && hi&(hi-1) == 0 {
		return fmt.Sprintf("%s; if %d/%d was typed, write %s", asText, lo, hi, FormatNumber(float64(lo)/float64(hi)))
	}
	return asText + " and type it again"
}
