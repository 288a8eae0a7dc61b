//go:build unix

package cmd_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
)

// aJob makes a folder with one job, s, and a file outside of it that nobody may write to through
// the job.
func aJob(t *testing.T) (job, outside string) {
	t.Helper()
	root := t.TempDir()
	job, outside = filepath.Join(root, "s"), filepath.Join(root, "outside", "file.txt")
	makeFile(t, filepath.Join(job, "bays.csv"), oneBay)
	makeFile(t, outside, "somebody's work\n")
	return job, outside
}

func namesIn(t *testing.T, dir string) string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	return fmt.Sprint(entries)
}

// unharmed tells whether a file still says what makeFile wrote.
func unharmed(t *testing.T, about, name string) {
	t.Helper()
	if b, err := os.ReadFile(name); err != nil || string(b) != "somebody's work\n" {
		t.Errorf("%s: %s now holds %q (%v)", about, filepath.Base(name), b, err)
	}
}

func link(t *testing.T, make func(old, new string) error, to, from string) {
	t.Helper()
	if err := make(to, from); err != nil {
		t.Skipf("NOT RUN: no links here: %v", err)
	}
}

// Nothing is written through a link that lies in a job's folder, whichever file it stands for: the
// command says so.
func TestNothingIsWrittenThroughALink(t *testing.T) {
	for _, x := range []struct {
		name string
		args []string
	}{
		{"record.html", []string{"record"}},
		{"sheets.html", []string{"plan"}},
		{"out.txt", []string{"check", "-o", "out.txt"}},
		{"way/out.txt", []string{"check", "-o", "way/out.txt"}},
	} {
		job, outside := aJob(t)
		if strings.HasPrefix(x.name, "way/") {
			link(t, os.Symlink, filepath.Dir(outside), filepath.Join(job, "way"))
		} else {
			link(t, os.Symlink, outside, filepath.Join(job, x.name))
		}
		args := append([]string{x.args[0], job}, x.args[1:]...)
		if len(args) > 2 {
			args[3] = filepath.Join(job, args[3])
		}
		before, names := files(t, filepath.Dir(outside)), namesIn(t, job)
		code, _, stderr := runCommand(t, args...)
		if code != 1 || !strings.Contains(stderr, "link") || !strings.Contains(stderr, "bayproof: hint: ") {
			t.Errorf("%s: exit code %d: %s", x.name, code, stderr)
		}
		unharmed(t, x.name, outside)
		same(t, x.name, before, files(t, filepath.Dir(outside)))
		if after := namesIn(t, job); after != names {
			t.Errorf("%s: the job now has %s, before %s", x.name, after, names)
		}
	}
}

// A pipe that lies in a job under the name of a product is not waited for.
func TestNoPipeInAJobIsWrittenTo(t *testing.T) {
	job, _ := aJob(t)
	if err := syscall.Mkfifo(filepath.Join(job, "record.html"), 0o666); err != nil {
		t.Skipf("NOT RUN: no pipes here: %v", err)
	}
	done := make(chan string, 1)
	go func() {
		code, _, stderr := runCommand(t, "record", job)
		if code != 1 {
			stderr = "exit code is not 1: " + stderr
		}
		done <- stderr
	}()
	select {
	case stderr := <-done:
		if !strings.Contains(stderr, "no file") {
			t.Errorf("nothing is said of the pipe: %s", stderr)
		}
	case <-time.After(2 * time.Minute):
		t.Fatal("record waits for somebody at the pipe's other end")
	}
}

// The name of the temporary file cannot be foreseen, so nobody can put a link in its place; what a
// killed run left is swept away, what one that still runs is writing is not.
func TestTemporaryFiles(t *testing.T) {
	job, outside := aJob(t)
	for pid := os.Getpid(); pid < os.Getpid()+3; pid++ {
		link(t, os.Symlink, outside, filepath.Join(job, ".record.html."+strconv.Itoa(pid)+".tmp"))
	}
	stale, fresh, other := filepath.Join(job, ".record.html.0123456789abcdef.tmp"), filepath.Join(job, ".record.html.1123456789abcdef.tmp"), filepath.Join(job, ".record.html.mine.tmp")
	for _, name := range []string{stale, fresh, other} {
		makeFile(t, name, "half a rec")
	}
	longAgo := time.Now().Add(-25 * time.Hour)
	for _, name := range []string{stale, other} {
		if err := os.Chtimes(name, longAgo, longAgo); err != nil {
			t.Fatal(err)
		}
	}
	if code, _, stderr := runCommand(t, "record", job); code != 0 {
		t.Fatalf("exit code %d: %s", code, stderr)
	}
	unharmed(t, "a planted temporary name", outside)
	if info, err := os.Lstat(filepath.Join(job, "record.html")); err != nil || !info.Mode().IsRegular() {
		t.Errorf("the record is no file: %v, %v", info, err)
	}
	if _, err := os.Lstat(stale); err == nil {
		t.Error("what a run left a day ago is still there")
	}
	for _, name := range []string{fresh, other} {
		if _, err := os.Lstat(name); err != nil {
			t.Errorf("%s is gone", filepath.Base(name))
		}
	}
}

// The lock file and the log are the job's own: one that is also a file elsewhere is refused and
// left as it is.
func TestNothingIsLoggedThroughALink(t *testing.T) {
	for _, name := range []string{"bays.csv.lock", "bays.csv", "bays.csv.torn"} {
		for how, make := range map[string]func(string, string) error{"hard": os.Link, "symbolic": os.Symlink} {
			job, outside := aJob(t)
			at := filepath.Join(job, name)
			switch name {
			case "bays.csv":
				makeFile(t, filepath.Join(job, "other.csv"), oneBay)
				outside = filepath.Join(job, "other.csv")
				os.Remove(at)
			case "bays.csv.torn":
				makeFile(t, filepath.Join(job, "bays.csv"), oneBay+"north,b2,22.5,5")
				outside = filepath.Join(job, "inside.txt")
				makeFile(t, outside, "somebody's work\n")
			}
			if how == "symbolic" && filepath.Dir(outside) == job {
				link(t, make, filepath.Base(outside), at)
			} else {
				link(t, make, outside, at)
			}
			before := files(t, filepath.Dir(job))
			code, stdout, stderr := typeIn(9*time.Hour, "b3 22.5 5.5 12 30 lb\nfinish\n", "log", job)
			if !strings.Contains(stdout+stderr, "link") || name != "bays.csv" && code != 1 {
				t.Errorf("%s, %s link: exit code %d: %s%s", name, how, code, stdout, stderr)
			}
			after := files(t, filepath.Dir(job))
			if name == "bays.csv" {
				delete(after, at+".lock")
			}
			if name == "bays.csv.torn" {
				delete(after, filepath.Join(job, "bays.csv.lock"))
			}
			same(t, name+", "+how+" link", before, after)
		}
	}
}

// Who may write into the folder may hold the lock, and who may read it can see who does.
func TestLockIsTheFoldersToo(t *testing.T) {
	old := syscall.Umask(0o077)
	defer syscall.Umask(old)
	for _, x := range []struct{ folder, lock os.FileMode }{{0o770, 0o660}, {0o750, 0o640}, {0o700, 0o600}, {0o775, 0o664}} {
		job, _ := aJob(t)
		if err := os.Chmod(job, x.folder); err != nil {
			t.Fatal(err)
		}
		group := os.Getegid()
		if os.Geteuid() == 0 {
			group = 4242
			if err := os.Chown(job, -1, group); err != nil {
				t.Fatal(err)
			}
		}
		if code, _, stderr := typeIn(9*time.Hour, "finish\n", "log", job); code != 0 {
			t.Fatalf("exit code %d: %s", code, stderr)
		}
		info, err := os.Stat(filepath.Join(job, "bays.csv.lock"))
		if err != nil {
			t.Fatal(err)
		}
		if got := info.Mode().Perm(); got != x.lock {
			t.Errorf("a folder %o: the lock is %o, want %o", x.folder, got, x.lock)
		}
		if got := int(info.Sys().(*syscall.Stat_t).Gid); got != group {
			t.Errorf("the lock belongs to group %d, the folder to %d", got, group)
		}
	}
}
