// Package report writes findings as text for a small screen, as JSON and as CSV. All three are made
// from the same findings value; none does arithmetic that a verdict could rest on, and none makes
// sentences: package say does.
//
// Four formats leave this package: the text of `check` and its --summary (text.go,
// glance.go, summary.go), the JSON document (document.go) and the CSV rows (csv.go). The record is
// built in report/record, from the assets held here.
//
// Machine formats carry numbers at full precision in the job's units. Each writer appends to a
// slice, so that a run over many jobs reuses its buffers and prints in order whatever finished
// first.
//
// It imports model, verify, verify/measure, report/say, report/screen and the standard library.
package report
