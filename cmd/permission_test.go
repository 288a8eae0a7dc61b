//go:build unix

package cmd_test

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// nobody runs bayproof as a user whom permissions bind: as this one, or for root as one without any
// rights.
func nobody(t *testing.T, dir string) func(args ...string) (code int, stdout, stderr string) {
	t.Helper()
	if os.Geteuid() != 0 {
		return func(args ...string) (int, string, string) { return runCommand(t, args...) }
	}
	tool := filepath.Join(dir, "bayproof")
	self, err := exec.LookPath("bayproof")
	if err != nil {
		t.Fatal(err)
	}
	// Written by another program: one that this one starts meanwhile would hold the file open, and what
	// is open to be written cannot be run.
	if said, err := exec.Command("cp", self, tool).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, said)
	}
	if err := os.Chmod(filepath.Dir(dir), 0o755); err != nil { // tests' own folders are closed to others
		t.Fatal(err)
	}
	return func(args ...string) (int, string, string) {
		var out, errs strings.Builder
		run := exec.Command(tool, args...)
		run.Stdout, run.Stderr, run.Dir, run.Env = &out, &errs, dir, []string{"HOME=" + dir}
		run.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
		var exit *exec.ExitError
		if err := run.Run(); errors.As(err, &exit) {
			return exit.ExitCode(), out.String(), errs.String()
		} else if err != nil {
			t.Skipf("NOT RUN: no other user can be taken here: %v", err)
		}
		return 0, out.String(), errs.String()
	}
}

// What may not be read or written is named, with what to look at; nothing is left behind.
func TestNoPermission(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	run := nobody(t, dir)
	for _, x := range []struct{ closed, want string }{
		{"bays.csv", "may not be read"}, {"job.csv", "may not be read"}, {"sections.csv", "may not be read"}, {".", "permission denied"},
	} {
		job := filepath.Join(dir, "job"+strings.Trim(x.closed, "."))
		makeFile(t, filepath.Join(job, "bays.csv"), oneBay)
		makeFile(t, filepath.Join(job, "job.csv"), "name,value\ncrew,two\n")
		makeFile(t, filepath.Join(job, "sections.csv"), "section,kind\nnorth,rafter\n")
		if err := os.Chmod(filepath.Join(job, x.closed), 0); err != nil {
			t.Fatal(err)
		}
		code, stdout, stderr := run("check", job)
		if code != 1 || stdout != "" || !strings.Contains(stderr, x.want) || !strings.Contains(stderr, "bayproof: hint: ") {
			t.Errorf("%s closed: exit code %d, %s%s", x.closed, code, stdout, stderr)
		}
		if err := os.Chmod(filepath.Join(job, x.closed), 0o755); err != nil { // to be cleared away
			t.Fatal(err)
		}
	}
}

// A folder that may only be read: check and the record on the screen work, what writes into it says
// why it cannot.
func TestReadOnlyFolder(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	run := nobody(t, dir)
	job := filepath.Join(dir, "job")
	makeFile(t, filepath.Join(job, "bays.csv"), oneBay)
	if err := os.Chmod(job, 0o555); err != nil {
		t.Fatal(err)
	}
	before := files(t, job)
	for _, args := range [][]string{{"log", job}, {"record", job}, {"plan", job}, {"check", job, "-o", filepath.Join(job, "x.txt")}, {"start", filepath.Join(job, "new"), "--bag-weight", "25 lb"}} {
		code, _, stderr := run(args...)
		if code != 1 || !strings.Contains(stderr, "permission denied") && !strings.Contains(stderr, "may not be") {
			t.Errorf("%s: exit code %d: %s", args[0], code, stderr)
		}
		same(t, args[0], before, files(t, job))
	}
	for _, args := range [][]string{{"check", job}, {"record", job, "-o", "-"}} {
		if code, stdout, stderr := run(args...); code == 1 || stdout == "" {
			t.Errorf("%s: exit code %d: %s", args[0], code, stderr)
		}
	}
	if err := os.Chmod(job, 0o755); err != nil {
		t.Fatal(err)
	}
}

// Defaults that are there and may not be read are no missing defaults: start says so and sets
// nothing up.
func TestDefaultsThatMayNotBeRead(t *testing.T) {
	dir := t.TempDir()
	run := nobody(t, dir)
	file := filepath.Join(dir, ".config", "bayproof", "defaults.csv")
	if os.Geteuid() != 0 {
		t.Setenv("XDG_CONFIG_HOME", filepath.Join(dir, ".config"))
	}
	makeFile(t, file, "name,value\nbag_weight,25 lb\n")
	if err := os.Chmod(dir, 0o777); err != nil {
		t.Fatal(err)
	}
	for closed, mode := range map[string]os.FileMode{file: 0, filepath.Dir(file): 0} {
		if err := os.Chmod(closed, mode); err != nil {
			t.Fatal(err)
		}
		code, _, stderr := run("start", filepath.Join(dir, "new"), "-y", "--crew", "two")
		if code != 1 || !strings.Contains(stderr, "defaults.csv: permission denied") || !strings.Contains(stderr, "bayproof: hint: ") {
			t.Errorf("%s closed: exit code %d: %s", filepath.Base(closed), code, stderr)
		}
		if _, err := os.Stat(filepath.Join(dir, "new")); err == nil {
			t.Errorf("%s closed: a job was set up without them", filepath.Base(closed))
		}
		if err := os.Chmod(closed, 0o755); err != nil {
			t.Fatal(err)
		}
		os.RemoveAll(filepath.Join(dir, "new"))
	}
}

// Folders that may not be looked into are named by review: one may hold a job.
func TestReviewNamesClosedFolders(t *testing.T) {
	t.Parallel()
	for _, mode := range []os.FileMode{0, 0o444, 0o111} {
		dir := t.TempDir()
		run := nobody(t, dir)
		makeFile(t, filepath.Join(dir, "jobs", "a", "bays.csv"), oneBay)
		makeFile(t, filepath.Join(dir, "jobs", "b", "bays.csv"), oneBay)
		if err := os.Chmod(filepath.Join(dir, "jobs", "b"), mode); err != nil {
			t.Fatal(err)
		}
		code, stdout, stderr := run("review", filepath.Join(dir, "jobs"))
		if code != 3 || !strings.Contains(stdout, "1 not readable") || !strings.Contains(stdout, filepath.Join(dir, "jobs", "b")) {
			t.Errorf("a folder %o: exit code %d: %s%s", mode, code, stdout, stderr)
		}
		if err := os.Chmod(filepath.Join(dir, "jobs", "b"), 0o755); err != nil {
			t.Fatal(err)
		}
	}
}
