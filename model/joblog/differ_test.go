package joblog

import (
	"encoding/csv"
	"slices"
	"strings"
	"testing"
)

// checkCut sets the cutter against the library's reader of CSV: a line that the library reads as
// one record without complaint is cut into the same cells. (The cutter reads more: a quote inside a
// cell is an inch mark.)
func checkCut(t *testing.T, line string, sep byte) {
	if strings.ContainsAny(line, "\r\n\x00") || line == "" {
		return
	}
	r := csv.NewReader(strings.NewReader(line))
	r.Comma, r.FieldsPerRecord = rune(sep), -1
	want, err := r.Read()
	if err != nil {
		return
	}
	c := cutter{sep: sep, want: len(want)}
	got, open := c.cut(line, nil)
	if open > 0 || !slices.Equal(got, want) {
		t.Errorf("%q by %q: %q (open %d), the library has %q", line, sep, got, open, want)
	}
}

var cutSeeds = []string{"a,b", `"a,b",c`, `"a""b",c`, `"""",x`, `,,`, `"",""`, `a;b;"c;d"`, "x\t\"y\tz\"", `"a" ,b`, `22 1/2"",3`, `"5""",6`, `é,"ü"`, " a , b ", `"a"`, `"",a""`}

func TestCutAgainstTheLibrary(t *testing.T) {
	for _, line := range cutSeeds {
		for _, sep := range []byte{',', ';', '\t'} {
			checkCut(t, line, sep)
		}
	}
	// Every line of up to six characters out of those that matter.
	letters := []byte(`a",`)
	for n := 1; n <= 7; n++ {
		line := make([]byte, n)
		var all func(at int)
		all = func(at int) {
			if at == n {
				checkCut(t, string(line), ',')
				return
			}
			for _, b := range letters {
				line[at] = b
				all(at + 1)
			}
		}
		all(0)
	}
}

func FuzzCutAgainstTheLibrary(f *testing.F) {
	for _, line := range cutSeeds {
		f.Add(line, byte(','))
	}
	f.Fuzz(func(t *testing.T, line string, sep byte) {
		if slices.Contains([]byte{',', ';', '\t'}, sep) {
			checkCut(t, line, sep)
		}
	})
}
