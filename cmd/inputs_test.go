package cmd_test

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"golang.org/x/text/encoding/unicode"
)

// Every document names the files that it rests on with the SHA-256 of their bytes, be they of one
// job or of many.
func TestInputsAreNamed(t *testing.T) {
	t.Chdir(t.TempDir())
	makeFile(t, "many/bays.csv", "job,section,bay,width,depth,length,weight\nJ1,A,b1,14.5,5.5,12,25\nJ2,A,b1,14.5,5.5,12,25\n")
	makeFile(t, "many/job.csv", "name,value\ncrew,two\n")
	makeFile(t, "one/bays.csv", "section,bay,width,depth,length,weight\nA,b1,14.5,5.5,12,25\n")
	type input struct{ File, SHA256 string }
	inputsOf := func(names ...string) (list []input) {
		for _, name := range names {
			b, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			sum := sha256.Sum256(b)
			list = append(list, input{name[strings.LastIndex(name, "/")+1:], hex.EncodeToString(sum[:])})
		}
		return list
	}
	many := inputsOf("many/bays.csv", "many/job.csv")
	want := [][]input{many, many, inputsOf("one/bays.csv")}
	code, stdout, stderr := runCommand(t, "check", "many", "one", "--format", "json")
	if code != 0 || stderr != "" {
		t.Fatalf("exit code %d: %s", code, stderr)
	}
	var got [][]input
	for lines := bufio.NewScanner(strings.NewReader(stdout)); lines.Scan(); {
		var doc struct{ Inputs []input }
		if err := json.Unmarshal(lines.Bytes(), &doc); err != nil {
			t.Fatal(err)
		}
		got = append(got, doc.Inputs)
	}
	if !slices.EqualFunc(got, want, slices.Equal) {
		t.Errorf("inputs\n%v\nwant\n%v", got, want)
	}
}

// A job whose files are in UTF-16, as some spreadsheets save text, gives the results, the record
// and the recheck of the same job in UTF-8.
func TestUTF16Job(t *testing.T) {
	coder := unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewEncoder()
	files := map[string]string{
		"job.csv":      "name,value\njob,café\nbag_weight,25 lb\n",
		"sections.csv": "section,kind,bays\nnorth,rafter,2\n",
		"bays.csv":     "section\tbay\twidth\tdepth\tlength\tbags\tnote\ttime\nnorth\tb1\t14 ½\t5.5\t12\t1\tdéjà vu\t2026-03-02 14:20\n",
	}
	results := map[bool]string{}
	for _, wide := range []bool{false, true} {
		dir := filepath.Join(t.TempDir(), "job")
		for name, text := range files {
			if wide {
				text, _ = coder.String(text)
			}
			makeFile(t, filepath.Join(dir, name), text)
		}
		_, stdout, stderr := runCommand(t, "check", "--format", "csv", dir)
		results[wide] = stdout + stderr
		if code, _, stderr := runCommand(t, "record", dir); code != 0 {
			t.Fatalf("record: %d\n%s", code, stderr)
		}
		page, _ := os.ReadFile(filepath.Join(dir, "record.html"))
		if !bytes.Contains(page, []byte("14 ½")) || !bytes.Contains(page, []byte("déjà vu")) {
			t.Errorf("UTF-16 %v: the record does not show the row as it is", wide)
		}
		if code, stdout, stderr := runCommand(t, "recheck", filepath.Join(dir, "record.html")); code != 0 {
			t.Errorf("UTF-16 %v: recheck: %d\n%s%s", wide, code, stdout, stderr)
		}
	}
	if results[true] != results[false] || !strings.Contains(results[true], "north,b1,filled") {
		t.Errorf("in UTF-16\n%s\nin UTF-8\n%s", results[true], results[false])
	}
}
