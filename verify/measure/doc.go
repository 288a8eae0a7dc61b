// Package measure turns the sizes and the material of a bay into volume, mass and density with their standard
// uncertainties (JCGM 100): what the measurement alone can say. It knows nothing of targets or verdicts.
//
// It imports model, verify/stat and the standard library. It is pure.
package measure
