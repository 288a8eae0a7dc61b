package cmd_test

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"bayproof/cmd/demo"
	"bayproof/model"

	"github.com/google/go-cmp/cmp"
)

// fractionsLog has the fractions that spreadsheets like to turn into dates or to round, one bay
// each.
const fractionsLog = `section,bay,width,depth,length,bags,note
A,b1,14 1/2,2 3/16,12' 3 1/2,1 1/4,"commas, and ""quotes"""
A,b2,14 17/32,5 15/16,12,1 1/2,
A,b3,14 31/32,5 1/16,12.5,1 3/4,=1+1
A,b4,14-1/2,5 1/4; 5 1/2,12'-6,2 1/8,
A,b5,14 9/16,5 1/32,12' 3,7/8,
A,b6,14.5625,2.1875,12.03125,1/2,
A,b7,14 3/4,5 7/16; 5 3/8; 5 1/2,12 ft 6 in,3/4,
`

// TestSpreadsheetRoundTrip opens logs in a real spreadsheet, saves them, and reads the same numbers
// again; or every cell that the spreadsheet changed is named by its row and column.
func TestSpreadsheetRoundTrip(t *testing.T) {
	t.Parallel()
	soffice, err := exec.LookPath("soffice")
	if err != nil {
		t.Skip("soffice (LibreOffice) is not installed: the round trip through a spreadsheet was not tested")
	}
	home := t.TempDir()
	logs := map[string]string{"demo": demoLog(t), "fractions": fractionsLog}
	for _, detect := range []bool{true, false} {
		for _, through := range []string{"csv", "xlsx"} {
			saved := throughSpreadsheet(t, soffice, home, logs, detect, through)
			for name, log := range logs {
				t.Run(fmt.Sprintf("%s detect=%v %s", name, detect, through), func(t *testing.T) {
					checkRoundTrip(t, log, saved[name])
				})
			}
		}
	}
}

func demoLog(t *testing.T) string {
	t.Helper()
	log, err := fs.ReadFile(demo.Job(), "bays.csv")
	if err != nil {
		t.Fatal(err)
	}
	return string(log)
}

// throughSpreadsheet opens logs with number detection on or off and saves them as CSV, on the way
// as another kind of file where that is asked for. One start of the spreadsheet, some seconds,
// serves all logs.
func throughSpreadsheet(t *testing.T, soffice, home string, logs map[string]string, detect bool, through string) map[string]string {
	t.Helper()
	dir := t.TempDir()
	files := func(ending string) (out []string) {
		for name := range logs {
			out = append(out, filepath.Join(dir, name+"."+ending))
		}
		return out
	}
	for name, log := range logs {
		makeFile(t, filepath.Join(dir, name+".csv"), log)
	}
	// Tokens: comma, double quote, UTF-8, from line 1, no column formats, US English, quoted cells
	// as the rest, detection.
	in := fmt.Sprintf("--infilter=Text - txt - csv (StarCalc):44,34,76,1,,1033,false,%v", detect)
	if through != "csv" {
		convert(t, soffice, home, in, through, files("csv"))
		in, dir = "", filepath.Join(dir, "out")
	}
	convert(t, soffice, home, in, "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,false", files(through))
	saved := map[string]string{}
	for name := range logs {
		saved[name] = readFile(t, filepath.Join(dir, "out", name+".csv"))
	}
	return saved
}

// convert writes files as another kind into the folder out beside them.
func convert(t *testing.T, soffice, home, in, to string, files []string) {
	t.Helper()
	args := []string{"--headless", "-env:UserInstallation=" + (&url.URL{Scheme: "file", Path: home}).String(), "--convert-to", to, "--outdir", filepath.Join(filepath.Dir(files[0]), "out")}
	if in != "" {
		args = append(args, in)
	}
	run := exec.Command(soffice, append(args, files...)...)
	run.Env = append(os.Environ(), "HOME="+home)
	var out bytes.Buffer
	run.Stdout, run.Stderr, run.WaitDelay = &out, &out, time.Second
	err := run.Start()
	if err == nil {
		notForever(t, run)
		err = run.Wait()
	}
	if err != nil {
		t.Fatalf("soffice: %v\n%s", err, &out)
	}
}

// checkRoundTrip reads a saved log. Where it is refused, each complaint must name a cell that was
// changed, and with those cells mended the log must say what it said before: so no change went
// unnamed.
func checkRoundTrip(t *testing.T, log, saved string) {
	t.Helper()
	want, complaints := readLog(t, log)
	if complaints != "" {
		t.Fatalf("the log is refused before any spreadsheet touched it:\n%s", complaints)
	}
	got, complaints := readLog(t, saved)
	if complaints != "" {
		saved = mended(t, log, saved, complaints)
		if got, complaints = readLog(t, saved); complaints != "" {
			t.Fatalf("refused although the named cells were mended:\n%s", complaints)
		}
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("the numbers have changed without a word (-before +after):\n%s", diff)
	}
}

// readLog checks a log in the demo's job folder and returns volume and mass of each bay, or the
// complaints.
func readLog(t *testing.T, log string) (understoodBays, complaints string) {
	t.Helper()
	dir := t.TempDir()
	if err := os.CopyFS(dir, demo.Job()); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(dir, "bays.csv")
	if err := os.WriteFile(file, []byte(log), 0o644); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(log, "lake slope") {
		os.Remove(filepath.Join(dir, "cores.csv"))
	}
	code, stdout, stderr := runCommand(t, "check", "--format", "csv", file)
	if code == 1 {
		return "", stderr
	}
	return understood(t, stdout), ""
}

// mended puts the original text back into every cell that the complaints name.
func mended(t *testing.T, log, saved, complaints string) string {
	t.Helper()
	before, after := cells(t, log), cells(t, saved)
	for _, place := range regexp.MustCompile(`bays\.csv, row (\d+), column ([A-Z]+) `).FindAllStringSubmatch(complaints, -1) {
		line, _ := strconv.Atoi(place[1])
		col := 0
		for model.Letter(col) != place[2] {
			col++
		}
		if line > len(before) || line > len(after) || col > len(before[line-1]) {
			t.Fatalf("%s is outside the file", place[0])
		}
		if before[line-1][col-1] == after[line-1][col-1] {
			t.Errorf("%s was not changed by the spreadsheet:\n%s", place[0], complaints)
		}
		after[line-1][col-1] = before[line-1][col-1]
	}
	var b strings.Builder
	w := csv.NewWriter(&b)
	if err := w.WriteAll(after); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func cells(t *testing.T, log string) [][]string {
	t.Helper()
	r := csv.NewReader(strings.NewReader(log))
	r.LazyQuotes, r.FieldsPerRecord = true, -1
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}
