package cmd_test

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// completed asks the hidden command that the shells ask, and returns the words and the number that
// says how to go on.
func completed(t *testing.T, args ...string) (words []string, directive string) {
	t.Helper()
	code, stdout, stderr := runCommand(t, append([]string{"__complete"}, args...)...)
	lines := strings.Split(strings.TrimRight(stdout, "\n"), "\n")
	last := lines[len(lines)-1]
	if code != 0 || !strings.HasPrefix(last, ":") {
		t.Fatalf("%v: exit code %d: %s%s", args, code, stdout, stderr)
	}
	for _, line := range lines[:len(lines)-1] {
		word, _, _ := strings.Cut(line, "\t")
		words = append(words, filepath.ToSlash(word))
	}
	return words, last
}

const (
	noFiles     = ":4"
	noFilesMore = ":6" // and no space behind the word
	foldersOnly = ":16"
)

// A shell completes commands, jobs, flags and their values.
func TestCompletion(t *testing.T) {
	root := t.TempDir()
	t.Chdir(root)
	for _, name := range []string{"jobs/boat/bays.csv", "jobs/barn/job.csv", "jobs/photos/x.jpg", "jobs/many.csv", "jobs/notes.txt", "jobs/record.html", ".hidden/bays.csv", "mill/bays.csv"} {
		makeFile(t, filepath.FromSlash(name), "bay\n")
	}
	for _, x := range []struct {
		args string // one | between
		want string // words that must be among the answers, all of them where nothing begins with +
		how  string
	}{
		{"che", "check", noFiles},
		{"re", "record recheck review", noFiles},
		{"check|", "jobs/ mill", noFilesMore},
		{"check|m", "mill", noFiles},
		{"check|mill|jobs/b", "jobs/barn jobs/boat", noFiles},
		{"check|jobs/", "jobs/barn jobs/boat jobs/many.csv jobs/photos/", noFilesMore},
		{"check|nowhere/", "", noFiles},
		{"check|.h", ".hidden", noFiles},
		{"log|mi", "mill", noFiles}, {"log|mill|", "", noFiles},
		{"plan|mi", "mill", noFiles}, {"record|mi", "mill", noFiles}, {"fields|mi", "mill", noFiles}, {"review|mi", "mill", noFiles},
		{"recheck|jobs/", "jobs/barn/ jobs/boat/ jobs/photos/ jobs/record.html", noFilesMore},
		{"start|", "", foldersOnly}, {"start|x|", "", noFiles}, {"demo|", "", foldersOnly},
		{"check|--form", "--format", noFiles},
		{"check|--format|", "text json csv", noFiles},
		{"check|-f|", "text json csv", noFiles},
		{"check|--rule|", "process guarded", noFiles},
		{"check|--counting|", "ends fresh running", noFiles},
		{"check|--units|", "us si", noFiles},
		{"check|--to-stall|", "yes no", noFiles},
		{"plan|--target|", "3.5 lb/ft3", noFiles},
		{"log|mill|--crew|", "", noFiles}, {"log|--by|", "", noFiles}, {"plan|--hold|", "", noFiles}, {"start|--section|", "", noFiles},
		{"record|--bag-st", "--bag-step", noFiles},
		{"completion|", "bash zsh fish powershell", noFiles},
		{"help|rec", "recheck record", noFiles},
	} {
		got, how := completed(t, strings.Split(x.args, "|")...)
		want := strings.Fields(x.want)
		if x.want == "3.5 lb/ft3" {
			want = []string{x.want}
		}
		slices.Sort(got)
		slices.Sort(want)
		if !slices.Equal(got, want) || how != x.how {
			t.Errorf("%s: %q %s, want %q %s", x.args, got, how, want, x.how)
		}
	}
}

// Every setting is a flag whose value a shell completes, or knows to be free text: never the files
// that lie about.
func TestSettingsComplete(t *testing.T) {
	t.Chdir(t.TempDir())
	makeFile(t, "lies-about.txt", "")
	flags, _ := completed(t, "check", "--")
	if len(flags) < 30 {
		t.Fatalf("only %d flags", len(flags))
	}
	for _, flag := range flags {
		switch flag {
		case "--output", "--summary", "--help":
			continue
		}
		if words, how := completed(t, "check", flag, ""); how != noFiles || slices.Contains(words, "lies-about.txt") {
			t.Errorf("%s: %q %s", flag, words, how)
		}
	}
}
