// Package crew says what a section's other bays tell about each of its bays: the decision rule with prior knowledge of
// the process (JCGM 106). A section's bays are packed alike around a mean with a spread of its own; one of them may be
// bad (void or weak) or over-full. Mean, spread and rates are integrated over fixed priors, never plugged in.
//
// It imports verify/measure, verify/stat, gonum and the standard library. It is pure.
//
// Judge is the rule. Its way through a section:
//
//	alike      what all lots share, integrated around the rest: the habit of reading fresh counts, the bag weight
//	evidence   a lot relative to the target: its own variance, a fresh count's interval, its readings of the counter
//	gather     lots that are alike in everything as one that counts so many times
//	spacing    the scale along which the nodes of τ lie
//	grid       nodes of μ and τ
//	smear      a lot's reading as a likelihood over its density, integrated: good, bad, over-full
//	component  the same for all lots, on the grid of μ for every τ
//	look       where μ and τ lie: a coarse grid over all of the prior, then a closer one, which is the final one
//	rates      nodes of the rate of bad bays, put where the lots leave it
//	settle     the posterior weight of every (μ, τ, rate)
//	plain      without a counter: every lot's error is its own
//	chain      with one: sums over the errors of the readings that neighbours share, along the counter and back
//	cut        how much of each component lies above the target
//	answer     posterior means; sums turns them into figures
//
// Seats answer what another reading of one lot would make of it, without going through the section again. Suspicion
// compares neighbours, trend follows the density along the order of filling.
//
// What the rule does to crews whose bays are known stands in SIMULATION.md, made by `make simulate`.
package crew
