package cmd_test

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// everywhere is what the small logs of the corpus are all warned of, whatever their fault.
var everywhere = []string{"flag-override", "spread-unknown", "spill-not-deducted"}

// understood says what the CSV results show of each bay's size and material.
func understood(t *testing.T, results string) string {
	t.Helper()
	rows, err := csv.NewReader(strings.NewReader(results)).ReadAll()
	if err != nil || len(rows) == 0 {
		t.Fatalf("results that are no CSV: %v\n%s", err, results)
	}
	at := func(row []string, column string) string { return row[slices.Index(rows[0], column)] }
	var b strings.Builder
	for _, row := range rows[1:] {
		fmt.Fprintf(&b, "%s %.60s: %s ft3, %s lb\n", at(row, "section"), at(row, "bay"), digits(at(row, "volume")), digits(at(row, "mass")))
	}
	return b.String()
}

// warned runs the same check once more as JSON and lists what it warns of.
func warned(t *testing.T, args []string) string {
	t.Helper()
	_, stdout, _ := runCommand(t, append(slices.Clone(args), "--format", "json")...)
	var b strings.Builder
	for documents := json.NewDecoder(strings.NewReader(stdout)); documents.More(); {
		var d struct {
			Warnings []struct {
				Code, Text, File string
				Line             int
			}
		}
		if err := documents.Decode(&d); err != nil {
			t.Fatalf("results that are no JSON: %v", err)
		}
		for _, w := range d.Warnings {
			if !slices.Contains(everywhere, w.Code) {
				fmt.Fprintf(&b, "warning %s, %s:%d: %s\n", w.Code, w.File, w.Line, w.Text)
			}
		}
	}
	return b.String()
}

// leftOut writes the record of a case about photos, with copies of them, and returns what is said
// of those left out.
func leftOut(t *testing.T, name string) string {
	t.Helper()
	if !strings.HasPrefix(name, "photo-") {
		return ""
	}
	file := filepath.Join(t.TempDir(), "record.html")
	code, _, stderr := runCommand(t, "record", "--photos", "--bag-weight", "25 lb", "-o", file, name)
	if code != 0 {
		t.Errorf("record: exit code %d", code)
	}
	return strings.ReplaceAll(stderr, filepath.ToSlash(file), "record.html")
}

// digits cuts a number to five digits, so that the last bits of a processor do not matter.
func digits(s string) string {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return strconv.Quote(s)
	}
	return strconv.FormatFloat(v, 'g', 5, 64)
}
