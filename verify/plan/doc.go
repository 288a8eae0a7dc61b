// Package plan says before the work what a job will take: bags per bay at the aim, the counts at which to stop and
// look, what to load, the void that could stay unseen, and which aim and which way of counting would let most good bays be closed. It forecasts; no verdict rests on it.
//
// It is pure: no files, no clock, no printing. It imports model, verify, verify/crew, verify/measure, verify/stat and the
// standard library.
package plan
