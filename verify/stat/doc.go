// Package stat guards the statistics library at its edge: distributions that panic or answer zero outside their
// domain there give a stated answer here. It holds the intervals, control charts and tests that verdicts rest on, each
// with its source, and the seeded random numbers.
//
// It imports gonum and the standard library. It is pure.
package stat
