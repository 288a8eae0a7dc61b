package joblog

import (
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
	"unicode/utf8"

	"bayproof/model"
)

// seeds are logs that exercise the reader: the hostile corpus, the demonstration job, and every
// form that a test reads.
func seeds(t testing.TB) []string {
	var out []string
	err := filepath.WalkDir("../../testdata/hostile", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || filepath.Ext(path) != ".csv" {
			return err
		}
		b, err := os.ReadFile(path)
		if len(b) < 1<<14 {
			out = append(out, string(b))
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	demo, err := os.ReadFile("../../cmd/demo/job/bays.csv")
	if err != nil {
		t.Fatal(err)
	}
	return append(out, string(demo), plainLog, head+filled("b1", "counter=2")+row("n", "b1", "strike")+filled("b1", "counter=3"),
		"job,section,bay,width,depth,length,bags\nA,n,b1,22.5,5.5,12,2\nB,n,b1,22.5,5.5,12,2\n",
		"job,section,bay,width,depth,length,bags,note\nA,n,b1,22.5,5.5,12,2,\"x\ny\nz\"\nA,n,b2,22.5,5.5,12,2,\nB,n,b1,22.5,5.5,12,2,\"\n",
		"bay,job,width,depth,length,bags\rb1,A,22.5,5.5,12,2\rb2,A,22.5,5.5,12,2\r")
}

// FuzzLog: whatever the bytes, the reader ends, points into the file, takes no number that is not
// finite, and every part of a good log puts together.
func FuzzLog(f *testing.F) {
	all := seeds(f)
	if len(all) < 60 {
		f.Fatalf("only %d seeds: the corpus is not where it was", len(all))
	}
	for _, s := range all {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, log string) {
		job, faults := readLog(log)
		if (job == nil) != (len(faults) > 0) {
			t.Fatalf("a job with faults, or neither: %s", told(faults))
		}
		checkFaults(t, log, faults)
		if job != nil {
			checkJob(t, job)
		}
		Scan(fstest.MapFS{"bays.csv": {Data: []byte(log)}}, "", bagsOf25(), func(u *Unread) bool {
			part, faults := u.Read()
			checkFaults(t, log, faults)
			if part != nil && job != nil && standing(part) != standing(job) {
				t.Errorf("one way\n%s\nthe other\n%s", standing(job), standing(part))
			}
			u.Done()
			return true
		})
	})
}

// checkFaults: messages point inside the file and can be shown.
func checkFaults(t *testing.T, log string, faults []model.Fault) {
	lines := strings.Count(strings.ReplaceAll(log, "\r", "\n"), "\n") + 1
	for _, x := range faults {
		if x.Src.Line < 0 || x.Src.Line > lines || x.Src.Col < 0 || x.Src.Col > len(log)+1 || x.What == "" {
			t.Errorf("%s:%d:%d: %s: not in a file of %d lines", x.Src.File, x.Src.Line, x.Src.Col, x.What, lines)
		}
		if !utf8.ValidString(x.What+x.Hint) || strings.ContainsAny(x.What+x.Hint, "\x1b\r\n\x00") || len(x.What) > 2*maxTold*4 {
			t.Errorf("%q is not fit to be shown", x.What)
		}
	}
	if len(faults) > maxFaults+20 {
		t.Errorf("%d faults", len(faults))
	}
}

// checkJob: what was accepted is finite and positive, and the log's parts put together.
func checkJob(t *testing.T, job *model.Job) {
	orders := map[int]bool{}
	for _, b := range job.Bays {
		if v := b.Volume(); b.Fill != nil && !(v > 0 && !math.IsInf(v, 0)) {
			t.Errorf("%s is filled and holds %v m³", b.Name, v)
		}
		if b.Fill != nil && (b.Order < 1 || orders[b.Order] || len(b.Moves) == 0) {
			t.Errorf("%s: order %d, %d moves", b.Name, b.Order, len(b.Moves))
		}
		orders[b.Order] = true
		for _, m := range b.Moves {
			for _, v := range []float64{m.Material.Bags, m.Material.Prev, m.Material.Part, m.Material.Mass} {
				if math.IsNaN(v) || math.IsInf(v, 0) {
					t.Errorf("%s: material %+v", b.Name, m.Material)
				}
			}
			if m.Material.Kind == model.MaterialCounter && !m.Material.Shared && m.Material.Bags < m.Material.Prev {
				t.Errorf("%s: the counter runs back from %v to %v", b.Name, m.Material.Prev, m.Material.Bags)
			}
		}
	}
	if len(job.Log) > 60 {
		return
	}
	steps := job.Beginnings()
	for n := range len(job.Log) + 1 {
		anew, _ := job.Upto(n)
		if want, got := everything(anew), everything(steps.Upto(n)); got != want {
			t.Errorf("%d rows, put together anew:\n%s\nfrom the rows before:\n%s", n, want, got)
		}
	}
}

// FuzzCut: a line's cells, written again by the book, are cut into the same cells.
func FuzzCut(f *testing.F) {
	for _, s := range []string{`a,b,c`, `"a","b,c"`, `12' 6",5`, `"12' 6"",5`, `",",`, `"a""b"`} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, line string) {
		if strings.ContainsAny(line, "\n\r") {
			return
		}
		c := cutter{sep: ','}
		cells, open := c.cut(line, nil)
		if open > 0 {
			return
		}
		var again strings.Builder
		l := layout{sep: ','}
		for i, cell := range cells {
			if i > 0 {
				again.WriteByte(',')
			}
			again.WriteString(l.quote(cell))
		}
		c.want = len(cells)
		back, open := c.cut(again.String(), nil)
		if open > 0 || strings.Join(back, "\x00") != strings.Join(cells, "\x00") {
			t.Errorf("%q is %q, written again %q, and then %q", line, cells, again.String(), back)
		}
	})
}
