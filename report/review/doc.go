// Package review writes the review of many jobs as text for a terminal of 80 columns, as JSON, as CSV and as one
// self-contained HTML page. All are made from the same review; none does arithmetic that a verdict could rest on.
//
// It imports report, report/say, report/screen, verify, verify/audit, verify/stat, model and the standard library.
package review
