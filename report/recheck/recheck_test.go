package recheck

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"
	"testing"

	"bayproof/report/record"
)

// A record of an older method is told as one of a newer is: its figures are not compared, its files
// and what its page shows of its own findings are.
func TestRecordOfAnOlderMethod(t *testing.T) {
	raw := []byte("section,bay\n")
	sum := sha256.Sum256(raw)
	page := func(verdict string) []byte {
		return fmt.Appendf(nil, `<h2 data-is="headline">1 of 2</h2><b data-is="count:close">1</b><b data-is="count:add">0</b><b data-is="count:measure">0</b><b data-is="count:probe">0</b>
<table><tr data-of="s b1"><td data-is="verdict">%s</td><td data-is="density">3.62 ± 0.1</td></tr></table></html>`, verdict)
	}
	for _, c := range []struct {
		sha, verdict, said string
		want               Outcome
	}{
		{hex.EncodeToString(sum[:]), "CLOSE", "files     holds", Partly},
		{strings.Repeat("0", 64), "CLOSE", "files     differs", Differs},
		{hex.EncodeToString(sum[:]), "ADD", "it shows 1 verdict or figure", Differs},
	} {
		o := &record.Opened{
			Stated: strings.Repeat("a", 64), Computed: strings.Repeat("a", 64), Page: page(c.verdict), Carried: record.Carried{Files: []record.File{{Name: "bays.csv", Raw: raw}}},
			Findings: fmt.Appendf(nil, `{"inputs":[{"file":"bays.csv","sha256":%q}],"bays":[{"section":"s","bay":"b1","verdict":"CLOSE","density":3.6184}],"totals":{"close":1,"add":0,"measure":0,"probe":0}}`, c.sha),
		}
		r, err := Check("x.html", o, Tool{"1", "amd64", 2}, nil)
		if err != nil {
			t.Fatal(err)
		}
		if said := r.Text(); r.Outcome != c.want || !strings.Contains(said, c.said) || !strings.Contains(said, "written by an older method:") {
			t.Errorf("%s, want %s and %q: %s", r.Outcome, c.want, c.said, said)
		}
	}
}

// A number that another processor gives in other last bits is the same; one that anybody could see
// is not.
func TestCompare(t *testing.T) {
	stated := []byte(`{"schema":"s/1","text":"t","tool":{"version":"1"},"settings":{"spill":{"value":0.5},"dropped":{"value":false}},"bays":[{"section":"s","bay":"b1","density":3.62,"excess":0.5e-15,"verdict":"CLOSE","reasons":[{"code":"reach","text":"a"}]}]}`)
	for _, c := range []struct {
		name, old, new, where string
		left                  int
	}{
		{"last bits", "3.62", "3.6200000000000006", "", 0},
		{"1e-9 of it", "3.62", "3.6200000036", "", 0},
		{"more than that", "3.62", "3.6200001", "bays[s b1].density", 0},
		{"zero, in last bits", "0.5e-15", "-2e-16", "", 0},
		{"zero, to be seen", "0.5e-15", "1e-9", "bays[s b1].excess", 0},
		{"gone", "3.62", "null", "bays[s b1].density", 0},
		{"verdict", "CLOSE", "ADD", "bays[s b1].verdict", 0},
		{"code", "reach", "no-stall", "bays[s b1].reasons[reach]", 0},
		{"a sentence", `"a"`, `"b"`, "bays[s b1].reasons[reach].text", 0},
		{"a sentence of another version", `"text":"t","tool":{"version":"1"}`, `"text":"u","tool":{"version":"2"}`, "", 1},
		{"newer tool", `"version":"1"`, `"version":"2"`, "", 0},
		{"a setting that this version has no more", `,"dropped":{"value":false}`, "", "", 0},
		{"a setting that the record has not", `"dropped"`, `"dropped":{"value":false},"added"`, "settings.added", 0},
		{"a setting of another value", "0.5}", "0.6}", "settings.spill.value", 0},
		{"a key more", `"density"`, `"extra":1,"density"`, "bays[s b1].extra", 0},
		{"a key more in another shape", `"schema":"s/1"`, `"schema":"s/2","extra":1`, "", 1},
		{"a bay more", `"bays":[`, `"bays":[{"section":"s","bay":"b0"},`, "bays[s b0]", 0},
	} {
		now := []byte(strings.Replace(string(stated), c.old, c.new, 1))
		found, left, err := Compare(stated, now)
		if err != nil {
			t.Fatal(err)
		}
		got := ""
		if len(found) > 0 {
			got = found[0].Where
		}
		if got != c.where || left != c.left {
			t.Errorf("%s: first difference at %q, want %q; %d not compared, want %d", c.name, got, c.where, left, c.left)
		}
	}
}

// The order of what is told is that of what matters, and nothing is left out: all differences are
// in the document, and the text says how many it leaves to it.
func TestDifferencesAreToldInOrder(t *testing.T) {
	r := &Result{Outcome: Differs}
	for i := range 40 {
		r.Differences = append(r.Differences, Difference{BayPart, fmt.Sprintf("bay b%d", i), "1", "2"})
	}
	r.Differences = append(r.Differences, Difference{Rest, "the cautions", "a", "b"}, Difference{Verdict, "bay b9", "CLOSE", "ADD"}, Difference{Section, "south", "3", "4"}, Difference{Headline, "the first pages", "5", "6"})
	r.Differences = inOrder(r.Differences)
	text := r.Text()
	at := -1
	for _, want := range []string{"verdict  bay b9: the record says “CLOSE”, it is “ADD”", "headline ", "section ", "bay      bay b0", "and 28 more", "rest "} {
		next := strings.Index(text, want)
		if next <= at {
			t.Fatalf("%q is missing or too early in\n%s", want, text)
		}
		at = next
	}
}

// Lines that came, went or changed are found as the fewest that it takes.
func TestEdits(t *testing.T) {
	lines := func(text string) (out []line) {
		for _, word := range strings.Fields(text) {
			out = append(out, line{text: word})
		}
		return out
	}
	words := func(list []line) (out []string) {
		for _, l := range list {
			out = append(out, l.text)
		}
		return out
	}
	for _, c := range []struct{ a, b, want string }{
		{"a b c", "a b c", ""},
		{"a b c", "a x c", "b>x"},
		{"a b c d e", "a c d x e", "b> >x"},
		{"a b", "a b c", ">c"},
		{"", "a", ">a"},
		{"a b c d", "", "a,b,c,d>"},
		{"a b c d e f g", "b c x e f g h", "a> d>x >h"},
	} {
		var got []string
		for _, e := range edits(lines(c.a), lines(c.b)) {
			got = append(got, strings.Join(words(e.gone), ",")+">"+strings.Join(words(e.new), ","))
		}
		if strings.Join(got, " ") != c.want {
			t.Errorf("%q to %q: %q, want %q", c.a, c.b, got, c.want)
		}
	}
	// Past the most that is looked for, all between what is the same at both ends is one run.
	var a, b []line
	for i := range 4000 {
		a, b = append(a, line{text: fmt.Sprint("a", i)}), append(b, line{text: fmt.Sprint("b", i)})
	}
	if got := edits(a, b); len(got) != 1 || len(got[0].gone) != 4000 || len(got[0].new) != 4000 {
		t.Errorf("%d runs", len(got))
	}
}

// A page is read line by line with its place; styles and scripts are no lines, and what is marked
// stands alone.
func TestLook(t *testing.T) {
	page := `<html><head><title>T</title><style>p{}</style></head><body><section id="bays"><h2>Every <b>bay</b></h2><table><tr data-of="n b1"><td>x</td><td data-is="verdict"><span>ADD</span></td></tr></table><p>after</p></section><script>var a="<p>no</p>"</script></body></html>`
	var got []string
	for _, l := range look([]byte(page), false, "").lines {
		got = append(got, l.where+"|"+l.is+"|"+l.text)
	}
	want := []string{"the head of the page||T", "the table of bays||Every bay", "bay n b1||x", "bay n b1|verdict|ADD", "the table of bays||after"}
	if !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}

// What is not seen has a name where it came and where it went.
func TestUnseenHasAName(t *testing.T) {
	page := look([]byte(`<p style="x" onclick="y" hidden><!-- z --><img src="data:w"><script>v</script><style>u</style>`), false, "").elements
	for _, sides := range [][2][]element{{page, nil}, {nil, page}} {
		foreign, unseen := compareUnseen(sides[0], sides[1])
		if all := slices.Concat(foreign, unseen); len(foreign) != 4 || len(unseen) != 4 || slices.Contains(all, "") {
			t.Errorf("%q", all)
		}
	}
}

// Drawings of another processor may be off by a hundredth of a pixel; what is read may not be off
// at all.
func TestElsewhere(t *testing.T) {
	page := []byte(`<html><body><p>3.62</p><svg><path d="M1.25 3"/></svg></body></html>`)
	for _, c := range []struct {
		old, new        string
		elsewhere, same bool
	}{
		{"M1.25", "M1.26", true, true}, {"M1.25", "M1.26", false, false}, {"M1.25", "M1.35", true, false}, {"3.62", "3.63", true, false},
	} {
		got := comparePages(&record.Opened{Page: []byte(strings.Replace(string(page), c.old, c.new, 1))}, &record.Opened{Page: page}, c.elsewhere)
		if got.same != c.same {
			t.Errorf("%s to %s, elsewhere %v: the same %v", c.old, c.new, c.elsewhere, got.same)
		}
	}
}
