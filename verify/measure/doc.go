// Package measure turns the sizes and the material of a bay into volume, mass and density with
// their standard uncertainties (JCGM 100): what the measurement alone can say. It knows nothing of
// targets or verdicts.
//
// # The measurement model
//
// Of a lot, one bay or the bays that share one count, the density is
//
//	ρ = m/V
//
// The mass m in kg is bags counted times the net bag weight, or weighings; top-ups add, what was
// lost takes away. The volume V in m³ is that of a box, taper, wedge or round with its pieces
// (model.Dims.Gradient). The uncertainty of ρ is propagated to first order in absolute terms (JCGM
// 100, 5.1.2 and 5.2.2), so that it stands at density 0 too:
//
//	u²(ρ) = Σ (∂ρ/∂x)²·u²(x) + covariances,  ∂ρ/∂m = 1/V,  ∂ρ/∂x = −(ρ/V)·∂V/∂x for a size x
//
// Every input has a half-width a that somebody stated (a tape, a scale, a label; rectangular, u =
// a/√3, JCGM 100, 4.3.7), or a scatter that repeated readings show (u = s/√n with n − 1 degrees of
// freedom), and often both. Degrees of freedom are combined by Welch–Satterthwaite (JCGM 100,
// G.4.1).
//
// # What is shared
//
// Errors that several bays share do not average over bays. So the variance of a lot is kept in
// parts, as a section's pooled density and the rule for a crew need them: the bag weight's, one and
// the same in every counted bag; a quarter of the depth tape's, common to the job; the readings of
// a running counter, each shared by the two lots beside it; the rest is the lot's own. What has one
// error is added before it is squared: the two ends of a bay, its pieces, the bays of a lot.
//
// The first order is held against a Monte Carlo of the same model (JCGM 101) for every shape and
// way of counting, to 1.5 % of u (TestFirstOrderAgainstMonteCarlo and the two tests after it), and
// against published examples (examples_test.go).
//
// It imports model, verify/stat and the standard library. It is pure.
package measure
