package cmd

import (
	"io"
	"os"
	"time"

	"golang.org/x/term"
)

// Env is the world as a command may see it.
type Env struct {
	Stdin          io.Reader
	Stdout, Stderr io.Writer
	Now            func() time.Time
	Getenv         func(string) string
	StdinTerminal  bool // someone types at stdin
	StdoutTerminal bool // someone looks at stdout
	StderrTerminal bool // someone looks at stderr
}

// System returns the Env of the running process.
func System() *Env {
	return &Env{
		Stdin:          os.Stdin,
		Stdout:         os.Stdout,
		Stderr:         os.Stderr,
		Now:            time.Now,
		Getenv:         os.Getenv,
		StdinTerminal:  term.IsTerminal(int(os.Stdin.Fd())),
		StdoutTerminal: term.IsTerminal(int(os.Stdout.Fd())),
		StderrTerminal: term.IsTerminal(int(os.Stderr.Fd())),
	}
}

// Colour tells whether text output to stdout may carry colour: only where someone looks at it, and only where neither
// NO_COLOR (https://no-color.org) nor a terminal that cannot show it says otherwise.
func (e *Env) Colour() bool {
	return e.StdoutTerminal && e.Getenv("NO_COLOR") == "" && e.Getenv("TERM") != "dumb"
}
