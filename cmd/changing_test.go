package cmd_test

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"bayproof/cmd"
)

// While a file of the job is written to, a record is made of the whole file or not at all: never of
// a part, and never is half a record left.
func TestRecordWhileWrittenTo(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"bays.csv", "job.csv"} {
		dir := t.TempDir()
		blank := strings.Repeat(strings.Repeat(" ", 200)+",\n", 9_000) // so that reading takes a while, for a write to fall into on a busy machine too
		makeFile(t, filepath.Join(dir, "bays.csv"), "section,bay,width,depth,length,weight\nA,b1,14.5,5.5,12,25\n"+blank)
		makeFile(t, filepath.Join(dir, "job.csv"), "name,value\ncrew,two\n"+blank)
		stop := make(chan struct{})
		var busy sync.WaitGroup
		busy.Go(func() {
			at := time.Now()
			for {
				select {
				case <-stop:
					return
				default:
					at = at.Add(time.Millisecond)
					_ = os.Chtimes(filepath.Join(dir, name), at, at) // as every write does
				}
			}
		})
		record := filepath.Join(dir, "record.html")
		refused := 0
		for until := time.Now().Add(2 * time.Minute); refused == 0 && time.Now().Before(until); {
			os.Remove(record)
			code, _, stderr := runCommand(t, "record", dir)
			page, err := os.ReadFile(record)
			switch {
			case code == 0 && err == nil && strings.HasSuffix(strings.TrimSpace(string(page)), "</html>"):
			case code == 1 && os.IsNotExist(err):
				want := "bayproof: error: " + filepath.Join(dir, name) + ": was written to while it was read\nbayproof: hint: type the command again\n"
				if refused++; stderr != want {
					t.Errorf("%s: told\n%s\nwant\n%s", name, stderr, want)
				}
			default:
				t.Fatalf("%s: exit code %d, record of %d bytes (%v)\n%s", name, code, len(page), err, stderr)
			}
		}
		close(stop)
		busy.Wait()
		if refused == 0 {
			t.Errorf("%s was written to all the time, and nobody noticed", name)
		}
		left, _ := filepath.Glob(filepath.Join(dir, ".*"))
		if len(left) > 0 {
			t.Errorf("left behind: %v", left)
		}
	}
}

// lineByLine hands out one line a read, each after what is done before it.
type lineByLine struct {
	lines  []string
	before map[int]func() // by line from 0
	n      int
}

func (l *lineByLine) Read(p []byte) (int, error) {
	if l.n == len(l.lines) {
		return 0, io.EOF
	}
	if do := l.before[l.n]; do != nil {
		do()
	}
	l.n++
	return copy(p, l.lines[l.n-1]+"\n"), nil
}

// A row that another program dropped while the log is open is missed, whoever wrote it; so are all
// of them in a log that was emptied. They are shown, kept, and written again once that is asked
// for.
func TestRowsDroppedWhileTheLogIsOpen(t *testing.T) {
	t.Parallel()
	const head, b1, b2 = "section,bay,entry,width,depth,length,bags,note,time\n", "n,b1,fill,22.5,5.5,12,1.75,,2026-05-14T08:00:00Z\n", "n,b2,fill,22.5,5.5,12,1.5,wet,2026-05-14T08:10:00Z\n"
	const b3, again = "n,b3,fill,22.5,5.5,12,1.75,,2026-05-14T09:00:00Z\n", "n,b1,fill,22.5,5.5,12,1.75,,2026-05-14T09:00:00Z\n"
	for _, x := range []struct {
		name, now, answer, want string
		says                    []string
	}{
		{"the first row", head + b2, "y", head + b2 + again + b3, []string{"Rows that are gone from it:", "section n, bay b1, entry fill, width 22.5"}},
		{"the first row, let go", head + b2, "n", head + b2 + b3, []string{"bay b1, entry fill"}},
		{"the last row", head + b1, "y", head + b1 + b2 + b3, []string{"bay b2, entry fill", "note wet"}},
		{"all rows", head, "y", head + b1 + b2 + b3, []string{"bay b1, entry fill", "bay b2, entry fill"}},
	} {
		dir := t.TempDir()
		log := filepath.Join(dir, "bays.csv")
		makeFile(t, filepath.Join(dir, "job.csv"), "name,value\nbag_weight,25 lb\n")
		makeFile(t, log, head+b1+b2)
		var out, errs bytes.Buffer
		in := &lineByLine{lines: []string{"b3 22.5 5.5 12 1 3/4", "what?", x.answer, "finish"}, before: map[int]func(){0: func() { makeFile(t, log, x.now) }}}
		cmd.Run([]string{"log", dir}, &cmd.Env{Stdin: in, Stdout: &out, Stderr: &errs, Getenv: func(string) string { return "" },
			Now: func() time.Time { return time.Date(2026, 5, 14, 9, 0, 0, 0, time.UTC) }})
		for _, want := range append(x.says, "The log as it was is kept in", "bays.csv.before", "Type y or n first") {
			if !strings.Contains(out.String(), want) {
				t.Errorf("%s: nothing says %q in\n%s%s", x.name, want, out.String(), errs.String())
			}
		}
		if got, _ := os.ReadFile(log); string(got) != x.want {
			t.Errorf("%s: the log holds\n%s\nwant\n%s\n%s", x.name, got, x.want, out.String())
		}
		if kept, _ := os.ReadFile(log + ".before"); string(kept) != head+b1+b2 {
			t.Errorf("%s: kept\n%s", x.name, kept)
		}
	}
}

// A core that another program dropped while the log is open is told, and kept; the next core is
// logged all the same, an undo takes that one back, and --restore brings the dropped one.
func TestCoresDroppedWhileTheLogIsOpen(t *testing.T) {
	dir := t.TempDir()
	cores := filepath.Join(dir, "cores.csv")
	makeFile(t, filepath.Join(dir, "job.csv"), "name,value\nbag_weight,25 lb\n")
	makeFile(t, filepath.Join(dir, "sections.csv"), "section,kind,bays\nn,rafter,3\n")
	env := func(in io.Reader, out, errs *bytes.Buffer) *cmd.Env {
		return &cmd.Env{Stdin: in, Stdout: out, Stderr: errs, Getenv: func(string) string { return "" },
			Now: func() time.Time { return time.Date(2026, 5, 14, 9, 0, 0, 0, time.UTC) }}
	}
	const head = "section,bay,machine,time,kind,diameter,depth,volume,weight,at,by,date,photo\n"
	const first, second = "n,b1,,2026-05-14T09:00:00Z,core,2.5,5.5,,27 g,,,,\n", "n,b1,,2026-05-14T09:00:00Z,core,2.5,5.5,,28 g,,,,\n"
	var out, errs bytes.Buffer
	core := " diameter 2.5 depth 5.5"
	in := &lineByLine{lines: []string{"b1 22.5 5.5 12 1 3/4", "core b1 27 g" + core, "core b1 28 g" + core, "core b1 29 g" + core, "undo", "finish"},
		before: map[int]func(){2: func() { makeFile(t, cores, head) }}}
	if code := cmd.Run([]string{"log", dir}, env(in, &out, &errs)); code != 0 {
		t.Errorf("exit code %d", code)
	}
	told := strings.Join(strings.Fields(errs.String()), " ")
	if want := "bayproof: warning: another program changed cores.csv: 1 row is gone; as it was it is kept in " + cores + ".before; after finish, bayproof log JOB --restore brings back what is gone"; told != want {
		t.Errorf("told\n%s\nwant\n%s", told, want)
	}
	if !strings.Contains(out.String(), "Taken back: core, 29 g") {
		t.Errorf("the undo: %s", out.String())
	}
	if got, _ := os.ReadFile(cores); string(got) != head+second {
		t.Errorf("cores.csv holds\n%s", got)
	}
	if kept, _ := os.ReadFile(cores + ".before"); string(kept) != "\ufeff"+head+first {
		t.Errorf("kept\n%s", kept)
	}
	out.Reset()
	if code := cmd.Run([]string{"log", dir, "--restore"}, env(strings.NewReader(""), &out, &errs)); code != 0 || !strings.Contains(out.String(), "Back: row 1 of 09:00 (n b1, core).") {
		t.Errorf("exit code %d, %s%s", code, &out, &errs)
	}
	if got, _ := os.ReadFile(cores); string(got) != head+first+second {
		t.Errorf("restored\n%s", got)
	}
}

// An undo of a core takes it out although another program took out an earlier one meanwhile, which
// is told; a core that is written otherwise by now is left to whoever wrote it, and how is said.
func TestUndoOfACoreInAChangedFile(t *testing.T) {
	dir := t.TempDir()
	cores := filepath.Join(dir, "cores.csv")
	makeFile(t, filepath.Join(dir, "job.csv"), "name,value\nbag_weight,25 lb\n")
	makeFile(t, filepath.Join(dir, "sections.csv"), "section,kind,bays\nn,rafter,3\n")
	change := func(old, new string) func() {
		return func() {
			b, err := os.ReadFile(cores)
			if err != nil || !strings.Contains(string(b), old) {
				t.Errorf("no %q in %s (%v)", old, b, err)
			}
			makeFile(t, cores, strings.Replace(string(b), old, new, 1))
		}
	}
	var out, errs bytes.Buffer
	core := " diameter 2.5 depth 5.5"
	in := &lineByLine{lines: []string{"b1 22.5 5.5 12 1 3/4", "core b1 27 g" + core, "core b1 28 g" + core, "undo", "core b1 29 g" + core, "undo", "finish"},
		before: map[int]func(){3: change("n,b1,,2026-05-14T09:00:00Z,core,2.5,5.5,,27 g,,,,\n", ""), 5: change("29 g", "29.0 g")}}
	cmd.Run([]string{"log", dir}, &cmd.Env{Stdin: in, Stdout: &out, Stderr: &errs, Getenv: func(string) string { return "" },
		Now: func() time.Time { return time.Date(2026, 5, 14, 9, 0, 0, 0, time.UTC) }})
	said := strings.Join(strings.Fields(out.String()+errs.String()), " ")
	for _, want := range []string{"Taken back: core, 28 g", "another program changed cores.csv: 1 row is gone", "Not taken back: " + cores + " was changed by another program; take the row out of it by hand"} {
		if !strings.Contains(said, want) {
			t.Errorf("nothing says %q in\n%s", want, said)
		}
	}
	const head = "\ufeffsection,bay,machine,time,kind,diameter,depth,volume,weight,at,by,date,photo\n"
	if got, _ := os.ReadFile(cores); string(got) != head+"n,b1,,2026-05-14T09:00:00Z,core,2.5,5.5,,29.0 g,,,,\n" {
		t.Errorf("cores.csv holds\n%s", got)
	}
}
