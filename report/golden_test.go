package report

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"

	"bayproof/model"
	"bayproof/report/screen"
	"bayproof/verify"
)

var update = flag.Bool("update", false, "write the golden files instead of comparing with them")

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	file := filepath.Join("testdata", name)
	if *update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), string(got)); diff != "" {
		t.Errorf("%s (-want +got):\n%s", file, diff)
	}
}

func mustJSON(t *testing.T, f *verify.Findings, indent bool) []byte {
	t.Helper()
	out, err := AppendJSON(nil, f, Tool{"bayproof", "0", "of the sentences"}, indent)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// TestGolden holds every format of one invented job; look at the difference before -update.
func TestGolden(t *testing.T) {
	f := inventedFindings()
	golden(t, "check.txt", AppendText(nil, f, false))
	golden(t, "why.txt", AppendWhy(nil, f, false))
	golden(t, "check-colour.txt", AppendText(nil, f, true))
	golden(t, "summary.txt", AppendSummary(nil, f, false))
	golden(t, "check.json", mustJSON(t, f, true))
	golden(t, "check.csv", AppendCSV(AppendCSVHeader(nil), f))
}

// TestGoldenSI holds the same job in metres and kilograms.
func TestGoldenSI(t *testing.T) {
	f := inventedFindings()
	f.Job.Settings.Units = model.SI
	golden(t, "check-si.txt", AppendText(nil, f, false))
	golden(t, "check-si.csv", AppendCSV(AppendCSVHeader(nil), f))
}

// TestGoldenSpanish holds the same job as a crew reads it in Spanish; the formats for machines are
// the English ones.
func TestGoldenSpanish(t *testing.T) {
	f := inventedFindings()
	f.Job.Settings.Lang = "es"
	golden(t, "check-es.txt", AppendText(nil, f, false))
	golden(t, "why-es.txt", AppendWhy(nil, f, false))
	golden(t, "summary-es.txt", AppendSummary(nil, f, false))
	golden(t, "check.csv", AppendCSV(AppendCSVHeader(nil), f))
	texts := regexp.MustCompile(`"text":"[^"]*"`)
	if diff := cmp.Diff(texts.FindAllString(string(mustJSON(t, inventedFindings(), false)), -1), texts.FindAllString(string(mustJSON(t, f, false)), -1)); diff != "" {
		t.Errorf("JSON has other sentences in Spanish: %s", diff)
	}
}

// TestTextWidth holds that no line is wider than the page, and that colour changes nothing but
// colour.
func TestTextWidth(t *testing.T) {
	f := inventedFindings()
	for lang, width := range map[string]int{"": 74, "es": 79} {
		f.Job.Settings.Lang = lang
		for _, text := range [][]byte{AppendText(nil, f, false), AppendWhy(nil, f, false), AppendSummary(nil, f, false)} {
			for _, line := range strings.Split(string(text), "\n") {
				if n := utf8.RuneCountInString(line); n > width {
					t.Errorf("%d characters wide, %d is the limit: %s", n, width, line)
				}
				if strings.ContainsAny(strings.NewReplacer("Not sure?", "", "seguro?", "").Replace(line), "{}[]?") {
					t.Errorf("a sentence without its evidence: %s", line)
				}
				if words := english.FindString(strings.ReplaceAll(line, "bays.csv", "")); lang != "" && words != "" && !strings.Contains(line, "left of the") { // a bay's name
					t.Errorf("English on a Spanish screen, %q: %s", words, line)
				}
			}
		}
	}
	f.Job.Settings.Lang = ""
	coloured := string(AppendText(nil, f, true))
	for _, code := range []string{screen.Off, screen.Bold, screen.Red, screen.Green, screen.Yellow, screen.Magenta} {
		coloured = strings.ReplaceAll(coloured, code, "")
	}
	if diff := cmp.Diff(string(AppendText(nil, f, false)), coloured); diff != "" {
		t.Errorf("colour changed the text: %s", diff)
	}
}

// english are words that no Spanish screen has.
var english = regexp.MustCompile(`(?i)\b(the|and|of|with|from|that|bags?|bays?|was|were|your|sure)\b`)

// TestJSONShape holds that the document reads back, is one line where asked for, and has null where
// nothing exists.
func TestJSONShape(t *testing.T) {
	f := inventedFindings()
	line := mustJSON(t, f, false)
	if n := bytes.Count(line, []byte("\n")); n != 1 {
		t.Errorf("%d line ends in a document on one line", n)
	}
	var a, b map[string]any
	if err := json.Unmarshal(line, &a); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(mustJSON(t, f, true), &b); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(a, b); diff != "" {
		t.Errorf("indenting changed the document: %s", diff)
	}
	bays := a["bays"].([]any)
	if first := bays[0].(map[string]any); first["dof"] != nil || first["density"] == nil {
		t.Errorf("infinite degrees of freedom are %v, want null; density is %v, want a number", first["dof"], first["density"])
	}
	if open := bays[5].(map[string]any); open["density"] != nil || open["verdict"] != nil || open["state"] != "not-filled" {
		t.Errorf("a bay that is not filled: %v", open)
	}
}

// TestCSVKeys holds that the columns are the flat keys of a bay in the order of the JSON document.
func TestCSVKeys(t *testing.T) {
	f := inventedFindings()
	dec := json.NewDecoder(bytes.NewReader(mustJSON(t, f, false)))
	want := append([]string{"job"}, flatKeys(t, dec)...)
	rows, err := csv.NewReader(bytes.NewReader(AppendCSV(AppendCSVHeader(nil), f))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, rows[0]); diff != "" {
		t.Errorf("columns (-keys +columns): %s", diff)
	}
	if len(rows) != 1+len(f.Bays) {
		t.Errorf("%d rows, want a header and %d", len(rows), len(f.Bays))
	}
}

// flatKeys reads up to the first bay and returns those of its keys whose values are no lists and no
// objects.
func flatKeys(t *testing.T, dec *json.Decoder) []string {
	t.Helper()
	for {
		token, err := dec.Token()
		if err != nil {
			t.Fatal(err)
		}
		if token == "bays" {
			break
		}
	}
	_, _ = dec.Token() // [
	_, _ = dec.Token() // {
	var keys []string
	for dec.More() {
		key, err := dec.Token()
		if err != nil {
			t.Fatal(err)
		}
		var value json.RawMessage
		if err := dec.Decode(&value); err != nil {
			t.Fatal(err)
		}
		if value[0] != '[' && value[0] != '{' {
			keys = append(keys, key.(string))
		}
	}
	return keys
}

// TestHostileNames holds that a name cannot reach the terminal that shows it.
func TestHostileNames(t *testing.T) {
	f := inventedFindings()
	f.Bays[2].Bay.Name = "\x1b[2Jb3\u202e"
	text := string(AppendText(nil, f, false))
	if strings.ContainsAny(text, "\x1b\u202e") {
		t.Errorf("a control character went through: %q", text)
	}
}
