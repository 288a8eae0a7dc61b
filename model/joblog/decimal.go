package joblog

import (
	"bayproof/model"
)

// decimalComma tells whether a comma is the decimal mark: in a semicolon or tab file, where numbers have commas and none
// has a point. Where both stand, which one is meant nobody knows.
func (p *logPlan) decimalComma(text lines, s *sheet, f *faultList) bool {
	return tableComma(text, s, f, func(field int) bool {
		k := p.kind[field]
		return k >= colSize && k <= colHole || k == colAt
	})
}

// tableComma looks for decimal commas and points in the numeric columns of a sheet.
func tableComma(text lines, s *sheet, f *faultList, numeric func(field int) bool) bool {
	if s.cut.sep == ',' {
		return false
	}
	var comma, point model.Source
	var commaCell, pointCell string
	var row []string
	for {
		line, ok := text.next()
		if !ok {
			break
		}
		row, _ = s.cut.cut(line, row[:0])
		for i, c := range row {
			if i >= len(s.cols) || !numeric(i) {
				continue
			}
			if comma.Line == 0 && between(c, ',') {
				comma, commaCell = model.Source{File: s.file, Line: text.n, Col: i + 1}, c
			}
			if point.Line == 0 && between(c, '.') {
				point, pointCell = model.Source{File: s.file, Line: text.n, Col: i + 1}, c
			}
		}
	}
	if comma.Line > 0 && point.Line > 0 {
		f.addf(comma, "use one decimal mark in the whole file", "%s has a decimal comma, and %s on line %d a decimal point", commaCell, pointCell, point.Line)
	}
	return comma.Line > 0
}

// between tells whether the mark stands between two digits.
func between(s string, mark byte) bool {
	for i := 1; i+1 < len(s); i++ {
		if s[i] == mark && digit(s[i-1]) && digit(s[i+1]) {
			return true
		}
	}
	return false
}

func digit(c byte) bool { return c >= '0' && c <= '9' }
