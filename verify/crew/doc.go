// Package crew says what a section's other bays tell about each of its bays: the decision rule with prior knowledge of
// the process (JCGM 106). A section's bays are packed alike around a mean with a spread of its own; one of them may be
// bad (void or weak) or over-full. Mean, spread and rates are integrated over fixed priors, never plugged in.
//
// It imports verify/measure, verify/stat and the standard library. It is pure.
package crew
