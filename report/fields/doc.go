// Package fields lists what a job's files may hold: columns, settings, entries, and the codes that results carry, each
// with its meaning; with a job, each setting's value and where it came from. It is the manual that `bayproof fields`
// prints. It imports model, verify, verify/audit, report/say, report/screen and the standard library.
package fields
