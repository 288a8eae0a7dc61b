package cmd_test

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"bayproof/cmd"

	"github.com/google/go-cmp/cmp"
)

// block is one fenced block of a manual: a file that it tells the reader to make, or a terminal
// session.
type block struct {
	line  int
	info  string // what stands after the fence
	lines []string
}

// TestReadme follows the README as a newcomer would, top to bottom in one empty folder: blocks
// opened with ```csv FILE become files, every line `$ bayproof …` is run, and what follows it must
// be what comes out, on either stream. A line `…` stands for any number of lines.
func TestReadme(t *testing.T) {
	text, err := os.ReadFile("../README.md")
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	commands := 0
	for _, b := range blocks(string(text)) {
		if kind, name, ok := strings.Cut(b.info, " "); ok && kind == "csv" {
			makeFile(t, name, strings.Join(b.lines, "\n")+"\n")
			continue
		}
		for _, s := range sessions(b.lines) {
			args, ours := strings.CutPrefix(s.command, "bayproof ")
			if !ours {
				continue
			}
			commands++
			if want, got := strings.Join(s.output, "\n"), strings.TrimRight(together(words(args)...), "\n"); !resembles(want, got) {
				t.Errorf("README.md:%d: $ %s says something else (-README +now):\n%s", b.line, s.command, cmp.Diff(want, got))
			}
		}
	}
	if commands < 5 {
		t.Errorf("only %d commands found in the README", commands)
	}
}

// TestReadmeIsSeen makes sure that the comparison above can fail.
func TestReadmeIsSeen(t *testing.T) {
	for _, c := range []struct {
		want, got string
		same      bool
	}{
		{"a\nb", "a\nb", true},
		{"a\n…\nd", "a\nb\nc\nd", true},
		{"a\n…", "a\nb", true},
		{"a\nb", "a\nc", false},
		{"a\n…\nd", "a\nb\nc", false},
		{"a", "a\nb", false},
		{"a\n…\nb\nd", "a\nb\nc\nd", false},
		{"a.b", "axb", false},
	} {
		if resembles(c.want, c.got) != c.same {
			t.Errorf("%q against %q: want %v", c.want, c.got, c.same)
		}
	}
}

// blocks returns the fenced blocks of a Markdown text.
func blocks(text string) []block {
	var all []block
	inside := false
	for i, line := range strings.Split(text, "\n") {
		switch info, fence := strings.CutPrefix(line, "```"); {
		case fence && !inside:
			all = append(all, block{line: i + 1, info: strings.TrimSpace(info)})
			inside = true
		case fence:
			inside = false
		case inside:
			all[len(all)-1].lines = append(all[len(all)-1].lines, line)
		}
	}
	return all
}

// session is one command with the output that a manual shows for it.
type session struct {
	command string
	output  []string
}

func sessions(lines []string) []session {
	var all []session
	for _, line := range lines {
		if command, ok := strings.CutPrefix(line, "$ "); ok {
			all = append(all, session{command: command})
		} else if len(all) > 0 {
			all[len(all)-1].output = append(all[len(all)-1].output, line)
		}
	}
	for i := range all {
		all[i].output = strings.Split(strings.TrimRight(strings.Join(all[i].output, "\n"), "\n"), "\n")
	}
	return all
}

// words cuts a command line at its spaces, except inside double quotes.
func words(line string) []string {
	var all []string
	for _, w := range regexp.MustCompile(`"[^"]*"|\S+`).FindAllString(line, -1) {
		all = append(all, strings.Trim(w, `"`))
	}
	return all
}

// resembles compares an output with what is shown of it.
func resembles(want, got string) bool {
	pattern := "^" + strings.ReplaceAll(regexp.QuoteMeta(want+"\n"), "…\n", `(?:.*\n)*`) + "$"
	return regexp.MustCompile(pattern).MatchString(got + "\n")
}

// together runs bayproof and returns what a terminal would show.
func together(args ...string) string {
	var screen bytes.Buffer
	cmd.Run(args, &cmd.Env{
		Stdin: strings.NewReader(""), Stdout: &screen, Stderr: &screen,
		Now:    func() time.Time { return time.Date(2026, 5, 14, 9, 0, 0, 0, time.UTC) },
		Getenv: func(string) string { return "" },
	})
	return screen.String()
}

func makeFile(t *testing.T, name, text string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}
