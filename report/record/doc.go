// Package record writes the QA record: findings become one HTML file that stands on its own. Nothing in it leaves the
// page, all facts are there where scripts are blocked, and it carries what it takes to compute everything again: the raw
// files, the findings as JSON, and one digest over the whole.
//
// It decides nothing. Numbers come from the findings; what is worked out here only places ink: scales, bins, the lengths
// of bars. It imports report, report/say, verify, verify/measure, model, go-echarts, golang.org/x/image and the standard
// library. It opens no file and reads no clock: the same input gives the same bytes.
package record
