package joblog

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/text/encoding/unicode"
)

// journalOn reads a job and says what came of its journal, its warnings about it among it.
func journalOn(t *testing.T, dir string) string {
	t.Helper()
	f := openFolder(t, dir)
	job, faults := Read(f.FS, f.Log, Options{Journal: Journals})
	if len(faults) > 0 {
		return told(faults)
	}
	if job.Journals.Log == nil {
		return "no journal"
	}
	agree := job.Journals.Log.Agrees() && (job.Journals.Cores == nil || job.Journals.Cores.Agrees())
	var out []string
	for _, w := range job.Warnings {
		if strings.HasPrefix(w.Code, "journal") {
			out = append(out, w.Code+" "+w.Text)
		}
	}
	if agree != (len(out) == 0) {
		t.Errorf("agrees: %t, with %q", agree, out)
	}
	return strings.Join(out, "\n")
}

// logged is a job whose rows were appended.
func logged(t *testing.T, rows ...map[string]string) string {
	t.Helper()
	dir := jobOnDisk(t, map[string]string{"job.csv": jobCSV})
	w := openWriter(t, dir)
	for _, row := range rows {
		if err := w.Append(row); err != nil {
			t.Fatal(err)
		}
	}
	w.Close()
	return dir
}

// rewriteLog changes the log as another program would.
func rewriteLog(t *testing.T, dir string, change func(string) string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(dir, "bays.csv"), []byte(change(onDisk(t, dir))), 0o644); err != nil {
		t.Fatal(err)
	}
}

func TestJournal(t *testing.T) {
	b1, b2, b3 := aRow("b1", "note=a\nb"), aRow("b2", "time=2026-03-02T14:30:00-05:00"), aRow("b3", "bags=1.75", "time=2026-03-02T14:40:00-05:00")
	dir := logged(t, b1, b2, b3)
	if got := journalOn(t, dir); got != "" {
		t.Errorf("as it was written: %s", got)
	}
	// A spreadsheet: other separator, decimal comma, quotes, times without seconds, columns in
	// another order.
	rewriteLog(t, dir, func(string) string {
		return "sep=;\r\nbay;section;time;entry;width_mm;depth;length;bags;note\r\nb1;n;2026-03-02 14:20;fill;\"571,5\";5,50;12;2,0;a b\r\nb2;n;2026-03-02 14:30;fill;571,5;5,5;12,0;2;\r\nb3;n;2026-03-02 14:40;fill;571,5;5,5;12;1,75;\r\n"
	})
	if got := journalOn(t, dir); got != "" {
		t.Errorf("rewritten without harm: %s", got)
	}
	rewriteLog(t, dir, func(log string) string { return strings.Replace(log, "1,75", "1,5", 1) })
	if got, want := journalOn(t, dir), "journal-changed row 3 of 14:40 (n b3, fill) reads otherwise in bays.csv: bags is 1.5, 1.75 in the journal; if that is right, bayproof log JOB --accept"; got != want {
		t.Errorf("a cell corrected: %q, want %q", got, want)
	}
	w := openWriter(t, dir)
	if told, err := w.Accept("ab", "2026-03-02T15:00:00-05:00"); err != nil || len(told) != 1 {
		t.Errorf("accepted %q, %v", told, err)
	}
	if told, err := w.Accept("ab", "2026-03-02T15:00:00-05:00"); err != nil || told != nil {
		t.Errorf("accepted again: %q, %v", told, err)
	}
	w.Close()
	if got := journalOn(t, dir); got != "" {
		t.Errorf("accepted: %s", got)
	}
	rewriteLog(t, dir, func(log string) string { return log[:strings.Index(log, "b2;")] + log[strings.Index(log, "b3;"):] })
	if got, want := journalOn(t, dir), "journal-gone row 2 of 14:30 (n b2, fill) is in the journal and not in bays.csv: bayproof log JOB --restore brings it back"; got != want {
		t.Errorf("a row taken out: %q, want %q", got, want)
	}
	// A log that cannot be read says so as well: the row that is missing may be why.
	whole := onDisk(t, dir)
	rewriteLog(t, dir, func(log string) string { return log + "b2;n;2026-03-02 15:40;topup;;;;1;\r\n" })
	if got := journalOn(t, dir); !strings.Contains(got, "not as its journal has it: 1 row missing (") {
		t.Errorf("a log with a fault: %s", got)
	}
	rewriteLog(t, dir, func(string) string { return whole })
	w = openWriter(t, dir)
	kept, err := w.Restore()
	if err != nil || filepath.Base(kept) != "bays.csv.before" {
		t.Fatalf("restored: %q, %v", kept, err)
	}
	w.Close()
	if got := journalOn(t, dir); got != "" {
		t.Errorf("restored: %s", got)
	}
	if want := strings.Replace(whole, "b3;", "b2;n;2026-03-02T14:30:00-05:00;fill;22,5 in;5,5;12;2;\r\nb3;", 1); onDisk(t, dir) != want {
		t.Errorf("restored\n%s\nwant\n%s", onDisk(t, dir), want)
	}
}

// Rows come back at their places in every form that a log has, and those that the log has besides
// stay.
func TestRestore(t *testing.T) {
	b1, b2, b3 := aRow("b1"), aRow("b2", "time=2026-03-02T14:30:00-05:00"), aRow("b3", "time=2026-03-02T14:40:00-05:00")
	utf16 := func(s string) string {
		s, _ = unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewEncoder().String(s)
		return s
	}
	const head, hand = "section,bay,entry,width,depth,length,bags,time\n", "n,b9,fill,22.5,5.5,12,2,\n"
	r1, r2, r3 := "n,b1,fill,22.5,5.5,12,2,2026-03-02T14:20:00-05:00\n", "n,b2,fill,22.5,5.5,12,2,2026-03-02T14:30:00-05:00\n", "n,b3,fill,22.5,5.5,12,2,2026-03-02T14:40:00-05:00\n"
	for _, x := range []struct{ name, left, want string }{
		{"the first", head + hand + r2 + r3, head + hand + r1 + r2 + r3},
		{"the middle", head + r1 + hand + r3, head + r1 + r2 + hand + r3},
		{"the last, no line end", head + r1 + strings.TrimSuffix(r2, "\n"), head + r1 + r2 + r3},
		{"all", head, head + r1 + r2 + r3},
		{"all, rows typed by hand", head + hand + "\n", head + hand + r1 + r2 + r3 + "\n"},
		{"UTF-16", utf16(head + r1 + r3), utf16(head + r1 + r2 + r3)},
		{"CR alone", strings.ReplaceAll(head+r1+r3, "\n", "\r"), strings.ReplaceAll(head+r1+r2+r3, "\n", "\r")},
		{"a column is missing", "bay,entry,width,depth,length,bags\nb1,fill,22.5,5.5,12,2\n", ""},
		{"the file is empty", "", ""},
	} {
		dir := logged(t, b1, b2, b3)
		rewriteLog(t, dir, func(string) string { return x.left })
		w := openWriter(t, dir)
		if _, err := w.Restore(); err != nil {
			t.Errorf("%s: %v", x.name, err)
		}
		if c, _ := w.Compared(); len(c.Differences) > 0 && c.Differences[0].Now == nil {
			t.Errorf("%s: gone still: %+v", x.name, c.Differences)
		}
		w.Close()
		if got := onDisk(t, dir); x.want != "" && got != x.want {
			t.Errorf("%s: restored\n%q\nwant\n%q", x.name, got, x.want)
		}
	}
}

// A row that the journal cannot take is not confirmed, and does not stay in the log.
func TestJournalThatCannotBeWritten(t *testing.T) {
	dir := jobOnDisk(t, map[string]string{"job.csv": jobCSV})
	w := openWriter(t, dir)
	name := filepath.Join(dir, "bays.csv.journal")
	if err := os.Mkdir(name, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := w.Append(aRow("b1")); err == nil || !strings.Contains(err.Error(), "bays.csv.journal") {
		t.Errorf("the journal is a folder: %v", err)
	}
	if _, err := os.Stat(filepath.Join(dir, "bays.csv")); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a log was left: %v", err)
	}
	if err := os.Remove(name); err != nil {
		t.Fatal(err)
	}
	for _, bay := range []string{"b1", "b2"} {
		if err := w.Append(aRow(bay)); err != nil {
			t.Fatal(err)
		}
	}
	before := onDisk(t, dir)
	if err := errors.Join(os.Remove(name), os.WriteFile(name, []byte("x\n"), 0o644)); err != nil { // shorter than it was
		t.Fatal(err)
	}
	if err := w.Append(aRow("b3")); err == nil || FaultOf(err).Hint != "type finish, and bayproof log JOB again" || onDisk(t, dir) != before {
		t.Errorf("the journal was cut: %v\n%s", err, onDisk(t, dir))
	}
}

// A torn line of the journal is cut off before the next one; a row that another program dropped,
// and that is written again, is one row.
func TestJournalGoesOn(t *testing.T) {
	dir := logged(t, aRow("b1"), aRow("b2"))
	name := filepath.Join(dir, "bays.csv.journal")
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, append(b, b[:30]...), 0o644); err != nil {
		t.Fatal(err)
	}
	w := openWriter(t, dir)
	if err := w.Append(aRow("b3")); err != nil {
		t.Fatal(err)
	}
	rewriteLog(t, dir, func(log string) string { return log[:strings.Index(log, "n,b2")] + log[strings.Index(log, "n,b3"):] })
	if err := w.Append(aRow("b4")); !errors.Is(err, ErrChanged) {
		t.Fatalf("changed by another program: %v", err)
	}
	c, err := w.Reload()
	if err != nil || len(c.Lost) != 1 {
		t.Fatalf("%+v, %v", c, err)
	}
	for _, row := range []map[string]string{aRow("b2", "time=2026-03-02T15:00:00-05:00"), aRow("b4", "time=2026-03-02T15:00:00-05:00")} {
		if err := w.Append(row); err != nil {
			t.Fatal(err)
		}
	}
	w.Close()
	if got := journalOn(t, dir); got != "" {
		t.Errorf("a row that was dropped and written again: %s", got)
	}
}

// TestDroppedAfterASpreadsheet: a row whose time a spreadsheet wrote without seconds, and that it
// drops later, is one row once it is written again, with its own time or with another.
func TestDroppedAfterASpreadsheet(t *testing.T) {
	for _, again := range []string{"2026-03-02 14:30", "2026-03-02T15:00:00-05:00"} {
		dir := logged(t, aRow("b1"), aRow("b2", "time=2026-03-02T14:30:07-05:00"))
		rewriteLog(t, dir, func(log string) string {
			return strings.ReplaceAll(log, "2026-03-02T14:30:07-05:00", "2026-03-02 14:30")
		})
		w := openWriter(t, dir)
		rewriteLog(t, dir, func(log string) string { return log[:strings.Index(log, "n,b2")] })
		c, err := w.Reload()
		if err != nil || len(c.Lost) != 1 || c.Lost[0]["time"] != "2026-03-02 14:30" {
			t.Fatalf("%+v, %v", c, err)
		}
		if err := w.Append(aRow("b2", "time="+again)); err != nil {
			t.Fatal(err)
		}
		w.Close()
		if told := journalOn(t, dir); told != "" || len(w.chain.Rows) != 2 || w.chain.Accepted > 0 {
			t.Errorf("%s: %s\n%+v", again, told, w.chain.Rows)
		}
	}
}

// TestWrittenAgain: a row that the log lost before anybody looked is one row once it comes again from
// elsewhere, at its place or behind what came after it.
func TestWrittenAgain(t *testing.T) {
	for _, left := range []string{"b1", "b1 b2", "b1 b3", "b2 b3", ""} {
		b := map[string]map[string]string{"b1": aRow("b1"), "b2": aRow("b2", "time=2026-03-02T14:30:00-05:00"), "b3": aRow("b3", "time=2026-03-02T14:40:00-05:00")}
		dir := logged(t, b["b1"], b["b2"], b["b3"])
		rewriteLog(t, dir, func(log string) string {
			lines := strings.SplitAfter(log, "\n")
			for i, bay := range []string{"b1", "b2", "b3"} {
				if !strings.Contains(left, bay) {
					lines[i+1] = ""
				}
			}
			return strings.Join(lines, "")
		})
		w := openWriter(t, dir)
		for _, bay := range []string{"b1", "b2", "b3"} {
			if !strings.Contains(left, bay) {
				if err := w.Append(b[bay]); err != nil {
					t.Fatal(err)
				}
			}
		}
		w.Close()
		if told := journalOn(t, dir); told != "" || len(w.chain.Rows) != 3 {
			t.Errorf("left %q: %s\n%+v", left, told, w.chain.Rows)
		}
	}
	dir := logged(t, aRow("b1"), aRow("b1", "entry=topup", "bags=0.25"), aRow("b1", "entry=topup", "bags=0.25")) // the same twice is two rows
	if w := openWriter(t, dir); len(w.chain.Rows) != 3 {
		t.Errorf("%+v", w.chain.Rows)
	}
}

// TestTimeOfDayAlone: a time without a date is that of the job's date, in the log and in a file from
// elsewhere.
func TestTimeOfDayAlone(t *testing.T) {
	dir := jobOnDisk(t, map[string]string{"job.csv": jobCSV + "date,2026-03-02\n"})
	w := openWriter(t, dir)
	if err := w.Append(aRow("b1")); err != nil {
		t.Fatal(err)
	}
	got, err := w.Compare("phone.csv", []byte("section,bay,entry,width,depth,length,bags,time\nn,b1,fill,22.5,5.5,12,2,14:20\nn,b1,fill,22.5,5.5,12,2,14:21\n"))
	if err != nil || !got.Rows[0].Here || got.Rows[1].Here {
		t.Errorf("%+v, %v", got, err)
	}
	w.Close()
	rewriteLog(t, dir, func(log string) string { return strings.Replace(log, "2026-03-02T14:20:00-05:00", "14:20", 1) })
	if told := journalOn(t, dir); told != "" {
		t.Error(told)
	}
}

// TestOneIdeaOfASameRow: a row is the same for the journal, for what another program dropped and
// for a log of a phone, however its cells are written; a cell that says otherwise is no other row,
// and another name is one.
func TestOneIdeaOfASameRow(t *testing.T) {
	dir := logged(t, aRow("b1", "bags=1.75", "note=by the door"), aRow("b2", "time=2026-03-02T14:30:00-05:00"), aRow("b3", "time=2026-03-02T14:40:00-05:00"))
	w := openWriter(t, dir)
	const head = "time,bay,section,entry,bags,width,depth,length\n"
	got, err := w.Compare("phone.csv", []byte(head+
		"2026-03-02 14:20,b1,n,Fill,1 3/4,22.5 in,5 1/2,12'\n"+ // the same, written otherwise, without a note column
		"2026-03-02 14:30,b2,n,,1.5,22.5,5.5,12\n"+ // another count
		"2026-03-02 14:40,b4,n,,2,22.5,5.5,12\n"+ // another bay
		",b3,n,,2,22.5,5.5,12\n"+ // no time: nobody knows
		",b3,n,topup,2,,,\n")) // a new one
	if err != nil {
		t.Fatal(err)
	}
	want := []Foreign{{Here: true}, {Against: `bags "1.5" there, "2" here`}, {}, {Against: "the log has it, with the time 2026-03-02T14:40:00-05:00"}, {}}
	for i, x := range got.Rows {
		if x.Here != want[i].Here || x.Against != want[i].Against {
			t.Errorf("row %d: here %t, against %q", i+1, x.Here, x.Against)
		}
	}
	rewriteLog(t, dir, func(log string) string {
		return strings.NewReplacer("1.75", "1 3/4", "n,b2,", "n,b9,").Replace(strings.Join(strings.SplitAfter(log, "\n")[:3], ""))
	})
	c, err := w.Reload()
	if err != nil || len(c.Lost) != 1 || c.Lost[0]["bay"] != "b3" || !c.Tail {
		t.Errorf("lost %v, tail %t, %v", c.Lost, c.Tail, err)
	}
	w.Close()
	if told := journalOn(t, dir); !strings.Contains(told, "b3") || !strings.Contains(told, "bay is b9, b2 in the journal") || strings.Contains(told, "b1") {
		t.Error(told)
	}
}

// aCore is a core as the prompt hands it over.
func aCore(bay string, more ...string) map[string]string {
	row := map[string]string{"section": "n", "bay": bay, "kind": "core", "diameter": "2.5", "depth": "5.5", "weight": "27 g", "time": "2026-03-02T15:20:00-05:00"}
	for _, m := range more {
		name, value, _ := strings.Cut(m, "=")
		row[name] = value
	}
	return row
}

// cored is a job with bays and cores that were appended.
func cored(t *testing.T, rows ...map[string]string) string {
	t.Helper()
	dir := logged(t, aRow("b1"), aRow("b2", "time=2026-03-02T14:30:00-05:00"))
	w := openWriter(t, dir)
	for _, row := range rows {
		if err := w.Cores.Append(row); err != nil {
			t.Fatal(err)
		}
	}
	w.Close()
	return dir
}

// coresOn is cores.csv as it stands; writeCores changes it as another program would.
func coresOn(t *testing.T, dir string) string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(dir, coresFile))
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func writeCores(t *testing.T, dir, text string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(dir, coresFile), []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

// TestJournalOfCores: what is said of the log's rows is said of cores, in the forms that a
// spreadsheet gives them.
func TestJournalOfCores(t *testing.T) {
	box := map[string]string{"kind": "test box", "volume": "3.5 ft3", "weight": "12.4 lb", "time": "2026-03-02T15:40:00-05:00"}
	dir := cored(t, aCore("b1", "at=3"), aCore("b2", "weight=30 g", "time=2026-03-02T15:30:00-05:00"), box)
	whole := coresOn(t, dir)
	const head, r1, r2, r3 = "bay;section;time;kind;weight_g;diameter_mm;depth;volume;at\r\n", "b1;n;2026-03-02 15:20;;27,0;63,5;5 1/2;;3\r\n", "b2;n;2026-03-02 15:30;Core;30;63,5;5,5;;\r\n", ";;2026-03-02 15:40;Test Box;12,4 lb;;;3,5 ft3;\r\n"
	for _, x := range []struct{ name, file, told string }{
		{"as it was written", whole, ""},
		{"rewritten without harm", head + r1 + r2 + r3, ""},
		{"a row typed by hand", head + r1 + "b1;n;;;28;63,5;5,5;;\r\n" + r2 + r3, ""},
		{"in pounds", "section,bay,time,kind,weight_lb,diameter,depth,volume\nn,b1,2026-03-02 15:20,core,0.0595248,2.5,5.5,\nn,b2,2026-03-02 15:30,core,30 g,2.5,5.5,\n,,2026-03-02 15:40,test box,12.4,,,3.5\n",
			"journal-changed row 1 of 15:20 (n b1, core) reads otherwise in cores.csv: weight is 0.0595248 lb, 27 g in the journal; at is blank, 3 in the journal; if that is right, bayproof log JOB --accept"},
		{"a weight and a minute are another row", head + r1 + strings.ReplaceAll(r2, "30", "31") + r3,
			"journal-gone row 2 of 15:30 (n b2, core) is in the journal and not in cores.csv: bayproof log JOB --restore brings it back"},
		{"a weight", head + r1 + strings.Replace(r2, "e;30", "e;31", 1) + r3,
			"journal-changed row 2 of 15:30 (n b2, core) reads otherwise in cores.csv: weight is 31, 30 g in the journal; if that is right, bayproof log JOB --accept"},
		{"another bay", head + strings.Replace(r1, "b1", "b2", 1) + r2 + r3,
			"journal-changed row 1 of 15:20 (n b1, core) reads otherwise in cores.csv: bay is b2, b1 in the journal; if that is right, bayproof log JOB --accept"},
		{"a box gone", head + r1 + r2, "journal-gone row 3 of 15:40 (test box) is in the journal and not in cores.csv: bayproof log JOB --restore brings it back"},
		{"sorted", head + r3 + r2 + r1, "journal-order row 2 of 15:30 (n b2, core) stands above rows that were logged before it. Was the file sorted?"},
	} {
		writeCores(t, dir, x.file)
		if got := journalOn(t, dir); !strings.HasPrefix(got, x.told) || x.told == "" && got != "" {
			t.Errorf("%s: told %q, want %q", x.name, got, x.told)
		}
		w := openWriter(t, dir)
		if _, err := w.Cores.Restore(); err != nil {
			t.Errorf("%s: %v", x.name, err)
		}
		if _, err := w.Cores.Accept("ab", "2026-03-02T16:00:00-05:00"); err != nil {
			t.Errorf("%s: %v", x.name, err)
		}
		w.Close()
		if got := journalOn(t, dir); got != "" {
			t.Errorf("%s, restored and accepted: %s", x.name, got)
		}
		w = openWriter(t, dir) // and back to what the next one begins with
		writeCores(t, dir, whole)
		if err := errors.Join(w.Cores.look(), second(w.Cores.Accept("", ""))); err != nil {
			t.Fatal(err)
		}
		w.Close()
	}
	if w := openWriter(t, dir); w.chain.Accepted != 0 {
		t.Errorf("the log's journal has %d changes", w.chain.Accepted)
	}
}

// second leaves out what else a function returns.
func second[T any](_ T, err error) error { return err }

// TestTakingBackACore: the row is out of file and journal, the others stay; where the file is
// another program's by now nothing is done.
func TestTakingBackACore(t *testing.T) {
	dir := jobOnDisk(t, map[string]string{"job.csv": jobCSV, coresFile: "bay,weight,volume\nb1,27 g,27 in3"}) // typed by hand, no line end
	w := openWriter(t, dir)
	box := map[string]string{"kind": "test box", "volume": "3.5 ft3", "weight": "12.4 lb", "time": "2026-03-02T15:40:00-05:00"}
	if err := errors.Join(w.Append(aRow("b1")), w.Cores.Append(box)); err != nil {
		t.Fatal(err)
	}
	one := coresOn(t, dir)
	if added := w.Cores.Added(); len(added.Columns) == 0 || filepath.Base(added.Kept) != "cores.csv.before" || len(w.Cores.Added().Columns) > 0 {
		t.Errorf("added %+v", added)
	}
	if want := "bay,weight,volume,machine,time,kind,diameter,depth,at,by,date,photo\nb1,27 g,27 in3,,,,,,,,,\n,12.4 lb,3.5 ft3,,2026-03-02T15:40:00-05:00,test box,,,,,,\n"; one != want {
		t.Errorf("written\n%s\nwant\n%s", one, want)
	}
	if err := w.Cores.Append(aCore("b1")); err != nil { // needs the column section
		t.Fatal(err)
	}
	for range 2 {
		if err := w.Cores.TakeBack("2026-03-02T15:50:00-05:00"); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Cores.TakeBack(""); err == nil || !strings.Contains(err.Error(), "cores.csv was changed by another program") {
		t.Errorf("nothing left to take back: %v", err)
	}
	if got, want := coresOn(t, dir), "bay,weight,volume,machine,section,time,kind,diameter,depth,at,by,date,photo\nb1,27 g,27 in3,,,,,,,,,,\n"; got != want {
		t.Errorf("left\n%s\nwant\n%s", got, want)
	}
	if err := w.Cores.Append(aCore("b1", "weight=28 g")); err != nil {
		t.Fatal(err)
	}
	writeCores(t, dir, coresOn(t, dir)+"n,b1\n")
	if err := w.Cores.TakeBack(""); err == nil {
		t.Error("a row was taken out of a file that another program changed")
	}
	if c := w.Cores.chain; len(c.Rows) != 1 || c.Rows[0].Cells["weight"] != "28 g" || c.Written != 3 || c.Accepted != 0 || c.Broken != 0 {
		t.Errorf("the journal: %+v", c)
	}
	// Nor is the end of a longer line taken for the row.
	longer := strings.Replace(strings.TrimSuffix(coresOn(t, dir), "n,b1\n"), "\nb1,28 g", "\nsub b1,28 g", 1)
	writeCores(t, dir, longer)
	if err := w.Cores.look(); err != nil {
		t.Fatal(err)
	}
	if err := w.Cores.TakeBack(""); err == nil || coresOn(t, dir) != longer {
		t.Errorf("a part of a line was taken out: %v\n%s", err, coresOn(t, dir))
	}
	b, _ := os.ReadFile(filepath.Join(dir, "cores.csv.journal"))
	if c := w.Cores.chain; string(b) == "" || len(b) != c.Bytes {
		t.Errorf("%d bytes in the journal, %d known", len(b), c.Bytes)
	}
}

// A core that its journal cannot take does not stay in cores.csv; one that a spreadsheet dropped,
// and that is written again, is one row.
func TestJournalOfCoresThatCannotBeWritten(t *testing.T) {
	dir := cored(t)
	name := filepath.Join(dir, "cores.csv.journal")
	if err := os.Mkdir(name, 0o755); err != nil {
		t.Fatal(err)
	}
	if _, err := OpenWriter(openFolder(t, dir), "a test"); err == nil || !strings.Contains(err.Error(), "cores.csv.journal") {
		t.Errorf("the journal is a folder: %v", err)
	}
	if err := os.Remove(name); err != nil {
		t.Fatal(err)
	}
	w := openWriter(t, dir)
	if err := errors.Join(w.Cores.Append(aCore("b1")), w.Cores.Append(aCore("b2"))); err != nil {
		t.Fatal(err)
	}
	before := coresOn(t, dir)
	b, _ := os.ReadFile(name)
	if err := os.WriteFile(name, b[:len(b)-20], 0o644); err != nil {
		t.Fatal(err)
	}
	if err := w.Cores.Append(aCore("b1", "weight=29 g")); err == nil || coresOn(t, dir) != before {
		t.Errorf("the journal was cut: %v\n%s", err, coresOn(t, dir))
	}
	if err := w.Cores.TakeBack(""); err == nil || coresOn(t, dir) != before {
		t.Errorf("the journal was cut, and a row taken back: %v\n%s", err, coresOn(t, dir))
	}
	if err := os.WriteFile(name, b, 0o644); err != nil {
		t.Fatal(err)
	}
	writeCores(t, dir, before[:strings.Index(before, "n,b1")])
	if err := w.Cores.Append(aCore("b1", "weight=29 g")); !errors.Is(err, ErrChanged) {
		t.Fatalf("changed by another program: %v", err)
	}
	c, err := w.Cores.Reload()
	if err != nil || len(c.Lost) != 2 || filepath.Base(c.Kept) != "cores.csv.before" {
		t.Fatalf("%+v, %v", c, err)
	}
	if err := errors.Join(w.Cores.Append(aCore("b2", "time=2026-03-02T16:00:00-05:00")), w.Cores.Append(aCore("b1", "weight=29 g"))); err != nil {
		t.Fatal(err)
	}
	w.Close()
	if got, want := journalOn(t, dir), "journal-gone row 1 of 15:20 (n b1, core) is in the journal and not in cores.csv"; !strings.HasPrefix(got, want) || strings.Contains(got, "b2") {
		t.Errorf("told %q, want %q", got, want)
	}
}
