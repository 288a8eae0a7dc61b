package record

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"html"
	"io"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
)

// What was computed again is held against a record in two ways. Compare walks through the findings, which every version of
// the same method gives alike, and is what a record stands or falls with. FirstChange compares the pages byte for byte, which
// only the same version on the same kind of processor can be asked for, and says where they part in words of the page.

// Difference is one figure that comes out otherwise when it is computed again.
type Difference struct {
	Where  string `json:"where"` // the way through the findings: bays[b7].density
	Stated string `json:"stated"`
	Now    string `json:"now"`
}

// Two numbers are the same within near of their size: processors differ in the last bits of a sum. What is left of two
// sums that cancel may be all last bits: below nothing, in any unit of a job, there is no difference either.
const (
	near    = 1e-9
	nothing = 1e-12
)

// mostDifferences bounds the list; one cause often moves everything.
const mostDifferences = 20

// Method returns the number of the method by which the findings of the record were computed: 1 where it names none, 0 where
// what stands there is no such number.
func (o *Opened) Method() int {
	var findings struct {
		Method json.RawMessage `json:"method"`
	}
	if err := json.Unmarshal(o.Findings, &findings); err != nil {
		return 0
	}
	if findings.Method == nil {
		return 1
	}
	n, err := strconv.Atoi(string(findings.Method))
	if err != nil || n < 1 {
		return 0
	}
	return n
}

// CompareFiles sets the names and digests of the files from which the findings say that they were computed against the files
// that the record carries: all that can be compared where the findings are of another method.
func (o *Opened) CompareFiles() ([]Difference, error) {
	doc, err := decode(o.Findings)
	if err != nil {
		return nil, fmt.Errorf("the findings in the record: %w", err)
	}
	findings, _ := doc.(map[string]any)
	// The same shape as the findings' own list of inputs, so that one walk compares both.
	inside := []any{}
	for _, f := range o.Carried.Files {
		sum := sha256.Sum256(f.Raw)
		inside = append(inside, map[string]any{"file": f.Name, "sha256": hex.EncodeToString(sum[:])})
	}
	c := comparison{found: []Difference{}}
	c.value("inputs", findings["inputs"], inside)
	return c.found, nil
}

// Compare sets the findings of a record against those computed again, by the same method: numbers within 1e-9 of their size,
// verdicts, codes and names to the letter. Sentences are not compared, they only say what the numbers say; nor is the tool, which may be newer.
func Compare(stated, now []byte) ([]Difference, error) {
	a, err := decode(stated)
	if err != nil {
		return nil, fmt.Errorf("the findings in the record: %w", err)
	}
	b, err := decode(now)
	if err != nil {
		return nil, err
	}
	c := comparison{found: []Difference{}}
	c.value("", a, b)
	return c.found, nil
}

// decode reads one JSON document and nothing behind it. Numbers stay as they were written: a float would hide the last digits.
func decode(doc []byte) (any, error) {
	var v any
	d := json.NewDecoder(bytes.NewReader(doc))
	d.UseNumber()
	if err := d.Decode(&v); err != nil {
		return nil, err
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return nil, errors.New("something stands behind their end")
	}
	return v, nil
}

// comparison walks both documents at once and gathers what differs. A place is written as the way through the findings:
// .bays[north slope b7].density.
type comparison struct{ found []Difference }

// differ keeps a difference, up to as many as the list shows.
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
	// A bay that one of them lacks is a long document: its start is enough to know it by.
	if s := []rune(string(b)); len(s) > 60 {
		return string(s[:60]) + "…"
	}
	return string(b)
}

// value compares two values of any kind; values of different kinds differ.
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

// object compares key by key. Sentences and the tool are passed over; a key that one of them lacks is a difference.
func (c *comparison) object(where string, a, b map[string]any) {
	for _, key := range keys(a, b) {
		if key == "text" || where == "" && key == "tool" {
			continue
		}
		x, inA := a[key]
		y, inB := b[key]
		if where == "" && key == "method" && !inA { // written before there was a number: method 1
			x, inA = json.Number("1"), true
		}
		if where == ".settings" && !inB {
			continue // a setting that this version has no more: a figure that rested on it differs itself
		}
		if inA != inB {
			c.differ(where+"."+key, x, y)
			continue
		}
		c.value(where+"."+key, x, y)
	}
}

// keys lists the keys of both in one fixed order: the files inside first, since all else follows from them.
func keys(a, b map[string]any) []string {
	all := map[string]bool{}
	for _, m := range []map[string]any{a, b} {
		for key := range m {
			all[key] = true
		}
	}
	rank := func(key string) string {
		if key == "inputs" {
			return "" // before all else
		}
		return key
	}
	return slices.SortedFunc(maps.Keys(all), func(x, y string) int { return strings.Compare(rank(x), rank(y)) })
}

// list compares entry by entry. Of lists of different lengths only that is said: which entry is new cannot be known.
func (c *comparison) list(where string, a, b []any) {
	if len(a) != len(b) {
		c.differ(where, fmt.Sprintf("%d entries", len(a)), fmt.Sprintf("%d entries", len(b)))
		return
	}
	for i := range a {
		c.value(fmt.Sprintf("%s[%s]", where, nameOf(a[i], i)), a[i], b[i])
	}
}

// nameOf names a bay, section or file of a list, else its place.
func nameOf(v any, i int) string {
	if o, ok := v.(map[string]any); ok {
		section, _ := o["section"].(string)
		if bay, ok := o["bay"].(string); ok {
			return strings.TrimSpace(section + " " + bay)
		}
		if code, ok := o["code"].(string); ok {
			return code
		}
		if file, ok := o["file"].(string); ok {
			return file
		}
		if section != "" {
			return section
		}
	}
	return fmt.Sprint(i)
}

// same tells whether two numbers are one within the tolerance: |x - y| ≤ max(nothing, near·max(|x|, |y|)).
func same(a, b json.Number) bool {
	if a == b {
		return true
	}
	x, errA := a.Float64()
	y, errB := b.Float64()
	return errA == nil && errB == nil && math.Abs(x-y) <= math.Max(nothing, near*math.Max(math.Abs(x), math.Abs(y)))
}

// FirstChange says where the first byte stands in which two pages differ: the bay, where it is in a bay's row or card, else
// the part of the page; "" where the pages are the same. The digests are left out of the comparison.
func FirstChange(a, b []byte) string {
	// Two pages that differ anywhere have different digests: those say nothing about where.
	at, n := 0, min(len(a), len(b))
	skip, _ := findDigest(a)
	for at < n && (a[at] == b[at] || at >= skip && at < skip+digestSize) {
		at++
	}
	if at == n && len(a) == len(b) {
		return ""
	}
	return placeAt(a, at)
}

// placeAt says what stands at a byte of the page. It looks for the marks that the templates bays and cards write: whoever
// changes those changes them here (TestFirstChange).
func placeAt(page []byte, at int) string {
	part, from := partAt(page, at)
	inside := page[from:at]
	switch part {
	// A row of the table stands below the row that names its section; a card names both in its head.
	case "bays":
		if row := bytes.LastIndex(inside, []byte(`<tr class="v-`)); row >= 0 {
			run := max(0, bytes.LastIndex(inside[:row], []byte(`<tr class="run">`)))
			return nameBay(page[from+row:], inside[run:row])
		}
	case "evidence":
		if card := bytes.LastIndex(inside, []byte(`<article class="card `)); card >= 0 && !bytes.Contains(inside[card:], []byte("</article>")) {
			_, of, _ := bytes.Cut(page[from+card:], []byte(`<span class="of">`))
			_, bay, _ := bytes.Cut(page[from+card:], []byte("</span> "))
			return nameBay(bay, of)
		}
	}
	if words, ok := partNames()[part]; ok {
		return words
	}
	return "the head of the page"
}

// partAt returns the id of the part of the page that a byte stands in, and where that part starts.
func partAt(page []byte, at int) (id string, from int) {
	open := []byte(`<section id="`)
	from = bytes.LastIndex(page[:at], open)
	if from < 0 {
		return "", 0
	}
	name, _, _ := bytes.Cut(page[from+len(open):at], []byte(`"`))
	return string(name), from
}

// partNames says the parts of the page, by the id of their element, in words.
func partNames() map[string]string {
	return map[string]string{
		"glance": "the job at a glance", "map": "the map", "charts": "the charts", "bays": "the table of bays", "evidence": "the evidence of the bays",
		"papers": "the paperwork", "checks": "the design checks", "cautions": "the cautions", "method": "the settings and the method", "carry": "what is carried inside",
	}
}

// nameBay reads a bay's and a section's name where they stand in markup.
func nameBay(bay, section []byte) string {
	name := "bay " + isolated(bay)
	if s := isolated(section); s != "" {
		name += " of " + s
	}
	return name
}

// isolated returns the text of the first bdi element of a piece of markup; names stand in one each.
func isolated(markup []byte) string {
	_, rest, _ := bytes.Cut(markup, []byte("<bdi>"))
	text, _, _ := bytes.Cut(rest, []byte("</bdi>"))
	if len(text) > 300 { // markup that is not ours
		return ""
	}
	return html.UnescapeString(string(text))
}
