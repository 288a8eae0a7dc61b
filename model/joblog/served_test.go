package joblog

import (
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"
)

// A sitting and a server write to one log in turn: the sitting is told that the log is another one,
// and neither loses a row of log or journal.
func TestBesideASitting(t *testing.T) {
	dir := jobOnDisk(t, map[string]string{"job.csv": jobCSV})
	if _, err := openFolder(t, dir).Token(); err != nil {
		t.Fatal(err)
	}
	sitting := openWriter(t, dir)
	beside := func(bay string) {
		t.Helper()
		w, err := OpenBeside(openFolder(t, dir))
		if err != nil {
			t.Fatal(err)
		}
		defer w.Close()
		if err := w.Append(aRow(bay)); err != nil {
			t.Fatal(err)
		}
	}
	for _, b := range []string{"b1", "b3", "b5"} {
		if err := sitting.Append(aRow(b)); err != nil {
			t.Fatal(err)
		}
		beside("c" + b)
		if err := sitting.Append(aRow("b9")); err != ErrChanged {
			t.Fatalf("%v", err)
		}
		if c, err := sitting.Reload(); err != nil || len(c.Lost) > 0 || c.Kept != "" {
			t.Fatalf("%+v, %v", c, err)
		}
	}
	sitting.Close()
	last := openWriter(t, dir)
	c, rows := last.Compared()
	if !c.Agrees() || len(rows) != 6 || len(last.chain.Rows) != 6 || last.chain.Broken > 0 {
		t.Errorf("%d rows, %d in the journal, broken at %d: %+v", len(rows), len(last.chain.Rows), last.chain.Broken, c)
	}
}

// While an entry is being written beside it, a sitting waits, and then sees the row.
func TestSittingWaits(t *testing.T) {
	dir := jobOnDisk(t, map[string]string{"job.csv": jobCSV})
	w, err := OpenBeside(openFolder(t, dir))
	if err != nil {
		t.Fatal(err)
	}
	done := make(chan error, 1)
	go func() {
		sitting, err := OpenWriter(openFolder(t, dir), "who waits")
		if err == nil {
			err = sitting.Append(aRow("b2"))
			sitting.Close()
		}
		done <- err
	}()
	select {
	case err := <-done:
		t.Fatalf("it did not wait: %v", err)
	case <-time.After(100 * time.Millisecond):
	}
	if err := w.Append(aRow("b1")); err != nil {
		t.Fatal(err)
	}
	w.Close()
	if err := <-done; err != nil || strings.Count(onDisk(t, dir), "\n") != 3 {
		t.Errorf("%v\n%s", err, onDisk(t, dir))
	}
}

// The token stays the same, only those who may write into the folder can read it, and one that was
// damaged is made anew.
func TestToken(t *testing.T) {
	dir := jobOnDisk(t, map[string]string{"job.csv": jobCSV})
	first, err := openFolder(t, dir).Token()
	if err != nil || len(first) != 26 {
		t.Fatalf("%q, %v", first, err)
	}
	if again, err := openFolder(t, dir).Token(); err != nil || again != first {
		t.Errorf("%q, %v; it was %q", again, err, first)
	}
	file := filepath.Join(dir, "bays.csv.serve")
	if info, err := os.Stat(file); runtime.GOOS != "windows" && (err != nil || info.Mode().Perm()&0o004 != 0) {
		t.Errorf("everybody reads it: %v, %v", info.Mode(), err)
	}
	if err := os.WriteFile(file, []byte("\x00../../etc/passwd\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if other, err := openFolder(t, dir).Token(); err != nil || other == first || len(other) != 26 {
		t.Errorf("%q, %v", other, err)
	}
	if runtime.GOOS == "windows" {
		return
	}
	outside := filepath.Join(t.TempDir(), "outside")
	if err := os.WriteFile(outside, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(file); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(outside, file); err != nil {
		t.Fatal(err)
	}
	if token, err := openFolder(t, dir).Token(); err == nil {
		t.Errorf("a token by way of a link: %q", token)
	}
	if b, err := os.ReadFile(outside); err != nil || len(b) > 0 {
		t.Errorf("written through it: %q, %v", b, err)
	}
}
