// Package cmd ties everything together: flags become options, options become calls, results become
// output and an exit code. It is the only package that opens files, reads the clock and knows a
// terminal, and it gets all three handed in as an Env. It decides nothing about a bay.
//
// Each command is built by a constructor that takes the Env and returns a cobra command. A command
// returns nil, an error (printed, exit code 1), an error made by usageErrorf (printed, exit code
// 2), or exitStatus (nothing printed).
//
// Which file holds what:
//
//	root.go         the command tree, Env, exit codes and errors, the flags that commands share, the version
//	help.go         help pages, fields, completion for shells
//	start.go        start: what package setup asked goes into job.csv and sections.csv; the user's own defaults; the demo
//	plan.go         plan and its two tally sheets
//	log.go          log: the terminal, the log on disk and the clock that package prompt is given
//	check.go        check: jobs on all cores and their results in order; reading a job; telling its faults
//	record.go       record and recheck
//	review.go       review: finding jobs below folders, a programme's settings, the tables
//	output.go       where results go: whole files, never onto an input or through a link in a job; progress; warnings
//	env_*.go        whether the terminal shows UTF-8, by system
//
// A run of check, as an example: Run builds the tree and lets cobra find the command;
// common.command fills in what the command line gives and calls checkOptions.run; that names its
// inputs to outputs.reads, so that -o cannot destroy them, and lets outputs.result call it back
// with a place to write. feed opens the inputs and finds their jobs; inOrder hands these to judge
// on all cores and the results to printer.print in order. What is wrong with a job goes to stderr
// at its turn, and the exit code is that of the gravest thing that was met.
package cmd
