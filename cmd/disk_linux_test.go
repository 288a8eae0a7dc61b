package cmd_test

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"
)

// smallDisk mounts a disk of its own that holds a job, and a function that fills it to the last
// byte. Only root may mount.
func smallDisk(t *testing.T) (dir string, fill func()) {
	t.Helper()
	dir = t.TempDir()
	if out, err := exec.Command("mount", "-t", "tmpfs", "-o", "size=64k", "bayproof-test", dir).CombinedOutput(); err != nil {
		t.Skipf("NOT RUN: no disk can be mounted here (root may): %v: %s", err, out)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(dir, syscall.MNT_DETACH); err != nil {
			t.Error(err)
		}
	})
	makeFile(t, filepath.Join(dir, "job", "job.csv"), "name,value\nbag_weight,25 lb\n")
	makeFile(t, filepath.Join(dir, "job", "sections.csv"), "section,kind,bays,width,depth,length\nnorth,rafter,4,22.5,5.5,12\n")
	makeFile(t, filepath.Join(dir, "job", "bays.csv"), "section,bay,width,depth,length,bags,time\nnorth,b1,22.5,5.5,12,1.75,\n")
	return dir, func() {
		f, err := os.Create(filepath.Join(dir, "ballast"))
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		for err == nil {
			_, err = f.Write(make([]byte, 512))
		}
		if !errors.Is(err, syscall.ENOSPC) {
			t.Fatal(err)
		}
	}
}

// writers are the commands that write, each with what it would write in dir.
func writers(dir string) [][]string {
	job := filepath.Join(dir, "job")
	return [][]string{
		{"check", job, "-o", filepath.Join(dir, "check.txt")},
		{"check", job, "-f", "json", "-o", filepath.Join(job, "bays.csv.json")},
		{"plan", job}, {"record", job}, {"record", job, "-o", filepath.Join(dir, "r.html")},
		{"review", dir, "-o", filepath.Join(dir, "review.txt")},
		{"demo", filepath.Join(dir, "demo")},
		{"start", filepath.Join(dir, "new"), "--bag-weight", "25 lb"},
		{"fields", "-o", filepath.Join(dir, "fields.txt")},
	}
}

// On a full disk every command says so, fails, and leaves the disk as it was: no half-written file,
// none less.
func TestFullDisk(t *testing.T) {
	dir, fill := smallDisk(t)
	fill()
	before := files(t, dir)
	for _, args := range writers(dir) {
		code, _, stderr := typeIn(9*time.Hour, "", args...)
		if code != 1 || !strings.Contains(stderr, "no space left") {
			t.Errorf("%s: exit code %d: %s", strings.Join(args, " "), code, stderr)
		}
		same(t, strings.Join(args, " "), before, files(t, dir))
	}
}

// A row for which the disk has no room is not confirmed, and no part of it stays; when there is
// room again it goes in.
func TestFullDiskWhileLogging(t *testing.T) {
	dir, fill := smallDisk(t)
	log := filepath.Join(dir, "job", "bays.csv")
	padded := "section,bay,width,depth,length,bags,time,note\n"
	for n := 1; len(padded) < 4096-60; n++ { // so that the row to come needs a new page of the disk
		padded += fmt.Sprintf("north,b%d,22.5,5.5,12,1.75,,packed well\n", n)
	}
	makeFile(t, log, padded)
	makeFile(t, log+".lock", strings.Repeat(" ", 80)) // held on disk before it is full
	fill()
	_, stdout, stderr := typeIn(9*time.Hour, "x1 22.5 5.5 12 1 3/4\nx2 22.5 5.5 12 1 3/4\nfinish\n", "log", filepath.Join(dir, "job"))
	got, err := os.ReadFile(log)
	if err != nil {
		t.Fatal(err)
	}
	added, ok := strings.CutPrefix(string(got), padded)
	if !ok || !regexp.MustCompile(`^(north,x\d,22\.5,5\.5,12,1\.75,2026-05-14T09:00:00Z,\n)*$`).MatchString(added) {
		t.Errorf("half a row stays: %q", added)
	}
	if strings.Contains(added, "x2") || strings.Contains(stdout, "x2 ■") {
		t.Errorf("the disk was not full: %q\n%s", added, stdout)
	}
	if !strings.Contains(stdout+stderr, "make room on the disk") {
		t.Errorf("nothing is said of the full disk:\n%s%s", stdout, stderr)
	}
	if err := os.Remove(filepath.Join(dir, "ballast")); err != nil {
		t.Fatal(err)
	}
	typeIn(9*time.Hour, "x3 22.5 5.5 12 1 3/4\nfinish\n", "log", filepath.Join(dir, "job"))
	if _, rows, _ := runCommand(t, "check", filepath.Join(dir, "job"), "-f", "csv"); !strings.Contains(rows, ",x3,filled") {
		t.Errorf("with room again nothing is logged:\n%s", rows)
	}
}

// A disk that may only be read: what writes says so, what only reads works.
func TestReadOnlyDisk(t *testing.T) {
	dir, _ := smallDisk(t)
	if err := syscall.Mount("bayproof-test", dir, "tmpfs", syscall.MS_REMOUNT|syscall.MS_RDONLY, "size=64k"); err != nil {
		t.Skipf("NOT RUN: the disk cannot be made read-only here: %v", err)
	}
	before := files(t, dir)
	for _, args := range append(writers(dir), []string{"log", filepath.Join(dir, "job")}) {
		code, _, stderr := typeIn(9*time.Hour, "", args...)
		if code != 1 || !strings.Contains(stderr, "read-only file system") {
			t.Errorf("%s: exit code %d: %s", strings.Join(args, " "), code, stderr)
		}
		same(t, strings.Join(args, " "), before, files(t, dir))
	}
	for _, args := range [][]string{{"check", filepath.Join(dir, "job")}, {"plan", filepath.Join(dir, "job"), "--sheets", "-"}, {"record", filepath.Join(dir, "job"), "-o", "-"}} {
		if code, stdout, stderr := typeIn(9*time.Hour, "", args...); code == 1 || stdout == "" {
			t.Errorf("%s: exit code %d: %s", strings.Join(args, " "), code, stderr)
		}
	}
}
