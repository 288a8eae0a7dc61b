package cmd_test

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"bayproof/report/recheck"
	"bayproof/report/record"
	"bayproof/verify"
)

// inCarried changes one of the two blocks of JSON that a record carries.
func inCarried(t *testing.T, page, id string, change func(string) string) string {
	t.Helper()
	head, rest, ok := strings.Cut(page, `id="`+id+`">`)
	doc, tail, end := strings.Cut(rest, "</script>")
	if !ok || !end {
		t.Fatalf("the record carries no %s", id)
	}
	changed := change(doc)
	if changed == doc {
		t.Fatalf("nothing was changed in the %s", id)
	}
	return head + `id="` + id + `">` + changed + "</script>" + tail
}

func readFile(t *testing.T, name string) string {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

var anyNumber = regexp.MustCompile(`([:\[,])(-?[0-9]+\.[0-9]+(?:e[+-]?[0-9]+)?)\b`)

// nudge changes the numbers with a fraction of a JSON document by a share of themselves: all of
// them, or only the one with that place among them.
func nudge(t *testing.T, doc string, share float64, only int) (string, int) {
	t.Helper()
	n := 0
	out := anyNumber.ReplaceAllStringFunc(doc, func(s string) string {
		n++
		x, err := strconv.ParseFloat(s[1:], 64)
		if err != nil {
			t.Fatal(err)
		}
		if only > 0 && n != only {
			return s
		}
		return s[:1] + strconv.FormatFloat(x*(1+share), 'g', -1, 64)
	})
	return out, n
}

// A record from another processor family, where every number came out otherwise in its last bits,
// still holds; here every number is moved by 1e-12 of itself, hundreds of times what a sum loses
// (2.2e-16 a step).
func TestRecordFromElsewhereHolds(t *testing.T) {
	t.Parallel()
	file := demoRecord(t)
	numbers := 0
	page := inCarried(t, readFile(t, file), "findings", func(doc string) string {
		doc, numbers = nudge(t, doc, 1e-12, 0)
		return doc
	})
	page = inCarried(t, page, "sources", func(doc string) string {
		return regexp.MustCompile(`"arch":"[^"]*"`).ReplaceAllString(doc, `"arch":"riscv64"`)
	})
	page = regexp.MustCompile(`(Written by bayproof [0-9.]+ \()[a-z0-9]+`).ReplaceAllString(page, "${1}riscv64")
	makeFile(t, file, resealed(page))
	code, stdout, _ := runCommand(t, "recheck", file)
	if code != 0 || !strings.Contains(strings.Join(strings.Fields(stdout), " "), "every word, figure and drawing is the same") {
		t.Errorf("exit code %d: %s", code, stdout)
	}
	if numbers < 500 {
		t.Errorf("only %d numbers were moved", numbers)
	}
}

// A record that was written before methods had numbers is of method 1: it holds as long as that is
// the present one, and is of an older one then.
func TestRecordWithoutAMethod(t *testing.T) {
	t.Parallel()
	file := demoRecord(t)
	page := inCarried(t, readFile(t, file), "findings", func(doc string) string {
		return strings.Replace(doc, fmt.Sprintf(`"method":%d,`, verify.Method), "", 1)
	})
	page = inCarried(t, page, "sources", func(doc string) string { return strings.Replace(doc, `"version":"`, `"version":"0.`, 1) })
	makeFile(t, file, resealed(page))
	wantCode, want := 0, "figures  holds"
	if verify.Method > 1 {
		wantCode, want = 4, "written by an older method: figures not compared"
	}
	if code, stdout, _ := runCommand(t, "recheck", file); code != wantCode || !strings.Contains(stdout, want) {
		t.Errorf("exit code %d, want %d and %q: %s", code, wantCode, want, stdout)
	}
}

// Any one number that is moved by 1e-8 of itself is found.
func TestEveryNumberCounts(t *testing.T) {
	t.Parallel()
	opened, err := record.Open([]byte(readFile(t, demoRecord(t))))
	if err != nil {
		t.Fatal(err)
	}
	doc := string(opened.Findings)
	_, numbers := nudge(t, doc, 0, 0)
	tiny := 0
	for i := 1; i <= numbers; i += 23 { // a prime: every kind of number comes up
		moved, _ := nudge(t, doc, 1e-8, i)
		found, _, err := recheck.Compare([]byte(moved), opened.Findings)
		if err != nil {
			t.Fatal(err)
		}
		if len(found) == 0 && belowNothing(doc, i) {
			tiny++
		} else if len(found) != 1 {
			t.Errorf("number %d moved by 1e-8 of itself: %d differences", i, len(found))
		}
	}
	if tiny*10 > numbers/23 {
		t.Errorf("%d of %d numbers are so small that they do not count", tiny, numbers/23)
	}
}

// belowNothing tells whether a number, by its place, is below 1e-4, so that 1e-8 of it is below
// 1e-12.
func belowNothing(doc string, place int) bool {
	m := anyNumber.FindAllStringSubmatch(doc, place)
	x, err := strconv.ParseFloat(m[place-1][2], 64)
	return err == nil && x < 1e-4 && x > -1e-4
}

// What a record carries may be meant to do harm when it is given back: nothing is written but plain
// files in the folder.
func TestExtractWritesNowhereElse(t *testing.T) {
	t.Parallel()
	page := readFile(t, demoRecord(t))
	for _, names := range [][]string{
		{"../bays.csv"}, {"/bays.csv"}, {"a/../../bays.csv"}, {`..\bays.csv`}, {"C:bays.csv"}, {""}, {"."}, {"nul"}, {"a//b"}, {"bays.csv\x00"}, {"bays\ncsv"},
		{"bays.csv", "bays.csv"}, {"bays.csv", "BAYS.csv"}, {"bays.csv", "bays.csv/x"}, {"a/b", "A"},
	} {
		top := t.TempDir()
		file, dir := filepath.Join(top, "record.html"), filepath.Join(top, "in", "dir")
		makeFile(t, file, inCarried(t, page, "sources", func(string) string {
			c := record.Carried{Name: "x"}
			for _, n := range names {
				c.Files = append(c.Files, record.File{Name: n, Raw: []byte("harm")})
			}
			b, err := json.Marshal(c)
			if err != nil {
				t.Fatal(err)
			}
			return string(b)
		}))
		code, _, stderr := runCommand(t, "recheck", file, "--extract", dir)
		if code != 1 || !strings.Contains(stderr, "nothing was written") {
			t.Errorf("%q: exit code %d: %s", names, code, stderr)
		}
		if left, _ := filepath.Glob(filepath.Join(top, "*")); len(left) != 1 {
			t.Errorf("%q: there is now %q", names, left)
		}
	}
}

// Records that carry nonsense are refused, or found to differ; none stops the program.
func TestHostileRecords(t *testing.T) {
	t.Parallel()
	page := readFile(t, demoRecord(t))
	deep := strings.Repeat("[", 200_000)
	for name, c := range map[string]struct {
		id, doc string
		code    int
	}{
		"no files":             {"sources", `{"name":"x","files":[]}`, 1},
		"null":                 {"sources", `null`, 1},
		"a list":               {"sources", `[]`, 1},
		"not base64":           {"sources", `{"files":[{"name":"bays.csv","raw":"%%"}]}`, 1},
		"nested deep":          {"sources", deep, 1},
		"unknown flag":         {"sources", `{"flags":{"../x":"1"},"files":[{"name":"bays.csv","raw":"YQ=="}]}`, 3},
		"empty log":            {"sources", `{"files":[{"name":"bays.csv","raw":""}]}`, 3},
		"no log":               {"sources", `{"files":[{"name":"\u202e\u001b[2J","raw":"YQo="}]}`, 3},
		"findings deep":        {"findings", deep, 1},
		"findings cut":         {"findings", `{"bays":[`, 1},
		"findings and more":    {"findings", `{} {}`, 1},
		"findings of nothing":  {"findings", `null`, 3},
		"findings of no shape": {"findings", `{"bays":{"x":[1e999999999]},"inputs":3}`, 3},
	} {
		file := filepath.Join(t.TempDir(), "record.html")
		makeFile(t, file, resealed(inCarried(t, page, c.id, func(string) string { return c.doc })))
		code, stdout, stderr := runCommand(t, "recheck", file)
		if code != c.code || strings.ContainsAny(stdout+stderr, "\x1b\u202e") {
			t.Errorf("%s: exit code %d, want %d: %s%s", name, code, c.code, stdout, stderr)
		}
	}
}

// Whatever the bytes of a job's files, they come back as they were: marks, line ends, old
// encodings, blank lines.
func TestExtractGivesTheBytesBack(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "job")
	files := map[string]string{
		"job.csv":      "\ufeffname;value\r\njob;</script><!--\r\nsite;=1+1\r\n\r\n",
		"sections.csv": "section,kind,bays\ns,rafter,3",
		"bays.csv":     "section\tbay\twidth\tdepth\tlength\tweight\tnote\ns\tb1\t14.5\t5.5\t12\t26\tcaf\xe9\r\n\n",
	}
	for name, text := range files {
		makeFile(t, filepath.Join(dir, name), text)
	}
	if code, _, stderr := runCommand(t, "record", dir); code != 0 {
		t.Fatalf("record: exit code %d: %s", code, stderr)
	}
	back := filepath.Join(t.TempDir(), "back")
	code, stdout, stderr := runCommand(t, "recheck", filepath.Join(dir, "record.html"), "--extract", back)
	if code != 0 {
		t.Fatalf("recheck: exit code %d: %s%s", code, stdout, stderr)
	}
	for name, text := range files {
		if got := readFile(t, filepath.Join(back, name)); got != text {
			t.Errorf("%s came back as %q, was %q", name, got, text)
		}
	}
	if entries, err := os.ReadDir(back); err != nil || len(entries) != len(files) {
		t.Errorf("%d files came back, want %d: %v", len(entries), len(files), fmt.Sprint(entries))
	}
}

// A blanked record holds nothing of what was blanked, in none of its parts: not in the files that
// it carries, not in the findings, not on the page. What stays is what figures hang on. Its figures
// are those of the copies, its originals are named and not verified, and recheck says so and ends
// with 4.
func TestBlankedRecord(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(t.TempDir(), "Quibblewick house")
	makeFile(t, filepath.Join(dir, "job.csv"), "name,value,remark\njob,Quibblewick attic\nsite,9 Quibblewick Lane\ncrew,the Zorros\ninstaller,Zorro Brothers\nprogram,Zorro Plan\nwork_order,QX-77\ndelivery,DN-4711\n"+
		"date,2026-03-02,asked Zorro\nbag_weight,25 lb\ncfm50_before,2100\nfoo,Zorro\n")
	makeFile(t, filepath.Join(dir, "sections.csv"), "section,kind,bays,note\nnorth slope,rafter,5,Quibblewick side\n")
	makeFile(t, filepath.Join(dir, "cores.csv"), "section,bay,diameter,depth,weight,by,date,photo\nnorth slope,r1,2 in,5 in,16,zorro-k,2026-03-02,Zorro-core.JPG\n")
	makeFile(t, filepath.Join(dir, "bays.csv"), "sep=;\nsection;bay;entry;width;depth;length;bags;stall;probe;at;photo;by;note;time;Zorro says\n\n"+
		"north slope;r1;;22.5;\"5.5; 5.6\";12;1 3/4;yes;;;Zorro-r1*.jpg;zorro-k;\"asked Zorro; fine\";08:10;hm\n"+
		"north slope;r2;;\";\";12;1.5;yes;;;lost-zorro.jpg;zorro-t;;08:20;\n"+
		"north slope;r2;seen;;;;;;rod soft;3;\"Zorro-r1-a.jpg; ZORRO-R1-B.jpg\";zorro-k;;08:30;\n"+
		"north slope;r2;decided;;;;;;;;;zorro-t;Zorro wants it;08:40;\n"+
		"north slope;r3;leave;;;;;;;;;zorro-t;flue of Zorro;08:50;\n")
	for i, name := range []string{"Zorro-r1-a.jpg", "Zorro-r1-b.jpg", "zorro-core.jpg"} {
		makeFile(t, filepath.Join(dir, "photos", name), strings.Repeat("x", 100+i))
	}
	code, _, stderr := runCommand(t, "record", dir, "--redact", "--crew", "Zorro and sons", "--aim", "3.9 lb/ft3")
	file := filepath.Join(dir, "redacted.html")
	if code != 0 || !strings.Contains(stderr, file) {
		t.Fatalf("exit code %d: %s", code, stderr)
	}
	whole := readFile(t, file)
	opened, err := record.Open([]byte(whole))
	if err != nil {
		t.Fatal(err)
	}
	text := whole + string(opened.Findings)
	for _, f := range opened.Carried.Files {
		text += f.Name + "\n" + string(f.Raw)
	}
	for _, gone := range []string{"zorro", "quibblewick", "qx-77", "4711", "flue of", "wants it", "asked"} {
		if at := strings.Index(strings.ToLower(text), gone); at >= 0 {
			t.Errorf("%q is still there: %s", gone, text[max(0, at-60):min(len(text), at+60)])
		}
	}
	for _, stays := range []string{"north slope", "r1", "2026-03-02", "2100", "photo-001; photo-002", `"aim"`, "P1", "P2", "Blanked copy", "not verified", opened.Carried.Originals[0].SHA256} {
		if !strings.Contains(text, stays) {
			t.Errorf("%q is gone", stays)
		}
	}
	code, stdout, stderr := runCommand(t, "recheck", file)
	flat := strings.Join(strings.Fields(stdout), " ")
	for _, says := range []string{"files not fully checked blanked copies", "4 original files named by SHA-256, not inside, not verified", "page holds written again: the same to the byte"} {
		if code != 4 || !strings.Contains(flat, says) {
			t.Errorf("exit code %d, want 4, and %q: %s%s", code, says, stdout, stderr)
		}
	}
	// The verdicts are those of the job itself.
	verdicts := func(doc string) []string {
		return regexp.MustCompile(`"verdict": ?(null|"[A-Z]+")`).FindAllString(strings.ReplaceAll(doc, `": `, `":`), -1)
	}
	_, own, _ := runCommand(t, "check", dir, "--format", "json", "--crew", "Zorro and sons", "--aim", "3.9 lb/ft3")
	if a, b := verdicts(own), verdicts(string(opened.Findings)); len(a) == 0 || strings.Join(a, " ") != strings.Join(b, " ") {
		t.Errorf("verdicts %q, of the job itself %q", b, a)
	}
	if code, _, stderr := runCommand(t, "record", dir, "--redact", "--photos"); code != 2 || !strings.Contains(stderr, "--redact leaves photos out") {
		t.Errorf("--redact --photos: exit code %d: %s", code, stderr)
	}
	// Of a folder it is left out, by name, where the record of the files themselves lies beside it;
	// alone it is looked at.
	if code, _, stderr := runCommand(t, "record", dir, "--crew", "Zorro and sons", "--aim", "3.9 lb/ft3"); code != 0 {
		t.Fatal(stderr)
	}
	if code, stdout, stderr := runCommand(t, "recheck", dir, "-f", "csv"); code != 0 || strings.Count(stdout, "\nrecord,") != 1 || !strings.Contains(stderr, "redacted.html: a blanked copy of the record beside it, left out") {
		t.Errorf("the folder: exit code %d: %s%s", code, stdout, stderr)
	}
	if err := os.Remove(filepath.Join(dir, "record.html")); err != nil {
		t.Fatal(err)
	}
	if code, stdout, stderr := runCommand(t, "recheck", dir, "-f", "csv"); code != 4 || strings.Contains(stderr, "left out") {
		t.Errorf("the folder: exit code %d: %s%s", code, stdout, stderr)
	}
	// A record that does not say any more that it is blanked differs.
	makeFile(t, file, resealed(regexp.MustCompile(`,"originals":\[[^\]]*\]`).ReplaceAllString(whole, "")))
	if code, stdout, _ := runCommand(t, "recheck", file); code != 3 {
		t.Errorf("exit code %d: %s", code, stdout)
	}
}
