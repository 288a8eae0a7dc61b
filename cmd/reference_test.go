package cmd_test

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"bayproof/report"
)

var updateReference = flag.Bool("update-reference", false, "write the reference pages anew")

// The reference pages are the commands' own help and the manual of fields, a page each; this test
// writes them, and holds that they are current.
func TestReferencePages(t *testing.T) {
	t.Parallel()
	const dir = "reference"
	pages := map[string]string{
		"fields.md":    page("What a job's files hold", "fields"),
		"words.md":     page("What the words mean", "help", "words"),
		"constants.md": page("What figures rest on besides the files", "fields", "--constants"),
	}
	dictionary := "# What JSON documents and CSV tables hold\n\nEvery document names itself under `schema`; numbers are in the job's units at full precision, and what does not exist is `null`. A dot leads into an object, `[]` into a list, `*` stands for any name. " +
		"An empty cell of a CSV table is `null`; the tables' columns stand at the end.\n"
	for _, name := range report.Schemas() {
		dictionary += "\n#" + page(name, "fields", "--schema", name, "-f", "csv")
	}
	pages["documents.md"] = dictionary + tables(t)
	_, help, _ := runCommand(t, "--help")
	for _, m := range regexp.MustCompile(`(?m)^  bayproof ([a-z]+)`).FindAllStringSubmatch(help, -1) {
		if name := m[1]; name != "fields" {
			pages[name+".md"] = page("bayproof "+name, name, "--help")
		}
	}
	if len(pages) < 11 {
		t.Fatalf("only %d commands found in the help", len(pages))
	}
	for name, want := range pages {
		file := filepath.Join(dir, name)
		if *updateReference {
			makeFile(t, file, want)
			continue
		}
		if got, err := os.ReadFile(file); err != nil || !bytes.Equal(got, []byte(want)) {
			t.Errorf("%s is not current: go test ./cmd -run TestReferencePages -update-reference", file)
		}
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if _, ok := pages[e.Name()]; !ok && e.Name() != "spanish.md" { // that one is written by hand
			t.Errorf("%s: no such page", filepath.Join(dir, e.Name()))
		}
	}
}

// page is what a command prints, as a page.
func page(title string, args ...string) string {
	return "# " + title + "\n\n```\n" + strings.TrimRight(together(args...), "\n") + "\n```\n"
}

// dictionaryOf is the dictionary of a document: what each key means, by its place.
func dictionaryOf(t *testing.T, name string) map[string]string {
	t.Helper()
	text, err := report.AppendDictionary(nil, name)
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]string{}
	for _, row := range rows[1:] {
		if out[row[1]] = row[3]; row[2] == "" || row[3] == "" {
			t.Errorf("%s: %s has no type or no meaning: %q", name, row[1], row)
		}
	}
	return out
}

// columnMeanings are those of columns of a CSV table whose rows have no such key in a document.
var columnMeanings = map[string]string{
	"level": "what the row sums up", "check": "which check, or record for the whole, or the part of the record that differs", "result": "holds, differs or not fully checked",
	"document": "which document", "key": "where it stands", "type": "what its values are", "record": "the record's file",
	"finding": "its number among the findings", "title": "the finding in a few words", "settled_by": "what would settle it", "evidence": "what is asked for", "order": "in which they are drawn, from 1", "probe_bad": "a look found it soft or empty", "cure": "what would cure it",
	"fault": "what is wrong, with its file, line and column", "log_sha256": "SHA-256 of the job's log, hex", "programme_sha256": "SHA-256 of the program's terms beside the log, hex",
	"units": "that the figures of the row are in, us or si", "day": "of the inspection", "counts": "whether it says what is in the bay",
	"seed": "of the draw: the same seed draws the same bays", "why": "why it is named or drawn",
}

// tables are the columns of every CSV table, as the commands write them of the demo, each with what
// it is.
func tables(t *testing.T) string {
	t.Helper()
	file := demoRecord(t)
	dir := filepath.Dir(file)
	asked := filepath.Join(dir, "asked.csv") // evidence that a programme asks for has a table of its own
	makeFile(t, asked, "name,value\nask_photos,50 %\n")
	type table struct {
		document, rows string // whose object of the document a row is
		args           []string
	}
	list := []table{
		{"check", "bays[]", []string{"check", dir}}, {"plan", "bays[]", []string{"plan", dir}}, {"recheck", "checks[]", []string{"recheck", file}},
		{"fields", "columns[]", []string{"fields"}}, {"constants", "constants[]", []string{"fields", "--constants"}},
	}
	for name, rows := range map[string]string{
		"results": "crews[]", "open": "jobs[].open_bays[]", "findings": "findings[]", "evidence": "jobs[].missing_evidence[]", "sample": "sample.bays[]", "opened": "jobs[].opened_bays[]",
		"warnings": "jobs[].reader_warnings[]", "unreadable": "not_read[]",
	} {
		list = append(list, table{"review", rows, []string{"review", dir, "--inspect", "2", "--settings", asked, "--table", name}})
	}
	var pages []string
	for _, x := range list {
		keys := dictionaryOf(t, x.document)
		args := append(x.args, "-f", "csv")
		_, stdout, stderr := runCommand(t, args...)
		header, err := csv.NewReader(strings.NewReader(strings.TrimPrefix(stdout, "\ufeff"))).Read()
		if err != nil {
			t.Fatalf("%v: %v: %s", args, err, stderr)
		}
		title := strings.NewReplacer(" --inspect 2 --settings "+asked, "", file, "record.html", dir, "JOB").Replace(strings.Join(args, " "))
		out := "\n`bayproof " + title + "`\n\n| column | meaning |\n|---|---|\n"
		for _, column := range header {
			text := cmp.Or(keys[x.rows+"."+column], report.Meaning(column), columnMeanings[column])
			if text == "" {
				t.Errorf("%s: nobody says what the column %s is", title, column)
			}
			out += "| `" + column + "` | " + text + " |\n"
		}
		pages = append(pages, out)
	}
	slices.Sort(pages)
	return "\n## The columns of CSV tables\n" + strings.Join(pages, "")
}

// Every key of every document says what it is.
func TestEveryKeyHasAMeaning(t *testing.T) {
	keys := 0
	for _, name := range report.Schemas() {
		keys += len(dictionaryOf(t, name))
	}
	if keys < 300 {
		t.Errorf("only %d keys", keys)
	}
}
