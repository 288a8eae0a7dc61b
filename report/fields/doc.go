// Package fields lists what a job's files may hold: columns, settings, entries, and the codes that
// results carry, each with its meaning; with a job, each setting's value and where it came from. It
// is the manual that `bayproof fields` prints, and with --constants the table of what figures rest
// on besides the files. It imports model, verify, verify/audit/plausible, verify/plan, report,
// report/say, report/screen and the standard library.
package fields
