package cmd

import (
	"io"
	"os"
	"strings"
	"time"

	"golang.org/x/term"

	"bayproof/report/screen"
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
	ASCII          bool // the terminal shows no UTF-8
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
		ASCII:          !consoleUTF8(os.Getenv),
	}
}

// forTerminal is e with streams that show on its terminal: where that knows no UTF-8, marks and signs in ASCII. What goes into
// a file or a pipe is UTF-8 everywhere.
func (e *Env) forTerminal() *Env {
	if !e.ASCII || !e.StdoutTerminal && !e.StderrTerminal {
		return e
	}
	shown := *e
	if e.StdoutTerminal {
		shown.Stdout = screen.ASCII(e.Stdout)
	}
	if e.StderrTerminal {
		shown.Stderr = screen.ASCII(e.Stderr)
	}
	return &shown
}

// localeUTF8 tells whether a Unix locale shows UTF-8. The first of the three that is set decides, as POSIX has it; with none
// of them it is the locale C, which does not.
func localeUTF8(getenv func(string) string) bool {
	for _, name := range []string{"LC_ALL", "LC_CTYPE", "LANG"} {
		if locale := getenv(name); locale != "" {
			charset, _, _ := strings.Cut(strings.ToUpper(locale), "@")
			if _, after, ok := strings.Cut(charset, "."); ok { // macOS has a locale that is called UTF-8 and no more
				charset = after
			}
			return charset == "UTF-8" || charset == "UTF8"
		}
	}
	return false
}

// utf8CodePage is the number that Windows gives to UTF-8.
const utf8CodePage = 65001

// codePageUTF8 tells whether a console of Windows shows the marks: by its code page, or because it is one of the newer kind,
// which takes a missing character from another font.
func codePageUTF8(page uint32, getenv func(string) string) bool {
	return page == utf8CodePage || getenv("WT_SESSION") != ""
}

// Colour tells whether text output to stdout may carry colour: only where someone looks at it, and only where neither
// NO_COLOR (https://no-color.org) nor a terminal that cannot show it says otherwise.
func (e *Env) Colour() bool {
	return e.StdoutTerminal && e.Getenv("NO_COLOR") == "" && e.Getenv("TERM") != "dumb"
}
