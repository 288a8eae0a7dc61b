package screen

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"
)

func TestClean(t *testing.T) {
	for text, want := range map[string]string{
		"b7":                   "b7",
		"\x1b[2Jgone":          "�[2Jgone",
		"a\rb\nc\td":           "a�b�c�d",
		"name\u202egnp.exe":    "name�gnp.exe",
		"\u2066x\u2069":        "�x�",
		"lb/ft³ ± ½ café":      "lb/ft³ ± ½ café",
		"\u009b31mred":         "�31mred",
		"bell\x07 and del\x7f": "bell� and del�",
	} {
		if got := Clean(text); got != want {
			t.Errorf("Clean(%q) = %q, want %q", text, got, want)
		}
	}
}

func TestWrap(t *testing.T) {
	text := "reads 3.62 ± 0.27; your other 14 run 3.85 ± 0.12: 97 % sure of 3.5 lb/ft³, and awordthatislongerthantheline 14 1/2 in"
	for width := 8; width < 80; width++ {
		lines := Wrap(text, width)
		for _, l := range lines {
			if utf8.RuneCountInString(l) > width && strings.Contains(l, " ") && !strings.ContainsAny(l, "0123456789") {
				t.Errorf("width %d: %q is too long", width, l)
			}
			if strings.HasPrefix(l, "%") || strings.HasPrefix(l, "± ") || strings.HasPrefix(l, "1/2") {
				t.Errorf("width %d: %q begins with what belongs to the figure before it", width, l)
			}
		}
		if got := strings.Join(lines, " "); got != text {
			t.Errorf("width %d: words are lost: %q", width, got)
		}
	}
}

func TestPadAndShort(t *testing.T) {
	if got := Pad("½", 3) + "|" + PadLeft("½", 3) + "|" + Pad("long", 2) + "|" + Short("north slope", 6); got != "½  |  ½|long|north…" {
		t.Errorf("got %q", got)
	}
}

func TestCell(t *testing.T) {
	for text, want := range map[string]string{
		"": "", "b7": "b7", "=1+1": "'=1+1", "-3": "'-3", "+x": "'+x", "@x": "'@x", "'tis": "''tis", "\tx": "'�x", "½": "½", "b\x1b[31m": "b�[31m", "a\u202eb": "a�b", "b = 3": "b = 3",
	} {
		if got := Cell(text); got != want {
			t.Errorf("Cell(%q) = %q, want %q", text, got, want)
		}
	}
}

// TestAppendCell holds what a spreadsheet must not run, and what must be quoted.
func TestAppendCell(t *testing.T) {
	for _, x := range []struct{ text, want string }{
		{"b7", "b7"}, {"", ""}, {"left, upper", `"left, upper"`}, {`12" bay`, `"12"" bay"`}, {"25.3; 25.1", "25.3; 25.1"},
		{"=1+1", "'=1+1"}, {"-3", "'-3"}, {"@x,y", `"'@x,y"`}, {" padded", `" padded"`}, {"padded ", `"padded "`}, {"a\nb", "a�b"}, {"\x1b[2Jb\u009b", "�[2Jb�"}, {"½ café", "½ café"},
	} {
		if got := string(AppendCell(nil, x.text)); got != x.want {
			t.Errorf("%q is written %s, want %s", x.text, got, x.want)
		}
	}
	for _, x := range []struct{ text, want string }{{"25.3; 25.1", `"25.3; 25.1"`}, {"-3", "-3"}, {"a\nb", "\"a\nb\""}} {
		if got := string(Quote(nil, x.text, ",;")); got != x.want {
			t.Errorf("%q is quoted %s, want %s", x.text, got, x.want)
		}
	}
}

// TestAppendRow: a row reads back as the cells that it was made of.
func TestAppendRow(t *testing.T) {
	cells := []string{"b7", "", `12" bay, upper`, " padded", "-0.5", "a\nb", "½"}
	got, err := csv.NewReader(bytes.NewReader(AppendRow(nil, cells...))).ReadAll()
	if err != nil || len(got) != 1 || !slices.Equal(got[0], cells) {
		t.Errorf("%q comes back as %q (%v)", cells, got, err)
	}
}

// TestHang: text goes on under its own beginning, and no line ends with spaces.
func TestHang(t *testing.T) {
	got := strings.Join(Hang("- b7", 6, 14, "one two three"), "|") + "|" + strings.Join(Hang("a", 3, 9, ""), "|")
	if want := "- b7  one two|      three|a"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// What JSON writes says the same as before, and has nothing in it that a terminal obeys.
func TestJSON(t *testing.T) {
	for _, text := range []string{"b7", "½ café 〃", "\x1b[2J", "b\u009b31m\x7f", "\u202egnp.exe", "a\nb\tc", "\u009b"} {
		document, err := json.MarshalIndent(map[string]string{"name": text, text: "x"}, "", "\t")
		if err != nil {
			t.Fatal(err)
		}
		out := JSON(document)
		var back map[string]string
		if err := json.Unmarshal(out, &back); err != nil || back["name"] != text || back[text] != "x" {
			t.Errorf("%q comes back as %q (%v)", text, back, err)
		}
		for _, r := range string(out) {
			if Clean(string(r)) != string(r) && r != '\n' && r != '\t' {
				t.Errorf("%q: the document shows %q", text, r)
			}
		}
	}
}
