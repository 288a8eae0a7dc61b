package joblog

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// bayNames are the bays of a log's rows that are there whole.
func bayNames(w *Writer) (names []string) {
	for _, row := range w.Rows() {
		names = append(names, row["bay"])
	}
	return names
}

// TestPowerCuts: whatever of a row a power cut leaves, what was confirmed before is in log and
// journal, nothing is told, and the next row is confirmed. The log is on disk before the journal is
// written to: so one of the two is whole. A disk may leave a block of NULs behind what is cut.
func TestPowerCuts(t *testing.T) {
	dir := logged(t, aRow("b1"), aRow("b2"))
	log, journal := filepath.Join(dir, "bays.csv"), filepath.Join(dir, "bays.csv.journal")
	read := func() (a, b []byte) {
		a, err1 := os.ReadFile(log)
		b, err2 := os.ReadFile(journal)
		if err1 != nil || err2 != nil {
			t.Fatal(err1, err2)
		}
		return a, b
	}
	before, kept := read()
	w := openWriter(t, dir)
	if err := w.Append(aRow("b3", "note=by the \"door\", north")); err != nil {
		t.Fatal(err)
	}
	w.Close()
	after, noted := read()
	type state struct{ log, journal []byte }
	var states []state
	for i := len(before); i <= len(after); i++ {
		states = append(states, state{after[:i], kept})
		if i%4 == 0 {
			states = append(states, state{slices.Concat(after[:i], make([]byte, 512)), kept})
		}
	}
	for i := len(kept); i <= len(noted); i += 3 {
		states = append(states, state{after, slices.Concat(noted[:i], make([]byte, 512*(i%2)))})
	}
	for _, x := range states {
		what := fmt.Sprintf("log of %d bytes, journal of %d", len(x.log), len(x.journal))
		if err1, err2 := os.WriteFile(log, x.log, 0o644), os.WriteFile(journal, x.journal, 0o644); err1 != nil || err2 != nil {
			t.Fatal(err1, err2)
		}
		w := openWriter(t, dir)
		if c, _ := w.Compared(); !c.Agrees() || w.Broken() > 0 {
			t.Errorf("%s: %+v, broken at %d", what, c, w.Broken())
		}
		if err := w.Append(aRow("b4")); err != nil {
			t.Fatalf("%s: %v", what, err)
		}
		w.Close()
		if got := journalOn(t, dir); got != "" {
			t.Errorf("%s, and gone on: %s", what, got)
		}
		names := strings.Join(bayNames(w), " ")
		if names != "b1 b2 b4" && names != "b1 b2 b3 b4" || len(x.log) == len(after) && names != "b1 b2 b3 b4" {
			t.Errorf("%s, and gone on: %s", what, names)
		}
		_ = os.Remove(log + ".torn")
	}
}

// TestTornAtAnyByte: a disk that said that it had written and had not may leave both files torn at
// any byte. What stands whole in either of them is in the log once the journal's rows are brought
// back, and the next row is confirmed.
func TestTornAtAnyByte(t *testing.T) {
	for name, head := range map[string]string{"a new log": "", "a header of its own": "weather,Bay,section,depth,width,length,bags,note,entry,time\r\n"} {
		dir := jobOnDisk(t, map[string]string{"job.csv": jobCSV})
		log, journal := filepath.Join(dir, "bays.csv"), filepath.Join(dir, "bays.csv.journal")
		if head != "" {
			if err := os.WriteFile(log, []byte(head), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		w := openWriter(t, dir)
		for _, b := range []string{"b1", "b2", "b3"} {
			if err := w.Append(aRow(b)); err != nil {
				t.Fatal(err)
			}
		}
		w.Close()
		whole, _ := os.ReadFile(log)
		chain, _ := os.ReadFile(journal)
		try := func(i, j int, more []byte) {
			t.Helper()
			what := fmt.Sprintf("%s, log torn at %d, journal at %d, %d NULs", name, i, j, len(more))
			if err1, err2 := os.WriteFile(log, slices.Concat(whole[:i], more), 0o644), os.WriteFile(journal, slices.Concat(chain[:j], more), 0o644); err1 != nil || err2 != nil {
				t.Fatal(err1, err2)
			}
			w, err := OpenWriter(openFolder(t, dir), "a test")
			if err != nil && head != "" && i < len(head) { // a header that somebody wrote is left alone
				return
			}
			if err != nil {
				t.Fatalf("%s: %v", what, err)
			}
			if _, err := w.Restore(); err != nil {
				t.Fatalf("%s: %v", what, err)
			}
			if err := w.Append(aRow("b4")); err != nil {
				t.Fatalf("%s: %v", what, err)
			}
			w.Close()
			got := bayNames(w)
			for n, b := range []string{"b1", "b2", "b3"} {
				inLog := bytes.Count(whole[:i], []byte("\n")) > n+1
				inJournal := bytes.Count(chain[:j], []byte("\n")) > n+1
				if k := strings.Count(strings.Join(got, " "), b); (inLog || inJournal) && k != 1 || k > 1 {
					t.Errorf("%s: %s stands there %d times, in the log %t, in the journal %t", what, b, k, inLog, inJournal)
				}
			}
			// The first row alone has none above it that shows that a time belongs there.
			if told := journalOn(t, dir); told != "" && !strings.Contains(told, "(n b1, fill) reads otherwise in bays.csv: time is blank") || !slices.IsSorted(got) {
				t.Errorf("%s: %v; told %s", what, got, told)
			}
			_, _ = os.Remove(log+".torn"), os.Remove(log+".before")
		}
		last := bytes.LastIndexByte(whole[:len(whole)-1], '\n')
		for i := 0; i <= len(whole); i++ {
			if i%7 == 0 || head != "" && i > last { // every byte of a last row, each seventh of what stands above
				try(i, len(chain), nil)
				try(i, []int{0, len(chain) * 2 / 3}[i%2], make([]byte, i%3))
			}
		}
		for j := 0; j <= len(chain); j += 17 {
			try(len(whole)*2/3, j, nil)
		}
	}
}
