package prompt

import (
	"reflect"
	"strings"
	"testing"

	"bayproof/model"
	"bayproof/report/say"
)

// fits returns the ways of cutting a line that come to one of the numbers of figures.
func fits(line string, counts ...int) [][]string {
	var out [][]string
	for _, way := range figures(strings.Fields(line)) {
		for _, n := range counts {
			if len(way) == n {
				out = append(out, way)
			}
		}
	}
	return out
}

func TestFigures(t *testing.T) {
	for _, c := range []struct {
		line string
		want []string
	}{
		{`14.5 2 1/4;2 1/2 11'6 1 3/4`, []string{"14.5", "2 1/4;2 1/2", "11'6", "1 3/4"}},
		{`14 1/2 5 1/2 12' 6 1/2" 2`, []string{"14 1/2", "5 1/2", `12' 6 1/2"`, "2"}},
		{`22.5 5.5 ; 5.625 12 ft 6 in 1 + 14.5 lb`, []string{"22.5", "5.5 ; 5.625", "12 ft 6 in", "1 + 14.5 lb"}},
		{`22.5 in 5.5 +- 1/4 12 38 lb`, []string{"22.5 in", "5.5 +- 1/4", "12", "38 lb"}},
		{`" " " 1 3/4`, []string{`"`, `"`, `"`, "1 3/4"}},
		{`572 mm 140 mm 3.66 m 17.2 kg`, []string{"572 mm", "140 mm", "3.66 m", "17.2 kg"}},
		{`14½ 5½ 12 1¾`, []string{"14½", "5½", "12", "1¾"}},
	} {
		got := fits(c.line, 4)
		if len(got) != 1 || !reflect.DeepEqual(got[0], c.want) {
			t.Errorf("%s: %q, want only %q", c.line, got, c.want)
		}
	}
}

// A line that makes sense in two ways gives both, so that the person is asked.
func TestTwoReadings(t *testing.T) {
	for _, line := range []string{`14.5 5 11 1/4`, `14.5 5.5 12' 2`} {
		if got := fits(line, 3, 4); len(got) != 2 {
			t.Errorf("%s: %q, want two readings", line, got)
		}
	}
}

// Nothing typed makes the cutting run away.
func TestManyFractions(t *testing.T) {
	if n := len(figures(strings.Fields(strings.Repeat("1 1/2 ", 40)))); n > 2*mostWays {
		t.Errorf("%d readings", n)
	}
}

// TestColumnsAreWords: a figure of the log that is not told by its place is a word of the prompt,
// and a row shows every column.
func TestColumnsAreWords(t *testing.T) {
	for _, c := range model.LogColumns() {
		if c.Figure != nil {
			if got, err := parseWords(say.Units{}, []string{c.Name, "2"}); err != nil || got.said[c.Name] != "2" {
				t.Errorf("%s 2 is read %v (%v)", c.Name, got.said, err)
			}
			if !isWord(c.Name) {
				t.Errorf("%s is no word", c.Name)
			}
		}
		if got := (Row{c.Name: "x"}).inWords(); got != c.Name+" x" && c.Name != "time" {
			t.Errorf("%s is shown as %q", c.Name, got)
		}
	}
}
