// Package cmd ties everything together: flags become options, options become calls, results become output and an exit
// code. It is the only package that opens files, reads the clock and knows a terminal, and it gets all three handed in
// as an Env. It decides nothing about a bay.
//
// Each command is built by a constructor that takes the Env and returns a cobra command. A command returns nil, an
// error (printed, exit code 1), an error made by usageErrorf (printed, exit code 2), or exitStatus (nothing printed).
package cmd
