// Package audit puts the findings of many jobs side by side: results per job, crew, section kind and month, what does
// not look as honest readings do, what evidence is missing, and which bays to open.
//
// It is pure. Of each job it keeps one small summary: counts, sums, some names and hashes. Whatever says "unlikely" is a
// probability under an honest crew that counts as this one did, and all that was looked at is counted when false
// discoveries are held down. It imports model, verify, verify/crew and verify/stat.
package audit
