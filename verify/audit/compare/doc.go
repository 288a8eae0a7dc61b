// Package compare sets crews, months and ways of counting side by side by a hierarchical model: bays lie in jobs and jobs in
// crews, and the bays of a job stand or fall together. Where a crew of few jobs lies is known only as well as its jobs differ,
// however many bays they have; limits and intervals here know that.
//
// Of each job it takes a few sums (Unit). It knows nothing of logs and verdicts and imports verify/stat alone.
package compare
