// Package crew says what a section's other bays tell about each of its bays: the decision rule with prior knowledge of
// the process (JCGM 106). It imports verify/measure, verify/stat, gonum and the standard library. It is pure.
//
// The model. Densities are shares of the target. A section's bays are packed alike: a good bay has the density
// y ~ N(μ, τ²). A share r of the bays is bad (void or weak): y between nothing and 0.97 μ. A few are over-full: 1.03 to
// 1.8 μ. What a bay reads is y and an error. μ, τ and r are not known: their posterior is the prior times the product of
// the lots' likelihoods, and every figure is a mean over that posterior. Nothing is plugged in.
//
// The subjects, a file each:
//
//	priors      the fixed statements about μ, τ and r, and the limits of suspicion
//	evidence    a lot relative to the target; lots that are alike gathered as one that counts several times; errors that all
//	            lots have in common, and the bias of the counts that totals tell of, integrated around the rest
//	likelihood  what a lot reads as a likelihood over its density: good, bad, over-full, and what lies above the target
//	grid        nodes of μ, τ and r, laid where the posterior lies
//	feed        feed time as a second measurement of what went in
//	posterior   sums over the nodes where every lot's error is its own; what comes of them
//	chain       the same where lots share the readings of a running counter: a forward and a backward pass
//	judge       Judge, the rule for a section, and Result.Predict, what the other lots say about one
//	job         JudgeJob, the rule for a job: totals against the counts, test boxes, what its sections say about each other
//	suspicion   neighbours that look swapped
//	trend       density along the order of filling
//
// What the rule does to crews whose bays are known stands in SIMULATION.md, made by `make simulate`.
package crew
