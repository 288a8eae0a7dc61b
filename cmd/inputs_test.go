package cmd_test

import (
	"bufio"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"os"
	"slices"
	"strings"
	"testing"
)

// Every document names the files that it rests on with the SHA-256 of their bytes, be they of one job or of many.
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
