package recheck

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"bayproof/report/record"
)

// Difference is one thing that a record says otherwise than what comes of its files: a figure of
// its findings or a line of its page.
type Difference struct {
	Part   Part   `json:"part"`
	Where  string `json:"where"`  // the way through the findings, bays[north slope b7].density, or the place in the page, bay b7 of north slope
	Stated string `json:"stated"` // what the record says
	Now    string `json:"now"`    // what comes of its files; of a record of another method what its own findings say
}

// Part is what a difference is about. Differences are told in this order: what a verdict is comes
// before what it rests on.
type Part string

// The parts, in the order in which they are told.
const (
	Verdict  Part = "verdict"
	Headline Part = "headline"
	Section  Part = "section"
	BayPart  Part = "bay"
	Rest     Part = "rest"
)

// parts is their order.
func parts() []Part { return []Part{Verdict, Headline, Section, BayPart, Rest} }

// inOrder sorts differences by their part; those of one part keep their order.
func inOrder(list []Difference) []Difference {
	slices.SortStableFunc(list, func(a, b Difference) int { return slices.Index(parts(), a.Part) - slices.Index(parts(), b.Part) })
	return list
}

// Two numbers are the same within near of their size: processors differ in the last bits of a sum.
// What is left of two sums that cancel may be all last bits: below nothing, in any unit of a job,
// there is no difference either.
const (
	near    = 1e-9
	nothing = 1e-12
)

// document is what is read of a record's findings besides their figures.
type document struct {
	Schema string          `json:"schema"`
	Method json.RawMessage `json:"method"`
	Text   string          `json:"text"` // digest of the sentences
}

// method returns the number of the method by which findings were computed: 1 where they name none,
// 0 where what stands there is no such number.
func (d document) method() int {
	if d.Method == nil {
		return 1
	}
	n, err := strconv.Atoi(string(d.Method))
	if err != nil || n < 1 {
		return 0
	}
	return n
}

// CompareFiles sets the names and digests of the files from which the findings say that they were
// computed against the files that the record carries.
func CompareFiles(o *record.Opened) ([]Difference, error) {
	doc, err := decode(o.Findings)
	if err != nil {
		return nil, fmt.Errorf("the findings in the record: %w", err)
	}
	findings, _ := doc.(map[string]any)
	// The same shape as the findings' own list of inputs, so that one walk compares both.
	inside := []any{}
	for _, f := range o.Carried.Files {
		inside = append(inside, map[string]any{"file": f.Name, "sha256": f.SHA256()})
	}
	var c comparison
	c.value("inputs", findings["inputs"], inside)
	return c.found, nil
}

// Compare sets the findings of a record against those computed again, by the same method: numbers
// within 1e-9 of their size, verdicts, codes and names to the letter, and sentences too where both
// have the same. The tool may be newer. Of documents of another shape only what both have is
// compared, and left counts what is not.
func Compare(stated, now []byte) (found []Difference, left int, err error) {
	a, err := decode(stated)
	if err != nil {
		return nil, 0, fmt.Errorf("the findings in the record: %w", err)
	}
	b, err := decode(now)
	if err != nil {
		return nil, 0, err
	}
	var x, y document
	if err := errors.Join(json.Unmarshal(stated, &x), json.Unmarshal(now, &y)); err != nil {
		return nil, 0, fmt.Errorf("the findings in the record: %w", err)
	}
	c := comparison{otherShape: x.Schema != y.Schema, otherText: x.Text != y.Text}
	c.value("", a, b)
	return inOrder(c.found), c.left, nil
}

// decode reads one JSON document and nothing behind it. Numbers stay as they were written: a float
// would hide the last digits.
func decode(doc []byte) (any, error) {
	var v any
	d := json.NewDecoder(bytes.NewReader(doc))
	d.UseNumber()
	if err := d.Decode(&v); err != nil {
		return nil, err
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return nil, errors.New("something stands after their end")
	}
	return v, nil
}

// comparison walks both documents at once and gathers what differs. A place is written as the way
// through the findings: .bays[north slope b7].density.
type comparison struct {
	otherShape, otherText bool // keys, sentences of another version: what only one of them has is no difference
	found                 []Difference
	left                  int // what was not compared for that
}

// differ keeps a difference.
func (c *comparison) differ(where string, a, b any) {
	where = strings.TrimPrefix(where, ".")
	c.found = append(c.found, Difference{partOf(where), where, short(a), short(b)})
}

// partOf tells what a figure is about by its way through the findings.
func partOf(where string) Part {
	switch {
	case strings.HasPrefix(where, "bays[") && strings.HasSuffix(where, "].verdict"):
		return Verdict
	case strings.HasPrefix(where, "totals"):
		return Headline
	case strings.HasPrefix(where, "sections"):
		return Section
	case strings.HasPrefix(where, "bays"):
		return BayPart
	}
	return Rest
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
	default: // words, yes or no, null
		if a == b {
			return
		}
	}
	c.differ(where, a, b)
}

// object compares key by key. Who wrote it is no figure, and settings that one version alone knows
// are none of the other's.
func (c *comparison) object(where string, a, b map[string]any) {
	all := maps.Clone(a)
	maps.Copy(all, b)
	for _, key := range slices.Sorted(maps.Keys(all)) {
		x, inA := a[key]
		y, inB := b[key]
		switch at := where + "." + key; {
		case at == ".method" && !inA && same(y.(json.Number), "1"): // written before there was a number
		case at == ".tool" || at == ".schema" || at == ".text" || at == ".inputs": // files have a check of their own
		case key == "text" && c.otherText:
			c.left++
		// A setting that was dropped is told with its values where one of its figures moves; one
		// that is new is not.
		case where == ".settings" && inA != inB && !inB:
		case inA != inB && c.otherShape:
			c.left++
		default:
			c.value(at, x, y)
		}
	}
}

// list compares entry by entry, those with a name under it: what one of them lacks is said, and the
// others are compared all the same.
func (c *comparison) list(where string, a, b []any) {
	x, y := named(a), named(b)
	for i, name := range x.names {
		if !y.has(name) {
			c.differ(fmt.Sprintf("%s[%s]", where, name), a[i], nil)
		}
	}
	for i, name := range y.names {
		at := fmt.Sprintf("%s[%s]", where, name)
		if k, ok := x.of[name]; ok {
			c.value(at, a[k], b[i])
		} else {
			c.differ(at, nil, b[i])
		}
	}
	if len(a) == len(b) && !slices.Equal(x.names, y.names) && len(x.of) == len(y.of) {
		// All are there and none is more: only their order can differ, which is that of the log.
		if slices.Equal(slices.Sorted(maps.Keys(x.of)), slices.Sorted(maps.Keys(y.of))) {
			c.differ(where, "another order", "the log's order")
		}
	}
}

// entries are the names of a list's entries, and where each stands.
type entries struct {
	names []string
	of    map[string]int
}

// has tells whether the list has an entry of that name.
func (e entries) has(name string) bool { _, has := e.of[name]; return has }

// named names every entry of a list: a bay, a section, a code or a file, else its place; a name
// that comes again gets its number.
func named(list []any) entries {
	e := entries{of: map[string]int{}}
	for i, v := range list {
		base := nameOf(v, i)
		name := base
		for n := 2; e.has(name); n++ {
			name = fmt.Sprintf("%s #%d", base, n)
		}
		e.names, e.of[name] = append(e.names, name), i
	}
	return e
}

// nameOf names a bay, section or file of a list, else its place.
func nameOf(v any, i int) string {
	if o, ok := v.(map[string]any); ok {
		section, _ := o["section"].(string)
		if bay, ok := o["bay"].(string); ok {
			return strings.TrimSpace(section + " " + bay)
		}
		for _, key := range []string{"code", "file", "input"} {
			if name, ok := o[key].(string); ok {
				return name
			}
		}
		if section != "" {
			return section
		}
	}
	return fmt.Sprint(i)
}

// same tells whether two numbers are one within the tolerance: |x - y| ≤ max(nothing, near·max(|x|,
// |y|)).
func same(a, b json.Number) bool {
	if a == b {
		return true
	}
	x, errA := a.Float64()
	y, errB := b.Float64()
	return errA == nil && errB == nil && math.Abs(x-y) <= math.Max(nothing, near*math.Max(math.Abs(x), math.Abs(y)))
}
