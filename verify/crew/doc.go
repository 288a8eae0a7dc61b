// Package crew says what a section's other bays tell about each of its bays: the decision rule with
// prior knowledge of the process (JCGM 106, 9.5). It is a hierarchical model in the usual sense
// (Gelman et al., Bayesian Data Analysis, chapter 5, from memory): bays within a section, sections
// within a job. It imports verify/measure, verify/stat, gonum and the standard library. It is pure.
//
// # The model
//
// All densities are shares of the target, so that y = 1 is a bay that just has it.
//
// Observed is one reading x for every lot (a bay, or the bays that share one count) with its
// standard uncertainties. Unknown are the true density y of every lot and three figures of the
// section: the mean μ of its good bays, their standard deviation τ, and the rate r of bad bays. A
// lot is one of three kinds, its component:
//
//   - good, with probability (1 − o)·(1 − r): y ~ N(μ, τ²), the crew's ordinary packing;
//
//   - bad, with probability (1 − o)·r: a void or a weak bay, y from 0 to 0.97·μ, its density rising
//     evenly;
//
//   - over-full, with probability o = 0.02: y uniform from 1.03·μ to 1.8·μ.
//
// The reading is y plus an error. With G, B and O the likelihoods of the reading under the three
// components (the error's density integrated over y) a lot's likelihood is
//
//	L(μ, τ, r) = (1 − o)·(1 − r)·G(μ, τ) + (1 − o)·r·B(μ) + o·O(μ)
//
// and the posterior of the three unknowns is their prior times ∏ L over the lots. The answer for
// one lot, P(y ≥ 1), is the mean over that posterior of the share of its likelihood that lies at y
// ≥ 1. μ, τ and r are integrated and never replaced by an estimate: with few bays an estimate would
// look surer than the evidence is (TestPluggingInIsAnotherAnswer).
//
// # How it is integrated
//
// The integral over μ and τ is a sum over a grid that is laid where the posterior lies, the one
// over r a Gauss rule of six nodes (grid.go). Errors that all lots share, such as the bag weight's,
// are integrated around it, as a sum over a few states of the section (evidence.go). Where lots
// share the readings of a running counter their errors are not independent, and the product over
// the lots becomes a forward and a backward pass along the counter (chain.go). JudgeJob adds what
// the job's other sections say, as a prior for μ, τ and r (job.go).
//
// # How accurate it is
//
// TestPosteriorAgainstBruteForce and TestRunningAgainstBruteForce hold P(y ≥ 1) against plain sums
// over fine even grids that share no code with this package, on sections drawn by chance. Of
// ordinary ones at most 1 bay in 100 (2 along a counter) may be off by more than 0.002, and none
// whose probability lies between 0.90 and 0.98, where the verdict turns, by more than 0.002
// (0.003); of these and of odd ones none at all by more than 0.01. DEVELOPERS.md says what was
// measured.
//
// # The files
//
//	priors      the fixed statements about μ, τ and r
//	evidence    a lot relative to the target; equal lots gathered as one; the states of what lots share
//	likelihood  G, B and O of a reading, and the parts of them at y ≥ 1
//	grid        nodes of μ, τ and r, laid where the posterior lies; the posterior at them
//	feed        feed time as a second measurement of what went in
//	posterior   sums over the nodes where every lot's error is its own; the figures that come of them
//	chain       the same along a running counter: a forward and a backward pass
//	judge       Judge, the rule for a section, and Result.Predict, what the other lots say about one
//	job         JudgeJob, the rule for a job: totals, test boxes, what its sections say about each other
//	suspicion   neighbors that look swapped; the limits of suspicion
//	trend       density along the order of filling
//
// What the rule does to crews whose bays are known stands in SIMULATION.md, made by `make
// simulate`.
package crew
