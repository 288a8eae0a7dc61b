package record

import (
	"bytes"
	"flag"
	"strings"
	"testing"
)

// Every byte of a record counts: a bit flipped in any one is found, by the digest or because the file is no record any more.
func TestEveryFlippedByteIsFound(t *testing.T) {
	in := exampleInputs()
	in.Assets = withoutLibrary{in.assets()} // the chart script is two thirds of the bytes and the same in all records
	page := examplePage(t, in)
	if o, err := Open(page); err != nil || !o.Holds() {
		t.Fatalf("the record as written does not hold: %v", err)
	}
	step := 13 // every byte takes half a minute: -flips all
	if *flips == "all" {
		step = 1
	}
	at, err := findDigest(page)
	if err != nil {
		t.Fatal(err)
	}
	before := newPrefixes(page, at)
	for i := 0; i < len(page); i += step {
		if before.holds(page, i, page[i]^0x04) {
			t.Fatalf("byte %d flipped, and the digest still holds", i)
		}
	}
	for i := 0; i < len(page); i += 1999 { // the whole way, sampled
		page[i] ^= 0x04
		if o, err := Open(page); err == nil && o.Holds() {
			t.Errorf("byte %d flipped, and the record still holds", i)
		}
		page[i] ^= 0x04
	}
}

var flips = flag.String("flips", "some", "some: every 13th byte is flipped; all: every one")

func TestOpenRefuses(t *testing.T) {
	page := examplePage(t, exampleInputs())
	for name, bad := range map[string][]byte{
		"nothing":         nil,
		"no record":       []byte("<!doctype html><p>hello"),
		"no digest":       bytes.Replace(page, []byte(`id="digest"`), []byte(`id="digits"`), 1),
		"two digests":     append(bytes.Clone(page), `<code id="digest">0</code>`...),
		"cut":             page[:bytes.Index(page, []byte(`id="sources"`))],
		"no sources":      bytes.Replace(page, []byte(`id="sources"`), []byte(`id="source"`), 1),
		"broken sources":  bytes.Replace(page, []byte(`id="sources">{`), []byte(`id="sources">{{`), 1),
		"no findings":     bytes.Replace(page, []byte(`id="findings"`), []byte(`id="finding"`), 1),
		"unended sources": page[:bytes.Index(page, []byte(`id="sources">`))+40],
	} {
		if _, err := Open(bad); err == nil {
			t.Errorf("%s: opened without an error", name)
		}
	}
}

func TestSavedByABrowser(t *testing.T) {
	page := examplePage(t, exampleInputs())
	saved := bytes.Replace(page, []byte(`<html lang="en">`), []byte(`<html lang="en" data-drawn="5">`), 1)
	o, err := Open(saved)
	if err != nil || o.Holds() || !o.SavedAs {
		t.Errorf("a page saved anew: %v, holds %v, named as saved %v", err, o.Holds(), o.SavedAs)
	}
}

// A number that another processor gives in other last bits is the same; one that anybody could see is not.
func TestCompare(t *testing.T) {
	stated := []byte(`{"tool":{"version":"1"},"bays":[{"section":"s","bay":"b1","density":3.62,"verdict":"CLOSE","reasons":[{"code":"reach","text":"a"}]}]}`)
	for _, c := range []struct{ name, old, new, where string }{
		{"last bits", "3.62", "3.6200000000000006", ""},
		{"1e-9 of it", "3.62", "3.6200000036", ""},
		{"more than that", "3.62", "3.6200001", "bays[s b1].density"},
		{"gone", "3.62", "null", "bays[s b1].density"},
		{"verdict", "CLOSE", "ADD", "bays[s b1].verdict"},
		{"code", "reach", "no-stall", "bays[s b1].reasons[reach].code"},
		{"a sentence", `"a"`, `"b"`, ""},
		{"newer tool", `"version":"1"`, `"version":"2"`, ""},
		{"a key more", `"density"`, `"extra":1,"density"`, "bays[s b1].extra"},
	} {
		now := []byte(strings.Replace(string(stated), c.old, c.new, 1))
		found, err := Compare(stated, now)
		if err != nil {
			t.Fatal(err)
		}
		got := ""
		if len(found) > 0 {
			got = found[0].Where
		}
		if got != c.where {
			t.Errorf("%s: first difference at %q, want %q", c.name, got, c.where)
		}
	}
}

func TestFirstChange(t *testing.T) {
	page := examplePage(t, exampleInputs())
	if where := FirstChange(page, page); where != "" {
		t.Errorf("a page against itself differs in %s", where)
	}
	at := bytes.Index(page, []byte(`<article class="card`))
	other := bytes.Clone(page)
	other[at+bytes.Index(page[at:], []byte("</h4>"))+20]++
	if where := FirstChange(page, other); !strings.HasPrefix(where, "bay ") {
		t.Errorf("a change in the first card is said to be in %q", where)
	}
}

// Whatever the bytes, a record is opened or refused, and what is carried holds or does not.
func FuzzOpen(f *testing.F) {
	in := Input{Findings: exampleFindings(), JSON: []byte(`{}`), Tool: Tool{"bayproof", "0", "amd64"}}
	in.Assets = withoutLibrary{in.assets()}
	var b bytes.Buffer
	if err := Write(&b, in); err != nil {
		f.Fatal(err)
	}
	at := bytes.Index(b.Bytes(), []byte(`id="carry"`))
	f.Add(b.Bytes()[at:])
	f.Add([]byte(digestOpen + zeroDigest() + digestClose + `<script type="application/json" id="sources">{"files":[{"name":"../x","raw":"AA=="}]}</script>`))
	f.Add([]byte(`<code id="digest">`))
	f.Fuzz(func(t *testing.T, page []byte) {
		o, err := Open(page)
		if err == nil && len(o.Stated) != digestSize {
			t.Fatalf("a digest of %d digits", len(o.Stated))
		}
	})
}
