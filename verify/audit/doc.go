// Package audit puts the findings of many jobs side by side: results per job, crew, section kind and month, what does
// not look as honest readings do, what evidence is missing, and which bays to open.
//
// Summarize makes a small Job of each job's findings, one after the other or many at a time; NewBuilder takes these in and
// Finish makes the Review of them. Of each job only counts, sums, some names and hashes are kept.
//
// Whatever says "unlikely" is a probability p under an honest crew that counts as this one did. It is had in four ways:
// by replaying the job's counts (replay.go), by the bits that equal rows tell (copies.go), by the other crews' rates
// (habits.go), and by plain tests: chi-square of last digits, normal deviates of sums of bags. All that was looked at is
// counted when false discoveries are held down, also what showed nothing; a finding is what is left. None is a proof, none
// moves a verdict, and each names what would settle it (Codes).
//
// It is pure: same findings, same review, whatever the order in which the jobs were summarized. It imports model, verify,
// verify/stat, verify/audit/compare, verify/audit/inspect and verify/audit/plausible.
package audit
