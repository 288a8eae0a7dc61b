// Package verify turns a job into findings: volume, mass and density of every bay with its
// uncertainty, a verdict that is an action, the reasons for it and what answers them. It is the
// part that a closed roof rests on.
//
// It is pure: no files, no clock, no printing. It writes no sentences either: a reason is a code
// with numbers, and package report says it in the job's units. It imports model and its own
// sub-packages.
//
// Check goes through a job in steps, each a method of check:
//
//	measured   measure.Of: sizes, masses, lots (what one mass filled), uncertainty, step shown by the log
//	empties    bags that were emptied against those in the log; boxes: the test boxes that are evidence for a section's mean
//	decide     a rule fills in one decision a lot: guarded (the measurement alone), then process (the crew's other bays)
//	judgeBay   each bay: its figures, its reasons with what the rows after them answer, the verdict, ADD before PROBE
//	           before MEASURE before CLOSE; suspect has reach, no-stall, probe-soft, core-disagrees, above the ceiling, and
//	           what a rule raised comes behind
//	pool       sections and their completeness
//	warn       what is worth knowing
//	history    verdicts as they stood when rows were logged, where that was asked for
//	commit     a bay that was closed on CLOSE stands at what it was closed on, until something reopens it
//	advise     the one order of every open bay, by recomputing: what would close it, and what would have settled it
//	total      the job's counts and sums
//	lacks      what the program's terms ask for and the job has not
//
// Whatever a step leaves behind is in the findings, which are the caller's to keep. Nothing of it
// is taken again for the next job: a review of many jobs stays flat because it lets their findings
// go. Only the beginnings of a log that history goes through share one check and its memory.
//
// # The seam for a rule
//
// A rule works on sectionLots: one section with its lots in fill order, with everything that is
// known about their errors and how those hang together, and one decision a lot. guarded fills the
// decisions in from the measurement alone; process then sees the same lots, may decide instead,
// sets what a bay could hide and its empty length as shares of the bay's length, appends reasons of
// its own to a decision, and sets the section's figures. Neither looks at single observations:
// suspect judges those afterwards, the same for every rule.
//
// # The table of codes
//
// Everything that is known about a reason, an answer, an action, a place or a warning stands in one
// row of codes.go: what it means, what answers it, the keys of its evidence, its source, what is
// done about it and in which order suspicions lead. What is said for it stands in one row of
// report/say/sentences.go.
package verify
