// The journal's chain, whose sums the package comment defines: reading it, and adding lines to it.
// Changed, missing, doubled and moved lines are seen (TestEveryChangeIsSeen).

package journal

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"slices"
)

// Schema names the form of the file; its number rises when a key does.
const Schema = "bayproof/journal/1"

// Row is a row of a table, column to text: figures with a decimal point, and with a unit only where
// it is not the job's own.
type Row = map[string]string

// Kept is a row that was confirmed, as it is to stand in the table.
type Kept struct {
	N     int // its number among all that were written, from 1
	Cells Row
}

// Chain is a journal as it was read.
type Chain struct {
	Rows     []Kept // those that are to stand in the table, in their order
	Written  int    // rows that were written, those taken out later too
	Accepted int    // changes that somebody accepted
	End      string // the last sum; empty where there is no line
	Broken   int    // the first line that the chain does not hold for; 0 where it holds for all
	Sound    int    // bytes of the lines before that one: only of these the chain shows anything
	Bytes    int    // of whole lines: what stands behind them was torn off while it was written
	lines    int
}

// line is the object of one line. Which of its members are there says what the line is.
type line struct {
	Schema string `json:"schema,omitempty"`
	Row    int    `json:"row,omitempty"`
	Of     int    `json:"of,omitempty"`
	Undone bool   `json:"undone,omitempty"`
	Order  []int  `json:"order,omitempty"`
	Cells  Row    `json:"cells,omitempty"`
	By     string `json:"by,omitempty"`
	Time   string `json:"time,omitempty"`
}

// mostMissing is how many rows a journal may lack between two lines: a number that is further on is
// none, and those of the rows that follow stay numbers.
const mostMissing = 1 << 30

// Read reads a journal. It never fails: of the first line that the chain does not hold for, or that
// says nothing which may stand there, the number is kept, and the rest is read on from the sum that
// the line states. A last line without its end is not read.
func Read(b []byte) *Chain {
	c := new(Chain)
	place := map[int]int{} // of a row in c.Rows, by its number
	gone := map[int]bool{}
	for c.Bytes < len(b) {
		end := bytes.IndexByte(b[c.Bytes:], '\n')
		if end < 0 {
			break
		}
		text := b[c.Bytes : c.Bytes+end]
		if c.lines++; c.Broken == 0 {
			c.Sound = c.Bytes
		}
		c.Bytes += end + 1
		stated, object, found := bytes.Cut(text, []byte{' '})
		want := sum(c.End, object)
		if c.End = string(stated); !found || len(stated) != len(want) {
			c.End = sum(c.End, text) // no sum stands there to go on from
		}
		var l line
		bad := c.End != want
		if json.Unmarshal(object, &l) != nil {
			l, bad = line{}, true
		}
		switch at, known := place[l.Of]; {
		case l.Row > 0 && l.Row-c.Written < mostMissing && l.Cells != nil:
			bad = bad || l.Row != c.Written+1
			c.Written = max(c.Written, l.Row)
			place[l.Row] = len(c.Rows)
			c.Rows = append(c.Rows, Kept{l.Row, l.Cells})
		case l.Of > 0 && known && !gone[l.Of]:
			if !l.Undone {
				c.Accepted++
			}
			c.Rows[at].Cells = l.Cells
			gone[l.Of] = l.Cells == nil
		case l.Order != nil:
			c.Accepted++
			c.reorder(l.Order, place)
		case c.lines > 1 || l.Schema != Schema:
			bad = true
		}
		if bad = bad || (c.lines == 1) != (l.Schema != ""); bad && c.Broken == 0 {
			c.Broken = c.lines
		}
	}
	if c.Broken == 0 {
		c.Sound = c.Bytes
	}
	c.Rows = slices.DeleteFunc(c.Rows, func(k Kept) bool { return gone[k.N] })
	return c
}

// reorder puts rows in an order by their numbers; those that it does not name keep their places
// behind the one before them.
func (c *Chain) reorder(order []int, place map[int]int) {
	rank := make(map[int]int, len(order))
	for i, n := range order {
		rank[n] = i + 1
	}
	at, behind := 0, make([]int, len(c.Rows))
	for i, k := range c.Rows {
		if r := rank[k.N]; r > 0 {
			at = r
		}
		behind[i] = at
	}
	index := make([]int, len(c.Rows))
	for i := range index {
		index[i] = i
	}
	slices.SortStableFunc(index, func(a, b int) int { return behind[a] - behind[b] })
	rows := make([]Kept, 0, len(c.Rows))
	for _, i := range index {
		place[c.Rows[i].N] = len(rows)
		rows = append(rows, c.Rows[i])
	}
	c.Rows = rows
}

// sum is the SHA-256 that stands before an object.
func sum(before string, object []byte) string {
	h := sha256.New()
	h.Write([]byte(before + "\n"))
	h.Write(object)
	h.Write([]byte{'\n'})
	return hex.EncodeToString(h.Sum(nil))
}

// Add writes rows that were confirmed; before the first of a new journal its first line.
func (c *Chain) Add(rows ...Row) []byte {
	var out []byte
	for _, row := range rows {
		c.Written++
		out = append(out, c.next(line{Row: c.Written, Cells: row})...)
		c.Rows = append(c.Rows, Kept{c.Written, row})
	}
	return out
}

// Replace writes that a row reads otherwise from here on, or is taken out where cells is nil.
func (c *Chain) Replace(n int, cells Row, by, time string) []byte {
	c.Accepted++
	at := c.at(n)
	if cells == nil {
		c.Rows = slices.Delete(c.Rows, at, at+1)
	} else {
		c.Rows[at].Cells = cells
	}
	return c.next(line{Of: n, Cells: cells, By: by, Time: time})
}

// Undo writes that a row was taken back, or is written again at another place.
func (c *Chain) Undo(n int, by, time string) []byte {
	at := c.at(n)
	c.Rows = slices.Delete(c.Rows, at, at+1)
	return c.next(line{Of: n, Undone: true, By: by, Time: time})
}

// at is the place of a row that stands, by its number.
func (c *Chain) at(n int) int {
	return slices.IndexFunc(c.Rows, func(k Kept) bool { return k.N == n })
}

// Reorder writes that the rows stand in another order from here on, by their numbers.
func (c *Chain) Reorder(order []int, by, time string) []byte {
	c.Accepted++
	place := map[int]int{}
	c.reorder(order, place)
	return c.next(line{Order: order, By: by, Time: time})
}

// next writes one line and goes on to its sum.
func (c *Chain) next(l line) []byte {
	var out []byte
	if c.lines == 0 && l.Schema == "" {
		out = c.next(line{Schema: Schema})
	}
	object, err := json.Marshal(l) // keys of a map are sorted: the same row is the same bytes
	if err != nil {
		panic("a line of the journal: " + err.Error()) // texts and numbers: cannot fail
	}
	c.End = sum(c.End, object)
	c.lines++
	text := slices.Concat([]byte(c.End), []byte{' '}, object, []byte{'\n'})
	c.Bytes += len(text)
	return append(out, text...)
}

// Clone is a copy that lines can be added to while the chain itself stays as it is.
func (c *Chain) Clone() *Chain {
	d := *c
	d.Rows = slices.Clone(c.Rows)
	return &d
}
