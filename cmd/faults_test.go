package cmd_test

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"bayproof/cmd"
	"bayproof/model/joblog"
)

const oneBay = "section,bay,width,depth,length,weight,time\nnorth,b1,22.5,5.5,12,30,2026-05-14T09:00:00Z\n"

// typeIn runs a command at whose prompt lines are typed, at that time of the day.
func typeIn(at time.Duration, lines string, args ...string) (code int, stdout, stderr string) {
	var out, errs bytes.Buffer
	code = cmd.Run(args, &cmd.Env{
		Stdin: strings.NewReader(lines), Stdout: &out, Stderr: &errs,
		Now:    func() time.Time { return time.Date(2026, 5, 14, 0, 0, 0, 0, time.UTC).Add(at) },
		Getenv: func(string) string { return "" },
	})
	return code, out.String(), errs.String()
}

// A second one who logs the same job is told who holds it, and changes nothing; the first one goes
// on.
func TestTwoWhoLog(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "job")
	makeFile(t, filepath.Join(dir, "bays.csv"), oneBay)
	folder, err := joblog.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer folder.Close()
	first, err := joblog.OpenWriter(folder, "by AR on the blue truck since 08:10")
	if err != nil {
		t.Fatal(err)
	}
	code, stdout, stderr := typeIn(9*time.Hour, "b2 22.5 5.5 12 30 lb\nfinish\n", "log", dir)
	if code != 1 || stdout != "" || !strings.Contains(stderr, "the log is open elsewhere: by AR on the blue truck since 08:10") || !strings.Contains(stderr, "hint: close it there first") {
		t.Errorf("exit code %d: %s%s", code, stdout, stderr)
	}
	if got, _ := os.ReadFile(filepath.Join(dir, "bays.csv")); string(got) != oneBay {
		t.Errorf("the log was changed:\n%s", got)
	}
	// Reading is nobody's alone.
	if code, stdout, _ := runCommand(t, "check", dir); code == 1 || stdout == "" {
		t.Errorf("check beside it: exit code %d", code)
	}
	first.Close()
	if code, _, stderr := typeIn(9*time.Hour, "b2 22.5 5.5 12 30 lb\nfinish\n", "log", dir); code != 0 {
		t.Errorf("once it was closed: exit code %d: %s", code, stderr)
	}
}

// Where the clock ran back between two rows, both stay, in the order in which they were typed, and
// it is said.
func TestClockThatRunsBack(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "job")
	makeFile(t, filepath.Join(dir, "bays.csv"), oneBay)
	for _, at := range []time.Duration{10 * time.Hour, 8 * time.Hour} {
		if code, _, stderr := typeIn(at, "22.5 5.5 12 30 lb\nfinish\n", "log", dir); code != 0 {
			t.Fatalf("exit code %d: %s", code, stderr)
		}
	}
	code, stdout, stderr := runCommand(t, "check", dir)
	if code == 1 || !strings.Contains(spaced(stdout), "times run backward") || !strings.Contains(spaced(stdout), "bays.csv, row 4") {
		t.Errorf("exit code %d: %s%s", code, stdout, stderr)
	}
	if _, rows, _ := runCommand(t, "check", dir, "-f", "csv"); strings.Index(rows, ",b2,") > strings.Index(rows, ",b3,") {
		t.Errorf("the rows are not in the order in which they were typed:\n%s", rows)
	}
}

// spaced puts wrapped text into one line.
func spaced(text string) string { return strings.Join(strings.Fields(text), " ") }

// A log that vanishes, or is written by another program, while someone types: the row is not lost
// silently.
func TestLogThatVanishesWhileTyping(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "job")
	makeFile(t, filepath.Join(dir, "bays.csv"), oneBay)
	var out, errs bytes.Buffer
	typed := &typist{lines: []func() string{
		func() string { return "b2 22.5 5.5 12 30 lb\n" },
		func() string { _ = os.Remove(filepath.Join(dir, "bays.csv")); return "b3 22.5 5.5 12 30 lb\n" },
		func() string { return "finish\n" },
	}}
	cmd.Run([]string{"log", dir}, &cmd.Env{
		Stdin: typed, Stdout: &out, Stderr: &errs,
		Now:    func() time.Time { return time.Date(2026, 5, 14, 9, 0, 0, 0, time.UTC) },
		Getenv: func(string) string { return "" },
	})
	said := spaced(out.String() + errs.String())
	if !strings.Contains(said, "Another program changed the log") && !strings.Contains(said, "is gone") {
		t.Errorf("nothing is said of the log that is gone:\n%s", said)
	}
}

// typist types a line when it is asked for, and may do something before.
type typist struct{ lines []func() string }

func (t *typist) Read(p []byte) (int, error) {
	if len(t.lines) == 0 {
		return 0, os.ErrClosed
	}
	line := t.lines[0]()
	t.lines = t.lines[1:]
	return copy(p, line), nil
}

// files lists what is on a disk, and what is in each file.
func files(t *testing.T, dir string) map[string]string {
	t.Helper()
	all := map[string]string{}
	err := filepath.WalkDir(dir, func(name string, d os.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			all[name] = "a folder"
			return nil
		}
		data, err := os.ReadFile(name)
		all[name] = string(data)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// same compares what is on a disk.
func same(t *testing.T, about string, before, after map[string]string) {
	t.Helper()
	for name, text := range after {
		if was, ok := before[name]; !ok {
			t.Errorf("%s: leaves %s (%d bytes)", about, name, len(text))
		} else if was != text {
			t.Errorf("%s: %s is changed", about, name)
		}
	}
	for name := range before {
		if _, ok := after[name]; !ok {
			t.Errorf("%s: %s is gone", about, name)
		}
	}
}
