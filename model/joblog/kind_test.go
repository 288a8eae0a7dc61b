package joblog

import (
	"bytes"
	"encoding/csv"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"golang.org/x/text/encoding/charmap"
)

// plainLog is a log in its plainest form; every other form of it must read the same.
const plainLog = "section,bay,entry,width,depth,length,bags,note,time\n" +
	"n,b1,fill,22.5,5.5,12.5,1.75,café,2026-03-02 10:00\n" +
	"n,b2,fill,22.25,\"\"\"\",12,2,\"long, hard\",2026-03-02 10:10\n"

func replaced(pairs ...string) string { return strings.NewReplacer(pairs...).Replace(plainLog) }

// TestReadKindly: what spreadsheets and people do to a file without changing what it says.
func TestReadKindly(t *testing.T) {
	latin, err := charmap.Windows1252.NewEncoder().String(plainLog)
	if err != nil {
		t.Fatal(err)
	}
	semicolons := "section;bay;entry;width;depth;length;bags;note;time\n" +
		"n;b1;fill;22,5;5,5;12,5;1,75;café;2026-03-02 10:00\nn;b2;fill;22,25;\";12;2;long, hard;2026-03-02 10:10\n"
	for _, x := range []struct{ name, log, warning string }{
		{"as it is", plainLog, ""},
		{"byte order mark", bom + plainLog, ""},
		{"CRLF", replaced("\n", "\r\n"), ""},
		{"CR", replaced("\n", "\r"), ""},
		{"no last line end", strings.TrimSuffix(plainLog, "\n"), ""},
		{"blank lines", replaced("\n", "\n\n,,,,,,,,\n"), ""},
		{"headers by hand", replaced("section,bay", "Section , BAY", "width,depth", "Width (in),depth_in"), ""},
		{"header twice", plainLog[:strings.Index(plainLog, "\n")+1] + plainLog, ""},
		{"no-break spaces", replaced("n,b1", "\u00a0n,b1\u00a0", "22.5", "22.5\u00a0"), ""},
		{"Windows-1252", latin, "encoding"},
		{"semicolons and commas", semicolons, ""},
		{"a line that says the separator", "sep=;\r\n" + semicolons, ""},
		{"tabs", strings.NewReplacer(";", "\t").Replace(semicolons), ""},
		{"quotes everywhere", replaced("22.5", `"22.5"`, "b1,", `"b1",`, "café", `"café"`), ""},
		{"a ditto by hand", replaced(`""""`, `"`), ""},
		{"a blank for a ditto", replaced(`""""`, ``), ""},
		{"inch marks", replaced("22.5,", `22 1/2",`, "12.5", `12' 6"`), ""},
		{"inch marks in quotes", replaced("22.5,", `"22 1/2""",`, "12.5", `"12' 6"""`), ""},
		{"inch marks in quotes, not doubled", replaced("22.5,", `"22 1/2"",`, "12.5", `"12' 6""`), ""},
		{"units in the header", replaced("length,bags", "length_in,bags", "12.5,", "150,", ",12,", ",144,"), ""},
		{"a column that no one knows", replaced("length,bags", "length,weather,bags", "12.5,", "12.5,rain,", ",12,", ",12,sun,"), "unknown-column"},
	} {
		job, faults := readLog(x.log)
		if len(faults) > 0 {
			t.Errorf("%s: %s", x.name, told(faults))
			continue
		}
		if got, want := gist(job.Log), gist(mustRead(t, plainLog).Log); got != want {
			t.Errorf("%s: read as\n%s\nwant\n%s", x.name, got, want)
		}
		if x.warning != "" && !warned(job, x.warning) || x.warning == "" && len(job.Warnings) > 0 {
			t.Errorf("%s: warnings %v, want %q", x.name, job.Warnings, x.warning)
		}
	}
}

// TestExtraColumnsAreKept: the cells of unknown columns stay with their row.
func TestExtraColumnsAreKept(t *testing.T) {
	job := mustRead(t, "section,bay,width,depth,length,bags,weather\nn,b1,22.5,5.5,12,2,rain\n")
	if !slices.Equal(job.Extra, []string{"weather"}) || job.Log[0].Cells[6] != "rain" || job.Columns[6] != "" || job.Header[6] != "weather" {
		t.Errorf("%v %v", job.Extra, job.Log[0].Cells)
	}
}

// TestCut: quotes by the book and not.
func TestCut(t *testing.T) {
	for _, x := range []struct {
		line string
		want []string
	}{
		{`a,b,c`, []string{"a", "b", "c"}},
		{`,,`, []string{"", "", ""}},
		{`"a","b,c",d`, []string{"a", "b,c", "d"}},
		{`"a" ,b,c`, []string{"a", "b", "c"}},
		{`"say ""so""",b,c`, []string{`say "so"`, "b", "c"}},
		{`a,12' 6",c`, []string{"a", `12' 6"`, "c"}},
		{`a,"12' 6""",c`, []string{"a", `12' 6"`, "c"}},
		{`a,"12' 6"",c`, []string{"a", `12' 6"`, "c"}},
		{`"5"",12,"`, []string{`5"`, "12", `"`}},
		{`",",x`, []string{`"`, `"`, "x"}},
		{`a,","`, []string{"a", `"`, `"`}},
		{`a,"",c`, []string{"a", "", "c"}},
		{`a,"""",c`, []string{"a", `"`, "c"}},
		{`a,b,the "good" one`, []string{"a", "b", `the "good" one`}},
	} {
		c := cutter{sep: ',', want: 3, ditto: []bool{true, true, true}}
		if got, open := c.cut(x.line, nil); open > 0 || !slices.Equal(got, x.want) {
			t.Errorf("%s is cut into %q (open %d), want %q", x.line, got, open, x.want)
		}
	}
	c := cutter{sep: ',', want: 3}
	if _, open := c.cut(`a,"b,c`, nil); open != 2 {
		t.Errorf("a quote that nothing closes is told in cell %d, not 2", open)
	}
}

// TestCutLikeTheLibrary: lines that encoding/csv writes are cut as it reads them.
func TestCutLikeTheLibrary(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	alphabet := []rune(`ab ,;"'1é`)
	for range 20000 {
		cells := make([]string, 1+r.IntN(6))
		for i := range cells {
			var b strings.Builder
			for range r.IntN(6) {
				b.WriteRune(alphabet[r.IntN(len(alphabet))])
			}
			cells[i] = b.String()
		}
		var out bytes.Buffer
		w := csv.NewWriter(&out)
		_ = w.Write(cells)
		w.Flush()
		line := strings.TrimSuffix(out.String(), "\n")
		c := cutter{sep: ',', want: len(cells)}
		if got, open := c.cut(line, nil); open > 0 || !slices.Equal(got, cells) {
			t.Fatalf("%s is cut into %q, want %q", line, got, cells)
		}
	}
}
