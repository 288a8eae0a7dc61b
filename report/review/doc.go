// Package review writes the review of many jobs as text for a terminal of 80 columns, as JSON, as
// CSV and as one self-contained HTML page. All are made from the same review; none does arithmetic
// that a verdict could rest on.
//
// AppendText shows what needs the supervisor and the beginnings of long lists. WriteJSON holds
// everything, a job at a time. WriteTable gives one table as CSV, of which the first has the flat
// figures of the JSON document as its columns. AppendHTML writes a page that loads nothing and runs
// nothing but its own script, which sorts, filters and searches: every fact stands there without
// it. NewSince compares with an earlier review's JSON document. Whatever stands in a job's files is
// text there and nothing else: a name goes through screen.Clean to a terminal, through screen.Cell
// into a cell, through html/template into the page.
//
// A review is shown in one system of units, that of its first job. Sentences come from report/say,
// figures from verify/audit.
//
// It imports report, report/say, report/screen, verify, verify/audit, verify/audit/compare,
// verify/audit/inspect, verify/audit/plausible, model and the standard library.
package review
