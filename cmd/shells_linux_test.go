package cmd_test

import (
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// terminal is a command line that runs on a terminal of its own.
type terminal struct {
	io.Writer        // the keys
	screen    string // file that holds what was shown
}

// newTerminal starts one in a folder. Its end is that of the test.
func newTerminal(t *testing.T, dir, line string, env ...string) *terminal {
	t.Helper()
	script, err := exec.LookPath("script")
	if err != nil {
		t.Skip("NOT RUN: no script command, so no terminal to type at")
	}
	s := &terminal{screen: filepath.Join(t.TempDir(), "screen")}
	screen, err := os.Create(s.screen)
	if err != nil {
		t.Fatal(err)
	}
	run := exec.Command(script, "-qec", line, os.DevNull)
	run.Dir, run.Stdout, run.Stderr = dir, screen, screen
	run.Env = append([]string{"PATH=" + os.Getenv("PATH"), "HOME=" + dir, "TERM=xterm", "LC_ALL=C.UTF-8", "ZDOTDIR=" + dir, "XDG_CONFIG_HOME=" + dir, "HISTFILE=" + os.DevNull}, env...)
	keys, err := run.StdinPipe()
	if err == nil {
		err = run.Start()
	}
	if err != nil {
		t.Fatal(err)
	}
	s.Writer = keys
	t.Cleanup(func() {
		keys.Close() // the end of what is typed: the shell goes, then script
		late := time.AfterFunc(time.Minute, func() { _ = run.Process.Kill() })
		_ = run.Wait()
		late.Stop()
		screen.Close()
	})
	return s
}

// shown is what was shown so far.
func (s *terminal) shown() string {
	b, _ := os.ReadFile(s.screen)
	return string(b)
}

// soon waits until something holds.
func soon(holds func() bool) bool {
	for until := time.Now().Add(2 * time.Minute); time.Now().Before(until); time.Sleep(5 * time.Millisecond) {
		if holds() {
			return true
		}
	}
	return false
}

// appears waits for a file.
func appears(file string) (text string, ok bool) {
	ok = soon(func() bool {
		b, err := os.ReadFile(file)
		text = string(b)
		return err == nil
	})
	return text, ok
}

// In a real shell Tab completes commands, jobs (names with blanks too), flags and their values:
// what counts is what bayproof is then called with.
func TestShellsComplete(t *testing.T) {
	t.Parallel()
	real, err := exec.LookPath("bayproof")
	if err != nil {
		t.Fatal(err)
	}
	for shell, how := range map[string]struct{ rc, start, line string }{
		"bash": {"rc", "[ -r /usr/share/bash-completion/bash_completion ] && . /usr/share/bash-completion/bash_completion\n", "bash --noprofile --rcfile rc -i"},
		"zsh":  {".zshrc", "autoload -U compinit; compinit -u -D\n", "zsh -d -i"},
		"fish": {"fish/config.fish", "set fish_greeting\n", "fish -i"},
	} {
		t.Run(shell, func(t *testing.T) {
			if _, err := exec.LookPath(shell); err != nil {
				t.Skipf("NOT RUN: no %s here", shell)
			}
			dir := t.TempDir()
			for _, job := range []string{"mill", "jobs/boat", "jobs/shed", "north barn"} {
				makeFile(t, filepath.Join(dir, job, "bays.csv"), oneBay)
			}
			makeFile(t, filepath.Join(dir, "notes.txt"), "")
			makeFile(t, filepath.Join(dir, ".local/share/fish/generated_completions/none"), "") // else fish reads all manuals in the background
			code, completion, stderr := runCommand(t, "completion", shell)
			if code != 0 {
				t.Fatal(stderr)
			}
			makeFile(t, filepath.Join(dir, "completion"), completion)
			makeFile(t, filepath.Join(dir, how.rc), how.start+". ./completion\nprintf ready > ready\n")
			tool := filepath.Join(dir, "bin", "bayproof")
			makeFile(t, tool, fmt.Sprintf("#!/bin/sh\ncase $1 in __complete*) exec '%s' \"$@\" ;; esac\nprintf '%%s|' \"$@\" > called.new && mv called.new called\n", real))
			if err := os.Chmod(tool, 0o755); err != nil {
				t.Fatal(err)
			}
			at := newTerminal(t, dir, how.line, "PATH="+filepath.Dir(tool)+":"+os.Getenv("PATH"))
			if _, ok := appears(filepath.Join(dir, "ready")); !ok {
				t.Fatalf("%s does not start:\n%s", shell, at.shown())
			}
			for typed, want := range map[string]string{
				"che\tmill":               "check|mill|",
				"check mi\t":              "check|mill|",
				"record jobs/s\t":         "record|jobs/shed|",
				"plan nor\t":              "plan|north barn|",
				"check mill --format j\t": "check|mill|--format|json|",
				"check mill --rule g\t":   "check|mill|--rule|guarded|",
				"check mill --to-s\tno":   "check|mill|--to-stall|no|",
			} {
				called := filepath.Join(dir, "called")
				os.Remove(called)
				fmt.Fprintf(at, "bayproof %s\r", typed)
				if got, ok := appears(called); !ok || got != want {
					t.Errorf("%s, %q: called with %q, want %q\n%s", shell, typed, got, want, at.shown())
				}
			}
			fmt.Fprint(at, "exit\r")
		})
	}
}

// At the prompt on a terminal Tab completes sections and bays, and what is then logged is what they
// are called.
func TestPromptCompletes(t *testing.T) {
	dir := t.TempDir()
	makeFile(t, filepath.Join(dir, "job", "job.csv"), "name,value\nbag_weight,25 lb\n")
	makeFile(t, filepath.Join(dir, "job", "sections.csv"), "section,bays\nsouth wall,2\nnorth slope,2\n")
	at := newTerminal(t, dir, "stty cols 80 rows 24; bayproof log job")
	if !soon(func() bool { return strings.Contains(at.shown(), "> ") }) {
		t.Fatalf("no prompt:\n%s", at.shown())
	}
	log := filepath.Join(dir, "job", "bays.csv")
	for _, x := range []struct{ typed, row string }{
		{"section nor\t\rridge1 22.5 5.5 12 1 3/4", "north slope,ridge1,fill,"},
		{"probe ri\t rod firm at 9", "north slope,ridge1,seen,"},
		{"close ri\t", "north slope,ridge1,closed,"},
	} {
		fmt.Fprintf(at, "%s\r", x.typed)
		var rows []byte
		if !soon(func() bool { rows, _ = os.ReadFile(log); return strings.Contains(string(rows), x.row) }) {
			t.Fatalf("%q: no row %s in\n%s\n%s", x.typed, x.row, rows, at.shown())
		}
	}
}
