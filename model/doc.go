// Package model says what a dense-pack job is: settings, sections, bays, the rows of the log, and
// the readings in their cells. It keeps the evidence together: the text as written, the unit as
// written, the SI value, the file and the line. It computes no density and reaches no verdict.
//
// A reader (model/joblog) fills in a Job's settings, sections and log; Job.Assemble then puts the
// rows of the log together into bays. The log is only ever appended to: a slip is mended by a later
// row (amend, strike), so that any beginning of a log is a log too, and Job.Upto tells what was
// known at any time. What makes an input unusable is a Fault, what is worth knowing and stops
// nothing a Warning; both carry their place and what would cure them.
//
// Where to look: job.go has the types of a job and of a row of its log; columns.go the tables of
// columns and entries, and the words that stand in cells; settings.go the tables of settings and of
// the evidence that a program may ask for; place.go where something stands in a file; unit.go the
// units; volume.go the solids with their volumes and derivatives. The rest puts a log together:
// assemble.go finds the bay of every row and holds limits, beginnings.go goes through beginnings of
// a log, rows.go says what each kind of row does and may carry, sizes.go gives every bay its sizes
// and holds places against them, counter.go goes along the counter and shared figures and refuses
// masses that cannot be.
//
// Everything in it is pure: no files, no clock, no printing. It imports the standard library only.
//
// All quantities are SI: meters, square meters, cubic meters, kilograms, kilograms per cubic meter.
// A share is a number from 0 to 1. What was not given is NaN where zero would mean something.
package model
