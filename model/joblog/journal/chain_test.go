package journal_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"bayproof/model"
	"bayproof/model/joblog/journal"
)

// fill is a row of a bay.
func fill(bay, bags, time string) journal.Row {
	return journal.Row{"section": "north slope", "bay": bay, "entry": "fill", "width": "22.5", "depth": "5.5", "length": "12", "bags": bags, "time": time}
}

// three is a journal of three rows, as it stands on disk.
func three() []byte {
	var c journal.Chain
	return c.Add(fill("b1", "1.75", "2026-03-02T14:00:00-05:00"), fill("b2", "2", "2026-03-02T14:10:00-05:00"), fill("b3", "1.5", "2026-03-02T14:20:00-05:00"))
}

// The sums are those of the formula in the package's comment, done here by hand over the bytes of
// the file.
func TestSums(t *testing.T) {
	before := ""
	for n, line := range strings.Split(strings.TrimSuffix(string(three()), "\n"), "\n") {
		stated, object, _ := strings.Cut(line, " ")
		got := sha256.Sum256([]byte(before + "\n" + object + "\n"))
		if before = hex.EncodeToString(got[:]); before != stated {
			t.Errorf("line %d states %s, by hand %s", n+1, stated, before)
		}
	}
	if c := journal.Read(three()); c.End != before || c.Broken != 0 || c.Written != 3 || len(c.Rows) != 3 {
		t.Errorf("read again: %+v", c)
	}
}

// Every single byte that is changed, and every line that is taken out, put in twice or swapped, is
// seen; only what is cut off the end is not, which is what the kept last sum is for.
func TestEveryChangeIsSeen(t *testing.T) {
	whole := three()
	end := journal.Read(whole).End
	for i := range whole {
		bad := bytes.Clone(whole)
		bad[i] ^= 1
		if c := journal.Read(bad); c.Broken == 0 && c.End == end {
			t.Errorf("byte %d flipped goes unnoticed", i)
		}
	}
	lines := bytes.SplitAfter(whole, []byte("\n"))[:4]
	for _, order := range [][]int{{0, 1, 3}, {0, 2, 3}, {1, 2, 3}, {0, 1, 1, 2, 3}, {0, 2, 1, 3}, {0, 0, 1, 2, 3}} {
		var bad []byte
		for _, i := range order {
			bad = append(bad, lines[i]...)
		}
		if c := journal.Read(bad); c.Broken == 0 {
			t.Errorf("lines %v go unnoticed", order)
		}
	}
	if c := journal.Read(bytes.Join(lines[:3], nil)); c.Broken != 0 || c.End == end {
		t.Errorf("cut at a line end: broken %d, the same end %t", c.Broken, c.End == end)
	}
}

// A line that was torn off while it was written is no line: the next one goes where it began.
func TestTornLine(t *testing.T) {
	whole := three()
	for cut := range whole {
		c := journal.Read(whole[:cut])
		if c.Broken != 0 {
			t.Fatalf("cut at %d: broken at line %d", cut, c.Broken)
		}
		again := append(bytes.Clone(whole[:c.Bytes]), c.Add(fill("b9", "1", ""))...)
		if d := journal.Read(again); d.Broken != 0 || d.Rows[len(d.Rows)-1].Cells["bay"] != "b9" {
			t.Fatalf("cut at %d and gone on: %+v", cut, d)
		}
	}
}

func TestAccepted(t *testing.T) {
	c := journal.Read(three())
	file := three()
	file = append(file, c.Replace(2, fill("b2", "2.25", "2026-03-02T14:10:00-05:00"), "ab", "t")...)
	file = append(file, c.Replace(1, nil, "ab", "t")...)
	file = append(file, c.Reorder([]int{3, 2}, "ab", "t")...)
	got := journal.Read(file)
	var rows []string
	for _, k := range got.Rows {
		rows = append(rows, fmt.Sprint(k.N, " ", k.Cells["bags"]))
	}
	if diff := cmp.Diff([]string{"3 1.5", "2 2.25"}, rows); diff != "" || got.Broken != 0 || got.Accepted != 3 || got.Written != 3 {
		t.Errorf("%+v\n%s", got, diff)
	}
	if diff := cmp.Diff(c.Rows, got.Rows); diff != "" || c.End != got.End {
		t.Errorf("as it was written and as it is read: %s", diff)
	}
}

// sealed is a journal whose sums hold, whatever its lines say: whoever can write the file can write
// one.
func sealed(objects ...string) []byte {
	var out []byte
	before := ""
	for _, object := range objects {
		sum := sha256.Sum256([]byte(before + "\n" + object + "\n"))
		before = hex.EncodeToString(sum[:])
		out = append(out, before+" "+object+"\n"...)
	}
	return out
}

// TestLinesThatMayNotStandThere: a chain that holds is read as far as its lines are what is ever
// written. Of what comes behind nothing is shown, and a row more can be added and read.
func TestLinesThatMayNotStandThere(t *testing.T) {
	const first, one, two = `{"schema":"bayproof/journal/1"}`, `{"row":1,"cells":{"bay":"b1"}}`, `{"row":2,"cells":{"bay":"b2"}}`
	for _, x := range []struct {
		name   string
		lines  []string
		broken int
	}{
		{"as it is written", []string{first, one, two, `{"of":1,"cells":{"bay":"b9"}}`, `{"of":2,"undone":true}`, `{"row":3,"cells":{"bay":"b3"}}`, `{"order":[3,1]}`}, 0},
		{"another form", []string{`{"schema":"bayproof/journal/2"}`, one}, 1},
		{"no first line", []string{one, two}, 1},
		{"two first lines", []string{first, one, first}, 3},
		{"nothing said", []string{first, one, `{}`, two}, 3},
		{"no object", []string{first, one, `[]`, two}, 3},
		{"a row left out", []string{first, one, `{"row":3,"cells":{"bay":"b3"}}`}, 3},
		{"a row twice", []string{first, one, one, two}, 3},
		{"rows in another order", []string{first, two, one}, 2},
		{"the largest number", []string{first, one, `{"row":9223372036854775807,"cells":{"bay":"b3"}}`}, 3},
		{"less than none", []string{first, one, `{"row":-1,"cells":{"bay":"b3"}}`}, 3},
		{"of no row", []string{first, one, `{"of":7,"undone":true}`}, 3},
		{"taken out twice", []string{first, one, `{"of":1}`, `{"of":1}`}, 4},
		{"brought back", []string{first, one, `{"of":1}`, `{"of":1,"cells":{"bay":"b1"}}`}, 4},
	} {
		b := sealed(x.lines...)
		c := journal.Read(b)
		sound := len(b)
		if x.broken > 0 {
			sound = len(bytes.Join(bytes.SplitAfter(b, []byte("\n"))[:x.broken-1], nil))
		}
		if c.Broken != x.broken || c.Sound != sound {
			t.Errorf("%s: broken at line %d, want %d; sound up to byte %d, want %d", x.name, c.Broken, x.broken, c.Sound, sound)
		}
		if s := journal.Read(b[:c.Sound]); s.Broken > 0 {
			t.Errorf("%s: what is sound is broken at line %d", x.name, s.Broken)
		}
		again := journal.Read(append(b, c.Add(fill("b7", "1", ""), fill("b8", "1", ""))...))
		if n := len(again.Rows); n < 2 || again.Rows[n-1].Cells["bay"] != "b8" || again.Rows[n-2].Cells["bay"] != "b7" || again.Broken != x.broken {
			t.Errorf("%s: gone on: %+v", x.name, again)
		}
	}
}

// Whatever stands in the file, reading comes to an end, and what is added to it can be read.
func FuzzRead(f *testing.F) {
	f.Add(three())
	f.Add([]byte("{\n\n"))
	f.Add([]byte(strings.Repeat("0", 64) + ` {"row":-1,"of":2,"order":[1,1,9],"cells":null}` + "\n"))
	f.Add([]byte(strings.Repeat("0", 64) + ` {"row":1,"cells":{}}` + "\n" + strings.Repeat("0", 64) + ` {"order":[1,1],"by":"\u0000"}` + "\n"))
	f.Add(sealed(`{"schema":"bayproof/journal/1"}`, `{"row":9223372036854775807,"cells":{}}`))
	f.Fuzz(func(t *testing.T, b []byte) {
		c := journal.Read(b)
		if c.Bytes > len(b) || c.Written < 0 || c.Sound > c.Bytes || journal.Read(b[:c.Sound]).Broken > 0 {
			t.Fatalf("%+v", c)
		}
		if c.Bytes < len(b) && c.Bytes > 0 && b[c.Bytes-1] != '\n' {
			t.Fatalf("ends in the middle of a line: %d", c.Bytes)
		}
		broken, rows := c.Broken, len(c.Rows)
		again := journal.Read(append(bytes.Clone(b[:c.Bytes]), c.Add(fill("b1", "1", ""))...))
		if again.Broken != broken || len(again.Rows) != rows+1 {
			t.Fatalf("after a row more: broken at %d, %d rows; before at %d, %d rows", again.Broken, len(again.Rows), broken, rows)
		}
		journal.NewForm(journal.Columns(model.LogColumns()), model.US).Compare(c.Rows, nil)
	})
}
