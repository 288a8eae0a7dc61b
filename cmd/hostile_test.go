package cmd_test

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"bayproof/cmd"

	"github.com/google/go-cmp/cmp"
	"github.com/rogpeppe/go-internal/txtar"
)

// update rewrites testdata/hostile/expected.txt with what the reader says now: read the difference
// before it is committed.
var update = flag.Bool("update-hostile", false, "rewrite the expected messages of the hostile corpus")

const (
	hostileFolder   = "../testdata/hostile"
	hostileExpected = "expected.txt"
)

// TestHostile reads every file of the hostile corpus, each named for its fault, and compares word
// for word what is said about it with expected.txt: `works` with the volume and mass that were
// understood, or `refused` with the messages.
func TestHostile(t *testing.T) {
	t.Chdir(hostileFolder)
	names := hostileNames(t)
	if len(names) < 300 {
		t.Fatalf("the corpus has %d files: the test looks in the wrong place", len(names))
	}
	archive, err := txtar.ParseFile(hostileExpected)
	if err != nil {
		t.Fatal(err)
	}
	if *update {
		rewriteExpected(t, archive, names)
		return
	}
	expected := map[string]string{}
	for _, f := range archive.Files {
		expected[f.Name] = string(f.Data)
		if !slices.Contains(names, f.Name) {
			t.Errorf("%s: expected, but not in the corpus", f.Name)
		}
	}
	for _, name := range names {
		t.Run(name, func(t *testing.T) {
			if diff := cmp.Diff(expected[name], readHostile(t, name)); diff != "" {
				t.Errorf("what is said has changed (-expected +now):\n%s", diff)
			}
		})
	}
}

func hostileNames(t *testing.T) []string {
	t.Helper()
	entries, err := os.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, e := range entries {
		if e.Name() != hostileExpected {
			names = append(names, e.Name())
		}
	}
	return names
}

func rewriteExpected(t *testing.T, archive *txtar.Archive, names []string) {
	archive.Files = nil
	for _, name := range names {
		archive.Files = append(archive.Files, txtar.File{Name: name, Data: []byte(readHostile(t, name))})
	}
	if err := os.WriteFile(hostileExpected, txtar.Format(archive), 0o644); err != nil {
		t.Fatal(err)
	}
}

// readHostile runs `check` on one file of the corpus and says what came of it.
func readHostile(t *testing.T, name string) string {
	t.Helper()
	args := []string{"check", "--format", "csv", name}
	if name != "bag-weight-missing.csv" {
		args = append(args, "--bag-weight", "25 lb")
	}
	most := 20 * time.Second // so that another program on the machine fails no test; the long form asks for what is wanted
	if os.Getenv("BAYPROOF_TORTURE") != "" {
		most = 2 * time.Second
	}
	began := time.Now()
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	code, stdout, stderr := runCommand(t, args...)
	runtime.ReadMemStats(&after)
	if took := time.Since(began); took > most {
		t.Errorf("%s took %v", name, took)
	}
	if took := after.TotalAlloc - before.TotalAlloc; took > 300<<20 { // all of it, what was thrown away too
		t.Errorf("%s took %d MB", name, took>>20)
	}
	switch code {
	case 0, 3:
		return "works\n" + understood(t, stdout) + warned(t, args) + stderr + leftOut(t, name)
	case 1:
		// In a log of many jobs those before the fault are good: they were written before it was
		// read.
		if strings.Count(stdout, "\n") > 1 && name != "job-comes-again.csv" {
			t.Errorf("%s: a faulty input has results:\n%s", name, stdout)
		}
		return "refused\n" + stderr
	}
	t.Errorf("%s: exit code %d", name, code)
	return fmt.Sprintf("exit %d\n%s", code, stderr)
}

// runCommand runs bayproof in this process, with nobody at the terminal and the clock stopped.
func runCommand(t *testing.T, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	var out, errs bytes.Buffer
	code = cmd.Run(args, &cmd.Env{
		Stdin: strings.NewReader(""), Stdout: &out, Stderr: &errs,
		Now:    func() time.Time { return time.Date(2026, 5, 14, 9, 0, 0, 0, time.UTC) },
		Getenv: func(string) string { return "" },
	})
	return code, out.String(), filepath.ToSlash(errs.String())
}
