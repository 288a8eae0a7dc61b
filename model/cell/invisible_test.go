package cell

import "testing"

// What does not show is left out of a name and told; what shapes letters or flags stays.
func TestInvisibleInNames(t *testing.T) {
	for s, want := range map[string]string{
		"b\u200b1": "b1", "b1\u2060": "b1", "\ufeffb1": "b1", "b\u00ad1": "b1", "\u200eb1\u200f": "b1",
		"\u2066b1\u2069": "b1", "b\u202e1": "b1", "b\u061c1": "b1", "b\u3164": "b", "\u200b\u2060": "", "b \u200b 1": "b 1",
	} {
		if got := Name(s); got != want {
			t.Errorf("%+q is named %+q, want %+q", s, got, want)
		}
		if _, lost := Unseen(s); !lost {
			t.Errorf("%+q: nothing is told", s)
		}
	}
	for _, s := range []string{"b1", "café", "می\u200cخواهم", "क्\u200dष", "☀\ufe0f", "\U0001f3f4\U000e0067\U000e0062\U000e007f", "\u06001"} {
		if got := Name(s); got != s {
			t.Errorf("%+q is named %+q", s, got)
		}
		if r, lost := Unseen(s); lost {
			t.Errorf("%+q loses %U", s, r)
		}
	}
	if a, b := Name("cafe\u0301"), Name("caf\u00e9"); a != b {
		t.Errorf("%+q and %+q are two names", a, b)
	}
}

// In a cell that is read as a figure or a word they are nothing.
func TestInvisibleInCells(t *testing.T) {
	if v, bad := column(t, "width").Number("\u200e14.5\u2060"); bad != nil || !near(v, 14.5*.0254) {
		t.Errorf("%v %v", v, bad)
	}
	if _, said, bad := Entry("fill\u200b"); !said || bad != nil {
		t.Errorf("fill is not read: %v", bad)
	}
	if !Blank("\u200b\ufeff ") {
		t.Error("a cell that shows nothing is not blank")
	}
}
