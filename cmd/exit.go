package cmd

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"bayproof/report/screen"
)

// Exit codes, one meaning each for every command.
const (
	exitDone  = 0
	exitFault = 1 // not done: an input has a fault, a file cannot be written
	exitUsage = 2 // the command line makes no sense
	exitOpen  = 3 // done, and the answer is that something is open, or differs
	exitPart  = 4 // done, and nothing differs, but something was not compared
)

// graver returns the exit code that counts where two inputs give two: 1 before 2, 3 and 4, and 0 last.
func graver(a, b int) int {
	if a == exitDone || b == exitDone {
		return max(a, b)
	}
	return min(a, b)
}

// exitStatus is an error that prints nothing and only sets the exit code.
type exitStatus int

func (s exitStatus) Error() string { return fmt.Sprintf("exit status %d", int(s)) }

// hintedError is an error with what would cure it.
type hintedError struct {
	err   error
	hints []string
	code  int
}

func (e *hintedError) Error() string { return e.err.Error() }
func (e *hintedError) Unwrap() error { return e.err }

// withHint adds what would cure err; a nil err stays nil.
func withHint(err error, hints ...string) error {
	if err == nil {
		return nil
	}
	return &hintedError{err: err, hints: hints, code: exitFault}
}

// usageErrorf makes an error about the command line itself, with exit code 2 and a hint (which may be empty).
func usageErrorf(hint, format string, args ...any) error {
	e := &hintedError{err: fmt.Errorf(format, args...), code: exitUsage}
	if hint != "" {
		e.hints = []string{hint}
	}
	return e
}

// exitCode prints err, where it has something to say, and returns the exit code it stands for.
func exitCode(stderr io.Writer, err error) int {
	var status exitStatus
	var hinted *hintedError
	switch {
	case err == nil:
		return exitDone
	case errors.As(err, &status):
		return int(status)
	case errors.As(err, &hinted):
		printError(stderr, err.Error(), hinted.hints...)
		return hinted.code
	}
	printError(stderr, err.Error())
	return exitFault
}

// printError writes one error with its hints, each on a line of its own.
func printError(stderr io.Writer, text string, hints ...string) {
	for _, line := range strings.Split(strings.TrimRight(text, "\n"), "\n") {
		fmt.Fprintf(stderr, "bayproof: error: %s\n", screen.Clean(line))
	}
	for _, hint := range hints {
		printHint(stderr, hint)
	}
}

// printHint writes one hint; an empty one is left out.
func printHint(stderr io.Writer, hint string) {
	if hint != "" {
		fmt.Fprintf(stderr, "bayproof: hint: %s\n", screen.Clean(hint))
	}
}

// printWarning writes one thing worth knowing that stops nothing.
func printWarning(stderr io.Writer, text string) {
	fmt.Fprintf(stderr, "bayproof: warning: %s\n", screen.Clean(text))
}
