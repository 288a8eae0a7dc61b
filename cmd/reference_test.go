package cmd_test

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"bayproof/report"
)

var updateReference = flag.Bool("update-reference", false, "write the reference pages anew")

// The reference pages are the commands' own help and the manual of fields, a page each; this test writes them, and
// holds that they are current.
func TestReferencePages(t *testing.T) {
	const dir = "reference"
	pages := map[string]string{
		"fields.md":    page("What a job's files hold", "fields"),
		"constants.md": page("What figures rest on besides the files", "fields", "--constants"),
	}
	dictionary := "# What JSON documents and CSV tables hold\n\nEvery document names itself under `schema`; numbers are in the job's units at full precision, and what does not exist is `null`. A dot leads into an object, `[]` into a list, `*` stands for any name. " +
		"CSV has the flat keys of a bay as its columns, the job's name before them; an empty cell is `null`.\n"
	for _, name := range report.Schemas() {
		dictionary += "\n#" + page(name, "fields", "--schema", name, "-f", "csv")
	}
	pages["documents.md"] = dictionary
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
		if _, ok := pages[e.Name()]; !ok {
			t.Errorf("%s: no such page", filepath.Join(dir, e.Name()))
		}
	}
}

// page is what a command prints, as a page.
func page(title string, args ...string) string {
	return "# " + title + "\n\n```\n" + strings.TrimRight(together(args...), "\n") + "\n```\n"
}
