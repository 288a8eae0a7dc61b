// Package prompt is the tailgate side of a job: bays are typed in the order in which they were filled, each entry is on
// disk before the next is asked for, and each is answered with the verdict and what to do now.
//
// A Session is a state machine without a terminal: it is fed a line and gives back text and the next prompt. Whoever
// drives it owns the line editor, the files and the clock. The same lines give the same log, typed or piped.
//
// It knows no rule of the log: an entry is tried against the whole log first (Book.Try), so that what is written always
// reads back without a fault.
//
// It imports model, model/cell, verify, verify/plan, report/say, report/screen and the standard library.
package prompt
