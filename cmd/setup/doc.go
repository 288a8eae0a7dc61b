// Package setup is what start asks about a job and its sections, and the rows of job.csv and
// sections.csv that come of the answers.
//
// A question is left out where a flag, the job's own file or a program's terms answer it ahead; a
// default of the user's own stands in its brackets. An answer is taken only where check would take
// it: the reader of job.csv is asked. It knows neither files nor a terminal: whoever drives it hands
// in where answers come from and where lines are shown.
//
// Which file holds what: questions.go the questions about the job, and how all are asked;
// sections.go those about a section, and its row.
//
// It imports model, model/cell, model/joblog, report/screen and the standard library.
package setup
