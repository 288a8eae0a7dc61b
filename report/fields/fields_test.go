package fields

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"io/fs"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"

	"bayproof/model"
	"bayproof/model/joblog"
	"bayproof/report/say"
	"bayproof/verify/audit/plausible"
)

// TestColumnsAreRead: a job whose files have exactly these columns has no column that the reader
// does not know, and a column left out of the table would be missed by whoever reads the manual.
func TestColumnsAreRead(t *testing.T) {
	header := map[string][]string{}
	for _, c := range Columns() {
		header[c.File] = append(header[c.File], c.Name)
	}
	row := func(file string, cells map[string]string) string {
		var line []string
		for _, name := range header[file] {
			line = append(line, cells[name])
		}
		return strings.Join(header[file], ",") + "\n" + strings.Join(line, ",") + "\n"
	}
	fsys := fstest.MapFS{
		"bays.csv":     {Data: []byte(row("bays.csv", map[string]string{"section": "s", "bay": "b1", "width": "22.5", "depth": "5.5", "length": "12", "weight": "40 lb"}))},
		"sections.csv": {Data: []byte(row("sections.csv", map[string]string{"section": "s"}))},
		"cores.csv":    {Data: []byte(row("cores.csv", map[string]string{"section": "s", "bay": "b1", "kind": "core", "diameter": "2", "depth": "5", "weight": "20"}))},
	}
	job, faults := joblog.Read(fsys, "", joblog.Options{})
	if len(faults) > 0 {
		t.Fatalf("%v", faults)
	}
	for _, w := range job.Warnings {
		t.Errorf("warning: %s: %s", w.Code, w.Text)
	}
	if len(job.Extra) > 0 {
		t.Errorf("columns that no one knows: %v", job.Extra)
	}
}

// TestEntries: the manual has every word of the entry column, in order.
func TestEntries(t *testing.T) {
	var got []string
	for _, e := range New(nil).Entries {
		got = append(got, e.Word)
	}
	if diff := cmp.Diff(model.EntryWords(), got); diff != "" {
		t.Error(diff)
	}
}

// TestOverrides: the settings that a section may override are columns of sections.csv, and no other
// setting is.
func TestOverrides(t *testing.T) {
	var columns []string
	for _, c := range Columns() {
		if c.File == "sections.csv" {
			columns = append(columns, c.Name)
		}
	}
	for _, def := range model.SettingDefs() {
		if has := slices.Contains(columns, def.Name); has != (def.BySection > 0) {
			t.Errorf("%s: column of sections.csv %v, place %d", def.Name, has, def.BySection)
		}
	}
}

// TestReviewCodes: every code of a review is in the manual with its meaning, its innocent
// explanation and what settles it.
func TestReviewCodes(t *testing.T) {
	text := strings.Join(strings.Fields(string(New(nil).AppendText(nil))), " ")
	for _, c := range plausible.Codes() {
		innocent := say.Innocent(c.Code)
		if innocent == "" || say.SuspectTitle(c.Code) == string(c.Code) {
			t.Errorf("%s has no innocent explanation or no title", c.Code)
		}
		for _, part := range []string{string(c.Code), c.Means, c.Answers, innocent} {
			if !strings.Contains(text, part) {
				t.Errorf("%s: the manual does not say %q", c.Code, part)
			}
		}
	}
}

// TestConstants: every number has a unit, a use and a source, each stands once, and every format
// has all of them.
func TestConstants(t *testing.T) {
	all := NewConstants()
	rows, err := csv.NewReader(bytes.NewReader(all.AppendCSV(nil))).ReadAll()
	if err != nil || len(rows) != 1+len(all) || len(all) < 40 {
		t.Fatalf("%d rows of %d constants (%v)", len(rows), len(all), err)
	}
	document, err := all.AppendJSON(nil)
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Join(strings.Fields(string(all.AppendText(nil))), " ")
	seen := map[string]bool{}
	for _, c := range all {
		if c.Name == "" || c.Value == "" || c.Unit == "" || c.Source == "" || c.Use == "" || seen[c.Kind+c.Name] {
			t.Errorf("%+v: something is missing, or it stands twice", c)
		}
		seen[c.Kind+c.Name] = true
		for _, part := range []string{c.Name, c.Value, c.Source, c.Use} {
			if !strings.Contains(text, part) {
				t.Errorf("%s: the text does not say %q", c.Name, part)
			}
			if quoted, _ := json.Marshal(part); !bytes.Contains(document, quoted) {
				t.Errorf("%s: the document does not say %s", c.Name, quoted)
			}
		}
	}
}

// TestTextWidth: the manual and the constants fit a small screen.
func TestTextWidth(t *testing.T) {
	for _, line := range strings.Split(string(NewConstants().AppendText(New(nil).AppendText(nil))), "\n") {
		if utf8.RuneCountInString(line) > width {
			t.Errorf("wider than %d: %s", width, line)
		}
	}
}

// TestColumnsAreRows: the manual and a new log have every column of the table, in its order; a new
// log has no job.
func TestColumnsAreRows(t *testing.T) {
	var table, manual []string
	for _, c := range model.LogColumns() {
		table = append(table, c.Name+": "+c.Meaning)
	}
	for _, c := range Columns() {
		if c.File == "bays.csv" {
			manual = append(manual, c.Name+": "+c.Meaning)
		}
	}
	if diff := cmp.Diff(table, manual); diff != "" {
		t.Error(diff)
	}
	folder, err := joblog.Open(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	defer folder.Close()
	w, err := joblog.OpenWriter(folder, "a test")
	if err != nil {
		t.Fatal(err)
	}
	defer w.Close()
	var names []string
	for _, c := range model.LogColumns() {
		if c.Name != "job" {
			names = append(names, c.Name)
		}
	}
	fresh, err := w.With()
	if err != nil {
		t.Fatal(err)
	}
	log, err := fs.ReadFile(fresh, folder.Log)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff("\ufeff"+strings.Join(names, ",")+"\n", string(log)); diff != "" {
		t.Error(diff)
	}
}
