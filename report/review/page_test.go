package review

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"encoding/csv"
	"fmt"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"bayproof/model"
	"bayproof/report"
	"bayproof/verify"
	"bayproof/verify/audit"
	"bayproof/verify/audit/inspect"
	"bayproof/verify/audit/plausible"
)

const hostile = `<script>alert(1)</script>`

// hostileReview is one job whose names are everything but names.
func hostileReview() *audit.Review {
	s := &model.Section{Name: hostile, Kind: hostile, Expected: -1, BagsUsed: math.NaN(), Settings: model.Settings{Target: 56}}
	job := &model.Job{Name: "=cmd|" + hostile + "\x1b[31m", Sections: []*model.Section{s}, Settings: model.Settings{Crew: hostile}}
	bay := &model.Bay{Name: hostile, Section: s}
	f := &verify.Findings{
		Job:      job,
		Bays:     []verify.Bay{{Bay: bay, State: verify.Closed, Verdict: verify.Measure, Density: 55, ProbAtTarget: 0.4, Further: new(verify.Further)}},
		Sections: []verify.Section{{Section: s, Bays: 1, Expected: -1, Volume: 0.3, Mass: 16, MassRequired: 17, LowerTolerance: math.NaN()}},
	}
	f.Totals.UnaccountedBags = math.NaN()
	opt := audit.Options{Figures: true, Inspect: 1, Seed: 1}
	b := audit.NewBuilder(opt)
	b.Add(audit.Summarize(f, audit.Place{Input: hostile, Record: "javascript:alert(1)"}, nil, opt))
	b.Fail(audit.Bad{Place: hostile, Faults: []model.Fault{{What: hostile}}})
	return b.Finish()
}

// TestPageObeysNobody: names are text, nothing runs but the page's own script, which its policy
// names, nothing is loaded, and a link leads to a file only.
func TestPageObeysNobody(t *testing.T) {
	out, err := AppendHTML(nil, hostileReview(), nil, fstest.MapFS{"style.css": {Data: []byte("body{}")}})
	if err != nil {
		t.Fatal(err)
	}
	page := strings.Replace(string(out), "<script>"+pageScript+"</script>", "", 1)
	sum := sha256.Sum256([]byte(pageScript))
	if !strings.Contains(page, "script-src 'sha256-"+base64.StdEncoding.EncodeToString(sum[:])+"'") || len(page) == len(out) {
		t.Error("the page's script is not in it, or not in its policy")
	}
	for _, bad := range []string{"<script", "javascript:", "http://", "https://", " onload", " style="} {
		if strings.Contains(page, bad) {
			t.Errorf("the page holds %q", bad)
		}
	}
	for _, good := range []string{"default-src 'none'", "&lt;script&gt;", "closed though not CLOSE", "Not readable"} {
		if !strings.Contains(page, good) {
			t.Errorf("the page lacks %q", good)
		}
	}
}

// TestPageOfAThousandJobs: whatever stands open in them, the page of a thousand jobs takes no more
// than three megabytes, and says of the bays that it leaves out how many they are and where they
// stand.
func TestPageOfAThousandJobs(t *testing.T) {
	r := &audit.Review{Figures: true}
	for i := range 1000 {
		j := &audit.Job{Name: fmt.Sprintf("%04d Weir Side", i), Crew: fmt.Sprint("crew ", i%10), Date: "2026-05-01", Sections: []audit.Section{{Tally: audit.Tally{Bays: 30, Filled: 30, Add: 30}}}, Tally: audit.Tally{Bays: 30, Expected: 30, Filled: 30, Add: 30}, ShortArea: float64(i)}
		for k := range 30 {
			j.Open = append(j.Open, audit.BayOf{Bay: fmt.Sprint("b", k+1), Plight: audit.ShortOpen, Verdict: verify.Add, Code: "short", Density: 50, Prob: 0.01, Area: 2})
			j.Needs.Bays[audit.ShortOpen]++
		}
		r.Jobs = append(r.Jobs, j)
	}
	out, err := AppendHTML(nil, r, nil, report.Assets())
	if err != nil || len(out) > 3e6 {
		t.Errorf("%d bytes, %v", len(out), err)
	}
	if n := bytes.Count(out, []byte("and 20 more bays that need someone: --table bays has them all")); n != 1000 {
		t.Errorf("%d jobs say what is left out, want 1000", n)
	}
}

// TestAssetsOfTheRecord: the page is built on the record's own style sheet.
func TestAssetsOfTheRecord(t *testing.T) {
	out, err := AppendHTML(nil, hostileReview(), nil, report.Assets())
	if err != nil || !bytes.Contains(out, []byte("--close-ground")) {
		t.Errorf("%v, or no colours in the page", err)
	}
}

// TestTextFits a small screen and has no control characters of a name.
func TestTextFits(t *testing.T) {
	for _, line := range strings.Split(string(AppendText(nil, hostileReview(), nil, false)), "\n") {
		if len([]rune(line)) > width {
			t.Errorf("%d characters: %s", len([]rune(line)), line)
		}
		if strings.ContainsRune(line, '\x1b') {
			t.Errorf("an escape: %q", line)
		}
	}
}

// TestMachineFormats: every row of the CSV has the header's cells and no cell is a formula; the
// JSON is whole.
func TestMachineFormats(t *testing.T) {
	var out bytes.Buffer
	err1 := WriteTable(&out, hostileReview(), Tables()[0])
	rows, err := csv.NewReader(&out).ReadAll()
	if err1 != nil || err != nil || len(rows) != 8 { // header, all, crew, kind, month, counting, job, section
		t.Fatalf("%v, %d rows", err, len(rows))
	}
	for _, row := range rows {
		for i, cell := range row {
			if cell != "" && strings.ContainsRune("=+@", rune(cell[0])) {
				t.Errorf("column %s holds a formula: %q", rows[0][i], cell)
			}
		}
	}
}

// TestTables: every table has its header, a row for what there is, and no cell that a spreadsheet
// would obey.
func TestTables(t *testing.T) {
	r := hostileReview()
	r.Findings = []plausible.Finding{{Code: plausible.LateTimes, Jobs: []int{0}, P: 0.001, Q: 0.01}}
	r.Jobs[0].Missing = []verify.Lack{{Ask: "ask_cores", Want: 1}}
	r.Jobs[0].Inspected = []inspect.Result{{Section: "=1+1", Bay: "+1", Density: math.NaN(), Inspector: "@x"}}
	r.Jobs[0].Warnings = []audit.Warning{{Code: "order", Text: "=1+1\x1b[2J", Place: model.Place{Source: model.Source{File: "+bays.csv", Line: 2}, Row: 2}, Count: 1}}
	for _, table := range Tables()[1:] {
		if table.Name == Bays {
			continue // its rows are no part of a review
		}
		var b bytes.Buffer
		if err := WriteTable(&b, r, table); err != nil {
			t.Fatal(err)
		}
		out := b.Bytes()
		rows, err := csv.NewReader(bytes.NewReader(out)).ReadAll()
		if err != nil || len(rows) != 2 {
			t.Errorf("%s: %v, %d rows, want a header and one", table.Name, err, len(rows))
			continue
		}
		for i, cell := range rows[1] {
			if cell != "" && strings.ContainsRune("=+-@\t\r", rune(cell[0])) {
				t.Errorf("%s: column %s holds a formula: %q", table.Name, rows[0][i], cell)
			}
		}
		if bytes.ContainsRune(out, '\x1b') {
			t.Errorf("%s: an escape: %q", table.Name, out)
		}
	}
}
