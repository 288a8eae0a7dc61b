// Package plan says before the work what a job will take: bags for each bay at the aim, the count
// at which to stop and look, what to load, the void that could stay unseen, and which aim and which
// way of counting would let most good bays be closed. It forecasts; no verdict rests on it.
//
// The forecasts use the measurement model and the rule of the verdicts (verify/measure,
// verify/crew) with what is known beforehand in place of readings: typical sizes, the way of
// counting, a crew's usual spread. Two of them are asked of the rule itself or held against it by
// tests: what a bay could hide (TestHidesAgainstTheRule), and the share of good bays that close
// (TestForecastAgainstTheRule). What they assume is listed by Assumptions and printed with the
// plan.
//
// It is pure: no files, no clock, no printing. It imports model, verify, verify/crew,
// verify/measure, verify/stat and the standard library.
package plan
