// Package verify turns a job into findings: volume, mass and density of every bay with its uncertainty, a verdict that
// is an action, the reasons for it and what answers them. It is the part that a closed roof rests on.
//
// It is pure: no files, no clock, no printing. It writes no sentences either: a reason is a code with numbers, and
// package report says it in the job's units. It imports model and its own sub-packages.
//
// Check goes through a job in steps:
//
//	measure    verify/measure: sizes, masses, lots (what one mass filled), uncertainty, step shown by the log
//	decide     a rule fills in one decision a lot: guarded (the measurement alone), then process (the crew's other bays)
//	judge      each bay: its figures, its reasons with what the rows after them answer, and the verdict, ADD before PROBE
//	           before MEASURE before CLOSE; suspect has reach, no-stall, probe-soft, core-disagrees, above the ceiling,
//	           and a rule adds its own suspicions
//	act        what to do now
//	pool       sections and their completeness
//	warn       what is worth knowing
//	advise     by recomputing: what would close the bay, and what would have settled it
//	history    verdicts as they stood when rows were logged, where that was asked for
//	total      the job's counts and sums
//
// # The seam for a rule
//
// A rule works on a *bench: one section with its lots in fill order (bench.lots, with everything that is known about
// their errors and how those hang together) and one decision a lot (bench.out). guarded fills the decisions in from the
// measurement alone; process then sees the same bench, may decide instead, sets blind and empty lengths as shares of a bay's
// length, appends reasons of its own to a decision, and sets the section's figures (bench.section). Neither looks at
// single observations: suspect judges those afterwards, the same for every rule. After the verdicts adviseSection may
// replace each bay's action by one found by recomputing, and add advice for the next bay.
package verify
