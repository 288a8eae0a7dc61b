// Package plausible sets jobs against each other and says what does not look as honest work does.
//
// Of keeps of a job's findings what is needed, a few hundred bytes and a key a row; a Table takes
// them in one by one, and Find returns what was found.
//
// # What "unlikely" means
//
// Every test is of the hypothesis that a crew is honest and counts as this one did, and gives a
// p-value: under that hypothesis p ≤ x happens with a chance of at most x, whatever x. They come in
// four ways:
//
//   - a likelihood ratio whose mean over honest data is at most 1 (backward.go: counts worked
//     backwards from a density);
//
//   - a scan statistic with the prior of how even crews pack (weights.go: weights made from sizes);
//
//   - the number of chances for an agreement times the chance of each (copies.go, near.go: rows
//     that stand twice; rowkey.go says what a row is worth);
//
//   - other crews' rates (habits.go), and plain tests (checks.go, findings.go).
//
// A review looks at thousands of these, so that some are small by chance. All that was looked at
// counts, also what showed nothing, and the share of false discoveries among the findings is held
// at FalseRate whatever hangs together (Benjamini and Yekutieli; stat.FalseDiscoveries).
//
// Beside it stands what is no matter of chance: pictures (photos.go), clocks, bag weights and terms
// (clock.go). None is a proof, none moves a verdict, and each names what would settle it (Codes).
// How often honest crews are named, and made ones found, stands in verify/audit/SIMULATION.md.
//
// It is pure, and the same jobs give the same findings. It imports model, verify, verify/crew and
// verify/stat.
package plausible
