// Package audit puts the findings of many jobs side by side: results per job, crew, section kind
// and month, what was closed and is short, what evidence is missing, what does not look as honest
// work does, and which bays to open.
//
// Summarize makes a small Job of each job's findings, one after the other or many at a time;
// NewBuilder takes these in and Finish makes the Review of them. Of each job only counts, sums,
// some names and hashes are kept, so that a review of thousands of jobs stays small.
//
//	consequence  which bays need somebody, by how grave it is; jobs by the area that is expected to be short
//	summary      what is kept of a job: its Tally and its bays by name
//	group        crews, kinds of section, months and ways of counting, by the models of verify/audit/compare
//	review       the jobs together
//
// What looks unlikely for honest work is found by verify/audit/plausible, the draw of bays to open
// by verify/audit/inspect. None of it is a proof and none moves a verdict.
//
// It is pure: same findings, same review, whatever the order in which the jobs were summarized. It
// imports model, verify, verify/stat, verify/audit/compare, verify/audit/inspect and
// verify/audit/plausible.
package audit
