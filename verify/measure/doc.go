// Package measure turns the sizes and the material of a bay into volume, mass and density with their standard
// uncertainties (JCGM 100): what the measurement alone can say. It knows nothing of targets or verdicts.
//
// The measurement model of a density is ρ = m/V. The mass is bags counted times the bag weight, or weighings; the volume is
// that of a box, taper, wedge or round with its pieces. Every input has a half-width that somebody stated (a tape, a scale, a
// label: rectangular, a/√3) or a scatter that repeated readings show (s/√n, with degrees of freedom), and often both. Errors
// that several bays share are kept apart, as a section's pooled density and the crew's posterior need them: the bag
// weight's, the tape's, and the readings of a running counter.
//
// It imports model, verify/stat and the standard library. It is pure.
package measure
