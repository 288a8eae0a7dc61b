package joblog

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"bayproof/model"
)

// resealed is a journal with a chain of its own, as whoever can write the file can make it.
func resealed(text string) string {
	out, before := "", ""
	for line := range strings.Lines(text) {
		_, object, _ := strings.Cut(strings.TrimSuffix(line, "\n"), " ")
		sum := sha256.Sum256([]byte(before + "\n" + object + "\n"))
		before = hex.EncodeToString(sum[:])
		out += before + " " + object + "\n"
	}
	return out
}

// TestForger: what is said of a log and a journal that somebody forged is true whichever of the two
// it was, and no more is said than the chain shows. What it cannot show, lines cut off the end or a
// chain sealed again, shows in its end, for whoever kept that.
func TestForger(t *testing.T) {
	const told1 = "journal-changed row 2 of 14:30 (n b2, fill) reads otherwise in bays.csv: bags is 2, 1.5 in the journal; if that is right, bayproof log JOB --accept"
	const gone1 = "journal-gone row 2 of 14:30 (n b2, fill) is in the journal and not in bays.csv: bayproof log JOB --restore brings it back"
	const breaks = "journal-broken the journal breaks at line %d: from there on it proves nothing"
	lines := func(text string, order ...int) string {
		all, out := strings.SplitAfter(text, "\n"), ""
		for _, i := range order {
			out += all[i]
		}
		return out
	}
	less := func(text string) string {
		return strings.Replace(text, `"bags":"2","bay":"b2"`, `"bags":"1.5","bay":"b2"`, 1)
	}
	for _, x := range []struct {
		name         string
		log, journal func(string) string
		told         string
		want         model.Journal // but for its end
		sameEnd      bool
	}{
		{"a row changed in the log", func(s string) string {
			return strings.Replace(s, "n,b2,fill,,22.5,,5.5,,12,,,2", "n,b2,fill,,22.5,,5.5,,12,,,3", 1)
		}, nil,
			strings.NewReplacer("bags is 2", "bags is 3", "1.5", "2").Replace(told1), model.Journal{Rows: 3, Changed: 1}, true},
		{"a row changed in the journal", nil, less, fmt.Sprintf(breaks, 3), model.Journal{Rows: 1, Besides: 2, Broken: 3}, true},
		{"that one sealed again", nil, func(s string) string { return resealed(less(s)) }, told1, model.Journal{Rows: 3, Changed: 1}, false},
		{"a row changed in both", func(s string) string {
			return strings.Replace(s, "n,b2,fill,,22.5,,5.5,,12,,,2", "n,b2,fill,,22.5,,5.5,,12,,,1.5", 1)
		}, less,
			fmt.Sprintf(breaks, 3), model.Journal{Rows: 1, Besides: 2, Broken: 3}, true},
		{"a row changed in both, sealed again", func(s string) string {
			return strings.Replace(s, "n,b2,fill,,22.5,,5.5,,12,,,2", "n,b2,fill,,22.5,,5.5,,12,,,1.5", 1)
		},
			func(s string) string { return resealed(less(s)) }, "", model.Journal{Rows: 3}, false},
		{"a row put into the log", func(s string) string { return s + strings.Replace(lines(s, 3), "b3", "b4", 1) }, nil, "", model.Journal{Rows: 3, Besides: 1}, true},
		{"a row put into the journal", nil, func(s string) string {
			return s + strings.Repeat("0", 64) + ` {"row":4,"cells":{"bay":"b9","section":"n","entry":"fill"}}` + "\n"
		}, fmt.Sprintf(breaks, 5) + ". Rows there that are not in bays.csv: 1", model.Journal{Rows: 3, Broken: 5}, false},
		{"a row taken out of the log", func(s string) string { return lines(s, 0, 1, 3) }, nil, gone1, model.Journal{Rows: 3, Gone: 1}, true},
		{"a row taken out of the journal", nil, func(s string) string { return lines(s, 0, 1, 3) }, fmt.Sprintf(breaks, 3), model.Journal{Rows: 1, Besides: 2, Broken: 3}, true},
		{"out of the journal, sealed again", nil, func(s string) string { return resealed(lines(s, 0, 1, 3)) }, fmt.Sprintf(breaks, 3), model.Journal{Rows: 1, Besides: 2, Broken: 3}, false},
		{"out of the journal, numbered anew", nil, func(s string) string { return resealed(strings.Replace(lines(s, 0, 1, 3), `"row":3`, `"row":2`, 1)) }, "",
			model.Journal{Rows: 2, Besides: 1}, false},
		{"taken out by a line that is none", func(s string) string { return lines(s, 0, 1, 3) }, func(s string) string { return s + strings.Repeat("0", 64) + ` {"of":2,"undone":true}` + "\n" },
			gone1 + "\n" + fmt.Sprintf(breaks, 5), model.Journal{Rows: 3, Gone: 1, Broken: 5}, false},
		{"two lines swapped", nil, func(s string) string { return lines(s, 0, 1, 3, 2) }, fmt.Sprintf(breaks, 3), model.Journal{Rows: 1, Besides: 2, Broken: 3}, false},
		{"two lines swapped, sealed again", nil, func(s string) string { return resealed(lines(s, 0, 1, 3, 2)) }, fmt.Sprintf(breaks, 3), model.Journal{Rows: 1, Besides: 2, Broken: 3}, false},
		{"two rows of the log swapped", func(s string) string { return lines(s, 0, 2, 1, 3) }, nil,
			"journal-order row 2 of 14:30 (n b2, fill) stands above rows that were logged before it. Was the file sorted?", model.Journal{Rows: 3, Moved: true}, true},
		{"the last lines off", nil, func(s string) string { return lines(s, 0, 1) }, "", model.Journal{Rows: 1, Besides: 2}, false},
		{"the last lines off both", func(s string) string { return lines(s, 0, 1) }, func(s string) string { return lines(s, 0, 1) }, "", model.Journal{Rows: 1}, false},
		{"cut in the middle of a line", nil, func(s string) string { return s[:len(s)-20] }, "", model.Journal{Rows: 2, Besides: 1}, false},
		{"the first line off", nil, func(s string) string { return lines(s, 1, 2, 3) }, fmt.Sprintf(breaks, 1), model.Journal{Besides: 3, Broken: 1}, true},
		{"all off but the first line", nil, func(s string) string { return lines(s, 0) }, "", model.Journal{Besides: 3}, false},
		{"of another job", nil, func(s string) string {
			return resealed(strings.ReplaceAll(s, `"section":"n"`, `"section":"attic","machine":"2"`))
		},
			"journal-gone none of the 3 rows in the journal is in bays.csv: bayproof log JOB --restore brings them back", model.Journal{Rows: 3, Gone: 3, Besides: 3}, false},
	} {
		dir := logged(t, aRow("b1"), aRow("b2", "time=2026-03-02T14:30:00-05:00"), aRow("b3", "time=2026-03-02T14:40:00-05:00"))
		f := openFolder(t, dir)
		whole, _ := Read(f.FS, f.Log, Options{Journal: Journals})
		name := filepath.Join(dir, "bays.csv.journal")
		for file, forge := range map[string]func(string) string{"bays.csv": x.log, "bays.csv.journal": x.journal} {
			b, err := os.ReadFile(filepath.Join(dir, file))
			if err != nil {
				t.Fatal(err)
			}
			if forge == nil {
				continue
			}
			forged := forge(string(b))
			if forged == string(b) {
				t.Fatalf("%s: nothing was forged in %s", x.name, file)
			}
			if err := os.WriteFile(filepath.Join(dir, file), []byte(forged), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		if got := journalOn(t, dir); got != x.told {
			t.Errorf("%s: told\n%s\nwant\n%s", x.name, got, x.told)
		}
		job, _ := Read(f.FS, f.Log, Options{Journal: Journals})
		got := *job.Journals.Log
		end := got.End
		if got.End = ""; got != x.want || (end == whole.Journals.Log.End) != x.sameEnd {
			t.Errorf("%s: %+v, the same end %t; want %+v, %t", x.name, got, end == whole.Journals.Log.End, x.want, x.sameEnd)
		}
		// Whatever was forged, a row more is confirmed and stands in both.
		w := openWriter(t, dir)
		before, _ := os.ReadFile(name)
		if err := w.Append(aRow("b8", "time=2026-03-02T15:00:00-05:00")); err != nil {
			t.Fatalf("%s: %v", x.name, err)
		}
		w.Close()
		after, _ := os.ReadFile(name)
		if !strings.Contains(strings.TrimPrefix(string(after), string(before[:strings.LastIndex(string(before), "\n")+1])), `"bay":"b8"`) || !strings.Contains(onDisk(t, dir), "n,b8") {
			t.Errorf("%s: the next row\n%s", x.name, after)
		}
	}
}

// TestRestoredIsPrivate: a log that comes back out of its journal may be written to by whom the
// umask lets, and no others.
func TestRestoredIsPrivate(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no modes")
	}
	dir := logged(t, aRow("b1"))
	was, err := os.Stat(filepath.Join(dir, "bays.csv"))
	if err != nil {
		t.Fatal(err)
	}
	whole := onDisk(t, dir)
	if err := os.Remove(filepath.Join(dir, "bays.csv")); err != nil {
		t.Fatal(err)
	}
	w := openWriter(t, dir)
	if kept, err := w.Restore(); err != nil || kept != "" || onDisk(t, dir) != whole {
		t.Errorf("kept %q, %v\n%s", kept, err, onDisk(t, dir))
	}
	if now, _ := os.Stat(filepath.Join(dir, "bays.csv")); now.Mode() != was.Mode() {
		t.Errorf("it was %v, and is %v", was.Mode(), now.Mode())
	}
}

// TestJournalOfALogOfManyJobs: a column job keeps no journal from being set beside the log, where
// one job stands in it; where several do, that it is not is told.
func TestJournalOfALogOfManyJobs(t *testing.T) {
	scan := func(dir string) (j *model.Journal, told []string) {
		f := openFolder(t, dir)
		Scan(f.FS, f.Log, Options{Journal: Journals}, func(u *Unread) bool {
			job, faults := u.Read()
			if len(faults) > 0 {
				t.Fatal(faults)
			}
			for _, w := range job.Warnings {
				if strings.HasPrefix(w.Code, "journal") {
					told = append(told, w.Text)
				}
			}
			j = job.Journals.Log
			return true
		})
		return j, told
	}
	dir := logged(t, aRow("b1"), aRow("b2"))
	rewriteLog(t, dir, func(s string) string {
		return strings.NewReplacer(bom+"section", bom+"job,section", "\nn,b1", "\nJ,n,b1", "\nn,b2", "\nJ,n,b7").Replace(s)
	})
	const want = "row 2 of 14:20 (n b2, fill) reads otherwise in bays.csv: bay is b7, b2 in the journal; if that is right, bayproof log JOB --accept"
	if j, told := scan(dir); j == nil || j.Changed != 1 || strings.Join(told, "\n") != want {
		t.Errorf("%+v, told %q", j, told)
	}
	rewriteLog(t, dir, func(s string) string { return s + "K,n,b1,fill,,22.5,,5.5,,12,,,2,,,,,,,,,,,,,,,\n" })
	if j, told := scan(dir); j != nil || len(told) != 2 || told[0] != "the journal is one job's, and the log has many: it is not compared" {
		t.Errorf("%+v, told %q", j, told)
	}
}

// TestWhateverWasChanged: logs of any form and any rows, of which lines were taken out, doubled,
// swapped and changed. Restoring brings back all that is gone and makes no other difference,
// accepting settles the rest, and the next row is confirmed. 1,200 of them were tried.
func TestWhateverWasChanged(t *testing.T) {
	for n := range 40 {
		r := rand.New(rand.NewPCG(1811, uint64(n)))
		pick := func(of ...string) string { return of[r.IntN(len(of))] }
		files := map[string]string{"job.csv": jobCSV + pick("", "units,si\n")}
		switch r.IntN(3) {
		case 0:
			files["bays.csv"] = "section;bay;entry;width_mm;depth;length;bags;note;time\r\nn;b9;fill;571,5;5,5;12;2,5;;\r\n"
		case 1:
			files["bays.csv"] = "bay,section,depth,width,note,color\nb9,n,5.5,22.5,hm,red"
		}
		dir := jobOnDisk(t, files)
		w := openWriter(t, dir)
		written := 2 + r.IntN(7)
		for i := range written {
			row := map[string]string{"section": pick("n", "s"), "bay": pick("b1", "b2", "b3"), "entry": pick("fill", "topup", "size", "seen"),
				"time": fmt.Sprintf("2026-03-02T14:%02d:%02d-05:00", i/2, r.IntN(60))}
			for _, c := range []string{"width=22.5", "width=\"", "depth=5 1/2; 5.5", "depth=?", "length=12' 3\"", "bulge=\"", "bags=1 3/4", "reach=3; 4", "stop=6 block", "stall=yes",
				"feed=4:10", "photo=b1.jpg", "note=a, \"b\"", "note='=1+1", "note=é ½", "by=ab"} {
				if name, value, _ := strings.Cut(c, "="); r.IntN(3) == 0 {
					row[name] = value
				}
			}
			if err := w.Append(row); err != nil {
				t.Fatal(n, err)
			}
		}
		w.Close()
		whole := onDisk(t, dir)
		if told := journalAgrees(t, dir); told != "" {
			t.Errorf("log %d as it was written: %s\n%s", n, told, whole)
		}
		rewriteLog(t, dir, func(s string) string {
			lines := strings.SplitAfter(s, "\n")
			for range 1 + r.IntN(3) {
				i, j := 1+r.IntN(len(lines)-1), 1+r.IntN(len(lines)-1)
				switch ended := strings.HasSuffix(lines[i], "\n"); r.IntN(5) {
				case 0:
					lines[i] = ""
				case 1:
					if ended && strings.HasSuffix(lines[j], "\n") {
						lines[i], lines[j] = lines[j], lines[i]
					}
				case 2:
					lines[i] = strings.Replace(lines[i], "22.5", "22", 1)
				case 3:
					if ended {
						lines[i] += lines[i]
					}
				default:
					lines[i] = strings.Replace(lines[i], "2026-03-02T14:0", "2026-03-02 14:1", 1)
				}
			}
			return strings.Join(lines, "")
		})
		changed := onDisk(t, dir)
		w = openWriter(t, dir)
		before, _ := w.Compared()
		gone := before.Gone()
		if r.IntN(2) == 0 {
			if _, err := w.Restore(); err != nil {
				t.Errorf("log %d: %v", n, err)
			}
			c, rows := w.Compared()
			if c.Gone() > 0 || len(c.Differences) != len(before.Differences)-gone || len(rows) < written {
				t.Errorf("log %d, %d rows gone, restored: %+v\n%s\nchanged\n%s\nnow\n%s", n, gone, c, whole, changed, onDisk(t, dir))
			}
		}
		_, err := w.Accept("ab", "2026-03-02T16:00:00-05:00")
		if err := errors.Join(err, w.Append(aRow("b7", "time=2026-03-02T17:00:00-05:00"))); err != nil {
			t.Errorf("log %d: %v", n, err)
		}
		w.Close()
		if told := journalAgrees(t, dir); told != "" {
			t.Errorf("log %d, accepted: %s\n%s\nchanged\n%s\nnow\n%s", n, told, whole, changed, onDisk(t, dir))
		}
	}
}

// journalAgrees opens the log anew and says what its journal differs in; nothing where it agrees.
func journalAgrees(t *testing.T, dir string) string {
	t.Helper()
	w := openWriter(t, dir)
	defer w.Close()
	if c, _ := w.Compared(); !c.Agrees() || w.Broken() > 0 {
		return fmt.Sprintf("%+v, broken at %d", c, w.Broken())
	}
	return ""
}
