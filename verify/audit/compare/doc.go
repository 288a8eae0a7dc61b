// Package compare sets crews, months and ways of counting side by side by a hierarchical model:
// bays lie in jobs and jobs in crews, and the bays of a job stand or fall together. Where a crew of
// few jobs lies is known only as well as its jobs differ, however many bays they have; limits and
// intervals here know that.
//
// Means are compared by a normal model of two levels (model.go), shares by a design effect
// (share.go), movement over time by a weighted line (trend.go); what a way of counting could have
// shown at all is in reach.go. How often limits and intervals are wrong on crews of known truth
// stands in verify/audit/SIMULATION.md.
//
// Of each job it takes a few sums (Unit, Count). It knows nothing of logs and verdicts and imports
// verify/stat and, for the priors of what a way of counting could have shown, verify/crew.
package compare
