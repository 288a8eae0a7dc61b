// Package stat guards the statistics library at its edge: distributions that panic or answer zero
// outside their domain there give a stated answer here, mostly NaN. It holds the intervals, control
// charts and tests that verdicts rest on, each with its source, and the seeded random numbers.
// Published examples stand beside it as tests, each with its own source and tolerance.
//
// Subjects, a file each: dist (normal and Student's t, means, pooled variances, degrees of
// freedom), charts (moving average and straight line of correlated readings), rates (shares,
// sampling, false discoveries, random numbers).
//
// It imports gonum and the standard library. It is pure.
package stat
