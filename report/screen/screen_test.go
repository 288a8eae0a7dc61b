package screen

import (
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
