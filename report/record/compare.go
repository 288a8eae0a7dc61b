package record

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
)

// Difference is one figure that comes out otherwise when it is computed again.
type Difference struct {
	Where  string `json:"where"` // the way through the findings: bays[b7].density
	Stated string `json:"stated"`
	Now    string `json:"now"`
}

// near is how far two numbers may lie apart and still be the same: processors differ in the last bits of a sum.
const near = 1e-9

// mostDifferences bounds the list; one cause often moves everything.
const mostDifferences = 20

// Compare sets the findings of a record against those computed again: numbers within 1e-9 of their size, verdicts, codes and names
// to the letter. Sentences are not compared, they only say what the numbers say; nor is the tool, which may be newer.
func Compare(stated, now []byte) ([]Difference, error) {
	a, err := decode(stated)
	if err != nil {
		return nil, fmt.Errorf("the findings in the record: %w", err)
	}
	b, err := decode(now)
	if err != nil {
		return nil, err
	}
	c := comparison{}
	c.value("", a, b)
	return c.found, nil
}

func decode(doc []byte) (any, error) {
	var v any
	d := json.NewDecoder(bytes.NewReader(doc))
	d.UseNumber()
	err := d.Decode(&v)
	return v, err
}

type comparison struct{ found []Difference }

func (c *comparison) differ(where string, a, b any) {
	if len(c.found) < mostDifferences {
		c.found = append(c.found, Difference{strings.TrimPrefix(where, "."), short(a), short(b)})
	}
}

// short writes a value as the list shows it.
func short(v any) string {
	b, err := json.Marshal(v)
	if err != nil {
		return "?"
	}
	if s := []rune(string(b)); len(s) > 60 {
		return string(s[:60]) + "…"
	}
	return string(b)
}

func (c *comparison) value(where string, a, b any) {
	switch x := a.(type) {
	case map[string]any:
		if y, ok := b.(map[string]any); ok {
			c.object(where, x, y)
			return
		}
	case []any:
		if y, ok := b.([]any); ok {
			c.list(where, x, y)
			return
		}
	case json.Number:
		if y, ok := b.(json.Number); ok && same(x, y) {
			return
		}
	default:
		if a == b {
			return
		}
	}
	c.differ(where, a, b)
}

func (c *comparison) object(where string, a, b map[string]any) {
	for _, key := range keys(a, b) {
		if key == "text" || where == "" && key == "tool" {
			continue
		}
		x, inA := a[key]
		y, inB := b[key]
		if inA != inB {
			c.differ(where+"."+key, x, y)
			continue
		}
		c.value(where+"."+key, x, y)
	}
}

// keys lists the keys of both in one fixed order.
func keys(a, b map[string]any) []string {
	var out []string
	for k := range a {
		out = append(out, k)
	}
	for k := range b {
		if _, ok := a[k]; !ok {
			out = append(out, k)
		}
	}
	slices.Sort(out)
	return out
}

func (c *comparison) list(where string, a, b []any) {
	if len(a) != len(b) {
		c.differ(where, fmt.Sprintf("%d entries", len(a)), fmt.Sprintf("%d entries", len(b)))
		return
	}
	for i := range a {
		c.value(fmt.Sprintf("%s[%s]", where, nameOf(a[i], i)), a[i], b[i])
	}
}

// nameOf names a bay or section of a list, else its place.
func nameOf(v any, i int) string {
	if o, ok := v.(map[string]any); ok {
		section, _ := o["section"].(string)
		if bay, ok := o["bay"].(string); ok {
			return strings.TrimSpace(section + " " + bay)
		}
		if code, ok := o["code"].(string); ok {
			return code
		}
		if section != "" {
			return section
		}
	}
	return fmt.Sprint(i)
}

// same tells whether two numbers are one within the tolerance.
func same(a, b json.Number) bool {
	if a == b {
		return true
	}
	x, errA := a.Float64()
	y, errB := b.Float64()
	return errA == nil && errB == nil && math.Abs(x-y) <= near*math.Max(math.Abs(x), math.Abs(y))
}

// FirstChange names the bay whose card holds the first byte in which two pages differ, "" where they are the same and
// "the part above the bays" where it stands above them. The digests are left out of the comparison.
func FirstChange(a, b []byte) string {
	at, n := 0, min(len(a), len(b))
	skip, _ := findDigest(a)
	for at < n && (a[at] == b[at] || at >= skip && at < skip+digestSize) {
		at++
	}
	if at == n && len(a) == len(b) {
		return ""
	}
	const card = `<article class="card `
	from := bytes.LastIndex(a[:min(at, len(a))], []byte(card))
	if from < 0 {
		return "the part above the bays"
	}
	return cardName(a[from:])
}

// cardName reads the bay's name from its card.
func cardName(card []byte) string {
	head, _, _ := bytes.Cut(card, []byte("</h4>"))
	if _, rest, ok := bytes.Cut(head, []byte("</span> <bdi>")); ok {
		name, _, _ := bytes.Cut(rest, []byte("</bdi>"))
		return "bay " + string(name)
	}
	return "a bay"
}
