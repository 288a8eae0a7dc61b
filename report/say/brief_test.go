package say

import (
	"strings"
	"testing"
	"unicode/utf8"

	"bayproof/model"
	"bayproof/verify"
)

// TestBrief: what a list says of a code uses its evidence and nothing else, and is never longer than what the record says.
func TestBrief(t *testing.T) {
	us := Units{model.US}
	shorter := 0
	for _, c := range verify.Codes() {
		brief := brief(c.Code)
		full, bare := us.phrase(brief, evidenceFor(c)), us.phrase(brief, evidenceNeeded(c, brief))
		for _, text := range []string{full, bare} {
			if strings.ContainsAny(text, "?{}[]") {
				t.Errorf("%s says %q", c.Code, text)
			}
		}
		long := us.phrase(long(c.Code), evidenceFor(c))
		if utf8.RuneCountInString(full) > utf8.RuneCountInString(long) {
			t.Errorf("%s: %q is longer than %q", c.Code, full, long)
		} else if full != long {
			shorter++
		}
	}
	if shorter < 8 {
		t.Errorf("only %d codes are said in brief", shorter)
	}
}

// TestSpot: the first place that is known in feet, else the first.
func TestSpot(t *testing.T) {
	us := Units{model.US}
	place := func(code verify.Code) verify.Datum {
		return verify.Datum{Key: "place", Text: string(code), Dim: verify.Name}
	}
	feet := func(key string, x float64) verify.Datum {
		return verify.Datum{Key: key, Value: x * model.Foot, Dim: verify.Length}
	}
	for _, x := range []struct {
		data []verify.Datum
		want string
	}{
		{nil, ""},
		{[]verify.Datum{place(verify.Obstacles), place(verify.FarCorners)}, "wires, pipes, blocking"},
		{[]verify.Datum{place(verify.BeyondMark), place(verify.ByHole), feet("from", 0), feet("to", 1.2), place(verify.Obstacles)}, "by the fill hole (0.0 to 1.2 ft)"},
		{[]verify.Datum{place(verify.BeyondMark), feet("from", 5), feet("to", 6.8), place(verify.ByHole), feet("from", 0), feet("to", 1.2)}, "past the tube's mark (5.0 to 6.8 ft)"},
		{[]verify.Datum{place(verify.ByHole), feet("mass", 5)}, "by the fill hole"}, // what follows is not the place's
	} {
		if got := us.spot(x.data); got != x.want {
			t.Errorf("got %q, want %q", got, x.want)
		}
	}
}

// Every reason and suspicion of a bay has a title of its own for a table.
func TestEveryReasonHasATitle(t *testing.T) {
	seen := map[string]verify.Code{}
	for _, c := range verify.Codes() {
		if c.Kind != verify.KindReason && c.Kind != verify.KindSuspicion {
			continue
		}
		title := ReasonTitle(c.Code)
		if title == string(c.Code) || seen[title] != "" {
			t.Errorf("%s: title %q, that of %q too", c.Code, title, seen[title])
		}
		seen[title] = c.Code
	}
	if len(seen) == 0 {
		t.Error("no reason in the table")
	}
}
