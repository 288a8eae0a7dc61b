package joblog

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// openWriter opens the log of a job that was written to disk.
func openWriter(t *testing.T, dir string) *Writer {
	t.Helper()
	w, err := OpenWriter(openFolder(t, dir), "a test")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { w.Close() })
	return w
}

func onDisk(t *testing.T, dir string) string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(dir, "bays.csv"))
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

const jobCSV = "name,value\nbag_weight,25 lb\n"

// aRow is a fill as the prompt hands it over.
func aRow(bay string, more ...string) map[string]string {
	row := map[string]string{"section": "n", "bay": bay, "entry": "fill", "width": "22.5", "depth": "5.5", "length": "12", "bags": "2",
		"time": "2026-03-02T14:20:00-05:00"}
	for _, m := range more {
		name, value, _ := strings.Cut(m, "=")
		row[name] = value
	}
	return row
}

// TestWriterNewLog: a new log has a byte order mark, the whole header and its rows; nothing is made
// before the first row.
func TestWriterNewLog(t *testing.T) {
	dir := jobOnDisk(t, map[string]string{"job.csv": jobCSV})
	w := openWriter(t, dir)
	if _, err := os.Stat(filepath.Join(dir, "bays.csv")); !errors.Is(err, fs.ErrNotExist) {
		t.Error("a log without a row was made")
	}
	for _, b := range []string{"b1", "b2"} {
		if err := w.Append(aRow(b)); err != nil {
			t.Fatal(err)
		}
	}
	want := "\ufeffsection,bay,entry,shape,width,width2,depth,depth2,length,length2,bulge,bags,counter,weight,reach,hole,feed,stop,existing,stall,probe,at,photo,machine,by,note,time\n" +
		"n,b1,fill,,22.5,,5.5,,12,,,2,,,,,,,,,,,,,,,2026-03-02T14:20:00-05:00\n" +
		"n,b2,fill,,22.5,,5.5,,12,,,2,,,,,,,,,,,,,,,2026-03-02T14:20:00-05:00\n"
	if got := onDisk(t, dir); got != want {
		t.Errorf("written\n%s\nwant\n%s", got, want)
	}
	reads(t, dir, 2)
}

// reads tells how many bays the log in a folder reads as.
func reads(t *testing.T, dir string, bays int) {
	t.Helper()
	f := openFolder(t, dir)
	job, faults := Read(f.FS, f.Log, Options{})
	if len(faults) > 0 || len(job.Bays) != bays {
		t.Errorf("want %d bays: %s", bays, told(faults))
	}
}

// TestWriterKeepsTheForm: a row is written in the log's own header, separator, decimal mark, line
// end and encoding.
func TestWriterKeepsTheForm(t *testing.T) {
	for _, x := range []struct{ name, log, wrote string }{
		{"CRLF and columns of its own", "weather,Bay,section,depth,width,length,bags,note,time\r\nsun,b1,n,5.5,22.5,12,2,,2026-03-02 14:00\r\n",
			",b2,n,5.5,22.5,12,2,\"hard, \"\"stop\"\"\",2026-03-02T14:20:00-05:00\r\n"},
		{"semicolons and commas", "section;bay;width;depth;length;bags;note;time\nn;b1;22,25;5;12;2;;2026-03-02 14:00\n",
			"n;b2;22,5;5,5;12;2;\"hard, \"\"stop\"\"\";2026-03-02T14:20:00-05:00\n"},
		{"units in the header", "section,bay,width_mm,depth_in,length_m,bags,note,time\nn,b1,570,5.5,3.66,2,,2026-03-02 14:00\n",
			"n,b2,22.5 in,5.5,12 ft,2,\"hard, \"\"stop\"\"\",2026-03-02T14:20:00-05:00\n"},
		{"no last line end", "section,bay,width,depth,length,bags,note,time\nn,b1,22.5,5.5,12,2,,2026-03-02 14:00",
			"\nn,b2,22.5,5.5,12,2,\"hard, \"\"stop\"\"\",2026-03-02T14:20:00-05:00\n"},
		{"Windows-1252", "section,bay,width,depth,length,bags,note,time\nn,b1,22.5,5.5,12,2,caf\xe9,2026-03-02 14:00\n",
			"n,b2,22.5,5.5,12,2,\"hard, \"\"stop\"\"\",2026-03-02T14:20:00-05:00\n"},
	} {
		dir := jobOnDisk(t, map[string]string{"job.csv": jobCSV, "bays.csv": x.log})
		row := aRow("b2", `note=hard, "stop"`)
		delete(row, "entry")
		if err := openWriter(t, dir).Append(row); err != nil {
			t.Errorf("%s: %v", x.name, err)
			continue
		}
		if got := onDisk(t, dir); got != x.log+x.wrote {
			t.Errorf("%s: written\n%q\nwant\n%q", x.name, got, x.log+x.wrote)
		}
		f := openFolder(t, dir)
		job, faults := Read(f.FS, f.Log, Options{})
		if len(faults) > 0 {
			t.Errorf("%s: %s", x.name, told(faults))
			continue
		}
		b2 := bay(t, job, "b2")
		if v := b2.Volume(); !near(v, 22.5*5.5*144*0.0254*0.0254*0.0254) || b2.Fill.Note != `hard, "stop"` {
			t.Errorf("%s: read back %v m³, %q", x.name, v, b2.Fill.Note)
		}
	}
}

// TestWriterText: nothing that is typed runs in a spreadsheet, breaks the line, or comes back
// otherwise.
func TestWriterText(t *testing.T) {
	dir := jobOnDisk(t, map[string]string{"job.csv": jobCSV})
	w := openWriter(t, dir)
	notes := []string{"=1+1", "+1", "-1", "@x", "'tis", "'=1", "plain", `12' 6"`, `"`, `""`, "a;b,c", "émoi"}
	for i, note := range notes {
		if err := w.Append(aRow("b"+string(rune('a'+i)), "note="+note)); err != nil {
			t.Fatal(err)
		}
	}
	f := openFolder(t, dir)
	job, faults := Read(f.FS, f.Log, Options{})
	if len(faults) > 0 {
		t.Fatal(told(faults))
	}
	for i, note := range notes {
		e := job.Log[i]
		if e.Note != note {
			t.Errorf("%q comes back as %q", note, e.Note)
		}
		if cell := e.Cells[len(e.Cells)-2]; strings.IndexByte("=+-@", cell[0]) >= 0 {
			t.Errorf("%q stands in the file as %q", note, cell)
		}
	}
	if err := w.Append(aRow("bx", "note=two\nlines")); err != nil || strings.Contains(onDisk(t, dir), "two\nlines") {
		t.Errorf("a line break was written (%v)", err)
	}
}

// TestWriterWith: a log as it would be, on which nothing was written.
func TestWriterWith(t *testing.T) {
	dir := jobOnDisk(t, map[string]string{"job.csv": jobCSV, "bays.csv": head + filled("b1", "bags=2")})
	w := openWriter(t, dir)
	fsys, err := w.With(aRow("b2"), aRow("b3"))
	if err != nil {
		t.Fatal(err)
	}
	job, faults := Read(fsys, "", Options{})
	if len(faults) > 0 || len(job.Bays) != 3 || onDisk(t, dir) != head+filled("b1", "bags=2") {
		t.Errorf("%s", told(faults))
	}
}

// TestWriterRefuses: what cannot be written, with what would cure it.
func TestWriterRefuses(t *testing.T) {
	for _, x := range []struct{ log, what, hint string }{
		{"section,widht,bay\n", "bays.csv, row 1, column B \"widht\": no column is called widht", "write width, or a name less like it"},
	} {
		dir := jobOnDisk(t, map[string]string{"bays.csv": x.log})
		_, err := OpenWriter(openFolder(t, dir), "")
		var trouble *Trouble
		if !errors.As(err, &trouble) || filepath.ToSlash(trouble.What) != filepath.ToSlash(dir)+"/"+x.what || trouble.Hint != x.hint {
			t.Errorf("%q: %v", x.log, err)
		}
	}
}

// TestWriterAddsColumns: columns that a row needs and the log lacks are added once, all that a new
// log has, with the old bytes kept; what stood in the log reads as before, whatever its separator,
// quotes, encoding and line end.
func TestWriterAddsColumns(t *testing.T) {
	for _, x := range []struct{ name, log, head string }{
		{"a plain log", "section,bay,width,depth,length,bags\nn,b0,22.5,5.5,12,2\n", "section,bay,width,depth,length,bags,entry,shape,"},
		{"time stays last", bom + "section,bay,width,depth,length,bags,time\r\n\r\nn,b0,22.5,\"5.5; 5.5\",12' 3\",2,2026-03-02 14:20:00\r\n", bom + "section,bay,width,depth,length,bags,entry,shape,"},
		{"semicolons", "sep=;\nsection;bay;width;depth;length;bags;remark\nn;b0;22,5;5,5;12;2;a \"b\", c\nn;b00;22,5;5,5;12;2;\n", "sep=;\nsection;bay;width;depth;length;bags;remark;entry;"},
		{"no end of line", "section,bay,width_mm,depth,length,bags\nn,b0,571,5.5,12,2", "section,bay,width_mm,depth,length,bags,entry,"},
		{"UTF-16", "\xff\xfe" + widely("section,bay,width,depth,length,bags\r\nn,b0,22.5,5.5,12,2\r\n"), "\xff\xfe" + widely("section,bay,width,depth,length,bags,entry,")},
	} {
		dir := jobOnDisk(t, map[string]string{"job.csv": jobCSV, "bays.csv": x.log})
		before, faults := Read(openFolder(t, dir).FS, "", Options{})
		if len(faults) > 0 {
			t.Fatalf("%s: %s", x.name, told(faults))
		}
		w := openWriter(t, dir)
		for _, row := range []map[string]string{aRow("b1", "reach=3"), aRow("b2", "stall=yes")} {
			fsys, err := w.With(row)
			if err != nil {
				t.Fatal(err)
			}
			would, err := fs.ReadFile(fsys, "bays.csv")
			if err := errors.Join(err, w.Append(row)); err != nil || onDisk(t, dir) != string(would) {
				t.Fatalf("%s: %v\n%q\n%q", x.name, err, onDisk(t, dir), would)
			}
		}
		if got := onDisk(t, dir); !strings.HasPrefix(got, x.head) {
			t.Errorf("%s: %q", x.name, got)
		}
		kept, _ := os.ReadFile(filepath.Join(dir, "bays.csv.before"))
		if _, err := os.Stat(filepath.Join(dir, "bays.csv.before2")); err == nil || string(kept) != x.log || len(w.Added().Columns) < 15 {
			t.Errorf("%s: added %q, kept %q", x.name, w.Added(), kept)
		}
		after, faults := Read(openFolder(t, dir).FS, "", Options{})
		if len(faults) > 0 || len(after.Bays) != len(before.Bays)+2 || after.Columns[len(after.Columns)-1] != "time" && x.name != "semicolons" {
			t.Fatalf("%s: %d bays, %s", x.name, len(after.Bays), told(faults))
		}
		for i, b := range before.Bays {
			if b.Volume() != after.Bays[i].Volume() || b.Fill.Material.Bags != after.Bays[i].Fill.Material.Bags || b.Fill.Note != after.Bays[i].Fill.Note {
				t.Errorf("%s: %s reads otherwise", x.name, b.Name)
			}
		}
	}
}

// widely is text in UTF-16, the low byte first, without a mark.
func widely(s string) string {
	out, _ := utf16Little.coder().NewEncoder().String(s)
	return out
}

// TestWriterLock: one holds the log; another is told who.
func TestWriterLock(t *testing.T) {
	dir := jobOnDisk(t, map[string]string{"job.csv": jobCSV})
	first, err := OpenWriter(openFolder(t, dir), "bayproof log, process 7, since 14:02")
	if err != nil {
		t.Fatal(err)
	}
	_, err = OpenWriter(openFolder(t, dir), "second")
	if err == nil || err.Error() != "the log is open elsewhere: bayproof log, process 7, since 14:02" {
		t.Errorf("told %v", err)
	}
	first.Close()
	openWriter(t, dir)
}

// TestWriterSeesChanges: a row is not written after what another program wrote; Reload tells which
// of the writer's own rows are gone, however the other program wrote the rest.
func TestWriterSeesChanges(t *testing.T) {
	dir := jobOnDisk(t, map[string]string{"job.csv": jobCSV})
	w := openWriter(t, dir)
	for _, b := range []string{"b1", "b2", "b3"} {
		if err := w.Append(aRow(b)); err != nil {
			t.Fatal(err)
		}
	}
	other := "section;bay;entry;width;depth;length;bags;note;time\r\nn;b1;fill;22,5;5,5;12;2;;2026-03-02 14:20\r\nn;b3;fill;22,5;5,5;12;2,25;x;2026-03-02 14:20:00\r\n"
	if err := os.WriteFile(filepath.Join(dir, "bays.csv"), []byte(other), 0o666); err != nil {
		t.Fatal(err)
	}
	if err := w.Append(aRow("b4")); !errors.Is(err, ErrChanged) || onDisk(t, dir) != other {
		t.Fatalf("%v", err)
	}
	changed, err := w.Reload()
	if err != nil || len(changed.Lost) != 1 || changed.Lost[0]["bay"] != "b2" || changed.Tail {
		t.Fatalf("%+v, %v", changed, err)
	}
	if kept, err := os.ReadFile(filepath.Join(dir, "bays.csv.before")); err != nil || strings.Count(string(kept), "\n") != 4 || changed.Kept != filepath.Join(dir, "bays.csv.before") {
		t.Errorf("kept in %s: %q, %v", changed.Kept, kept, err)
	}
	if err := w.Append(aRow("b4")); err != nil || !strings.HasSuffix(onDisk(t, dir), "n;b4;fill;22,5;5,5;12;2;;2026-03-02T14:20:00-05:00\r\n") {
		t.Errorf("%v\n%s", err, onDisk(t, dir))
	}
	os.Remove(filepath.Join(dir, "bays.csv"))
	if err := w.Append(aRow("b5")); !errors.Is(err, ErrChanged) {
		t.Errorf("a log that vanished: %v", err)
	}
}

// TestWriterMissesRowsOfOthers: every row that stood in the log is missed, whoever wrote it, in an
// emptied log too; it is handed back with units and decimal mark said, and the log as it was is
// kept under a name of its own, once.
func TestWriterMissesRowsOfOthers(t *testing.T) {
	log := "section;bay;width_mm;depth;length;bags;note;time\nn;b1;570;5,5;12;2;'=x;2026-03-02 14:00\nn;b2;570;5,5;12;1 3/4;;2026-03-02 14:10\n"
	for _, x := range []struct {
		name, now string
		lost      string
		tail      bool
	}{
		{"the first", strings.Replace(log, "n;b1;570;5,5;12;2;'=x;2026-03-02 14:00\n", "", 1), "b1", false},
		{"the last", log[:strings.Index(log, "n;b2")], "b2", true},
		{"emptied", "", "b1 b2", true},
		{"a workbook", "PK\x03\x04xxxxxxxx", "", false},
	} {
		dir := jobOnDisk(t, map[string]string{"job.csv": jobCSV, "bays.csv": log, "bays.csv.before": "of last week"})
		w := openWriter(t, dir)
		if err := os.WriteFile(filepath.Join(dir, "bays.csv"), []byte(x.now), 0o666); err != nil {
			t.Fatal(err)
		}
		for range 2 { // asked again, the answer is the same
			changed, err := w.Reload()
			var lost []string
			for _, row := range changed.Lost {
				lost = append(lost, row["bay"])
				if row["bay"] == "b1" && (row["width"] != "570 mm" || row["depth"] != "5.5" || row["note"] != "=x") {
					t.Errorf("%s: handed back %v", x.name, row)
				}
			}
			if strings.Join(lost, " ") != x.lost || changed.Tail != x.tail || (err != nil) != (x.name == "a workbook") {
				t.Errorf("%s: lost %v, tail %v, %v", x.name, lost, changed.Tail, err)
			}
			kept, _ := os.ReadFile(filepath.Join(dir, "bays.csv.before2"))
			if string(kept) != log || changed.Kept != filepath.Join(dir, "bays.csv.before2") {
				t.Errorf("%s: kept in %s: %q", x.name, changed.Kept, kept)
			}
		}
		if _, err := os.Stat(filepath.Join(dir, "bays.csv.before3")); err == nil {
			t.Errorf("%s: kept twice", x.name)
		}
	}
}

// TestWriterLeavesWhatItDoesNotKnow: no byte is taken off a file that is then refused, nor written
// beside it but the lock.
func TestWriterLeavesWhatItDoesNotKnow(t *testing.T) {
	for _, x := range []struct{ name, text, want string }{
		{"a workbook", "PK\x03\x04[Content_Types].xml\n\x00\x01abc", ": this is a workbook, not a CSV file"},
		{"another table", "name,value\njob,boat", ", row 1: the first row names no column of the log"},
		{"no header", "n,b1,22.5\x00\x00\x00", ": it breaks off, and no row above is a header"},
		{"NULs in the middle", "section,bay,width,depth,length,bags,time\nn,b1\x00,22.5\nn,b2,22", ", line 2: this is not text: it has a NUL byte"},
	} {
		dir := jobOnDisk(t, map[string]string{"job.csv": jobCSV, "bays.csv": x.text})
		_, err := OpenWriter(openFolder(t, dir), "a test")
		if err == nil || err.Error() != filepath.Join(dir, "bays.csv")+x.want {
			t.Errorf("%s: told %v", x.name, err)
		}
		if got := onDisk(t, dir); got != x.text {
			t.Errorf("%s: %q is left of %q", x.name, got, x.text)
		}
		if _, err := os.Stat(filepath.Join(dir, "bays.csv.torn")); err == nil {
			t.Errorf("%s: something was set aside", x.name)
		}
	}
}

// TestWriterUTF16: a log in UTF-16 is read, appended to in its own encoding, and loses of a torn
// end what is torn alone.
func TestWriterUTF16(t *testing.T) {
	const head, whole = "section,bay,width,depth,length,bags,note,time\r\n", "n,b1,22.5,5.5,12,2,déjà 𝄞,2026-03-02 14:20:00\r\n"
	for _, e := range []encoding{utf16Little, utf16Big} {
		for _, mark := range []string{bom, ""} {
			coded := func(s string) string {
				out, err := e.coder().NewEncoder().String(s)
				if err != nil {
					t.Fatal(err)
				}
				return out
			}
			for _, torn := range []string{"", coded("n,b2,22"), coded("n,b2,22") + "5", "n"} {
				dir := jobOnDisk(t, map[string]string{"job.csv": jobCSV, "bays.csv": coded(mark+head+whole) + torn})
				w := openWriter(t, dir)
				if (w.Torn() != "") != (torn != "") {
					t.Errorf("%q: set aside in %q", torn, w.Torn())
				}
				row := aRow("b9", "note=émoi")
				delete(row, "entry")
				if err := w.Append(row); err != nil {
					t.Fatal(err)
				}
				if want := coded(mark + head + whole + "n,b9,22.5,5.5,12,2,émoi,2026-03-02T14:20:00-05:00\r\n"); onDisk(t, dir) != want {
					t.Errorf("%q: written\n%q\nwant\n%q", torn, onDisk(t, dir), want)
				}
				reads(t, dir, 2)
			}
		}
	}
}

// TestWriterTornLine: a last line that was torn off is set aside; one that only lacks its line end
// is whole.
func TestWriterTornLine(t *testing.T) {
	good := "section,bay,width,depth,length,bags,time\nn,b1,22.5,5.5,12,2,2026-03-02T14:20:00-05:00\n"
	for _, x := range []struct{ name, tail, torn string }{
		{"whole", "n,b2,22.5,5.5,12,2,2026-03-02T14:30:00-05:00", ""},
		{"in the time", "n,b2,22.5,5.5,12,2,2026-03-02T14:3", "n,b2,22.5,5.5,12,2,2026-03-02T14:3"},
		{"where a shorter time would be whole", "n,b2,22.5,5.5,12,2,2026-03-02T14:30", "n,b2,22.5,5.5,12,2,2026-03-02T14:30"},
		{"in a number", "n,b2,22.5,5.5,1", "n,b2,22.5,5.5,1"},
		{"whole but for a last cell", "n,b2,22.5,5.5,12,2,", "n,b2,22.5,5.5,12,2,"},
		{"in quotes", "n,\"b2,22.5,5.5,12,2,2026-03-02T14:30:00-05:00", "n,\"b2,22.5,5.5,12,2,2026-03-02T14:30:00-05:00"},
		{"by a power cut", "n,b2,22.5\x00\x00\x00\x00", "n,b2,22.5\x00\x00\x00\x00"},
		{"by a power cut after a row", "\x00\x00\x00\x00", "\x00\x00\x00\x00"},
	} {
		dir := jobOnDisk(t, map[string]string{"job.csv": jobCSV, "bays.csv": good + x.tail})
		w := openWriter(t, dir)
		if err := w.Append(aRow("b9", "entry=")); err != nil {
			t.Errorf("%s: %v", x.name, err)
			continue
		}
		aside, _ := os.ReadFile(filepath.Join(dir, "bays.csv.torn"))
		if string(bytes.TrimSuffix(aside, []byte("\n"))) != x.torn || (w.Torn() != "") != (x.torn != "") {
			t.Errorf("%s: set aside %q, want %q", x.name, aside, x.torn)
		}
		want := 2
		if x.torn == "" {
			want = 3
		}
		reads(t, dir, want)
	}
}

// TestWriterReadOnly: a folder that may not be written to gives a clear answer and is left as it
// was.
func TestWriterReadOnly(t *testing.T) {
	if os.Geteuid() == 0 || runtime.GOOS == "windows" {
		t.Skip("permissions do not bind here")
	}
	dir := jobOnDisk(t, map[string]string{"job.csv": jobCSV})
	if err := os.Chmod(dir, 0o555); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.Chmod(dir, 0o755) }) // to be cleared away
	if _, err := OpenWriter(openFolder(t, dir), ""); err == nil {
		t.Error("a folder that may not be written to was opened")
	}
}
