package record

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"strings"
	"testing"
)

// Every byte of a record counts: a bit flipped in any one is found, by the digest or because the file is no record any more.
func TestEveryFlippedByteIsFound(t *testing.T) {
	t.Parallel()
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
	archive := append([]byte("From: <Saved by Blink>\r\nMIME-Version: 1.0\r\n"), bytes.ReplaceAll(page, []byte("="), []byte("=3D"))...)
	if _, err := Open(archive); !errors.Is(err, errArchive) {
		t.Errorf("a browser's archive: %v", err)
	}
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
	o, err = Open(bytes.ReplaceAll(page, []byte("\n"), []byte("\r\n")))
	if err != nil || o.Holds() || o.SavedAs || !o.LineEnds {
		t.Errorf("other line ends: %v, holds %v, named as saved %v, as other line ends %v", err, o.Holds(), o.SavedAs, o.LineEnds)
	}
	page[0] ^= 0x04 // one byte otherwise is no mark of a browser
	if o, err = Open(page); err != nil || o.Holds() || o.SavedAs {
		t.Errorf("first byte changed: %v, holds %v, named as saved %v", err, o.Holds(), o.SavedAs)
	}
}

// A number that another processor gives in other last bits is the same; one that anybody could see is not.
func TestCompare(t *testing.T) {
	stated := []byte(`{"tool":{"version":"1"},"settings":{"spill":{"value":0.5},"dropped":{"value":false}},"bays":[{"section":"s","bay":"b1","density":3.62,"excess":0.5e-15,"verdict":"CLOSE","reasons":[{"code":"reach","text":"a"}]}]}`)
	for _, c := range []struct{ name, old, new, where string }{
		{"last bits", "3.62", "3.6200000000000006", ""},
		{"1e-9 of it", "3.62", "3.6200000036", ""},
		{"more than that", "3.62", "3.6200001", "bays[s b1].density"},
		{"zero, in last bits", "0.5e-15", "-2e-16", ""},
		{"zero, to be seen", "0.5e-15", "1e-9", "bays[s b1].excess"},
		{"gone", "3.62", "null", "bays[s b1].density"},
		{"verdict", "CLOSE", "ADD", "bays[s b1].verdict"},
		{"code", "reach", "no-stall", "bays[s b1].reasons[reach].code"},
		{"a sentence", `"a"`, `"b"`, ""},
		{"newer tool", `"version":"1"`, `"version":"2"`, ""},
		{"a setting that this version has no more", `,"dropped":{"value":false}`, "", ""},
		{"a setting that the record has not", `"dropped"`, `"dropped":{"value":false},"added"`, "settings.added"},
		{"a setting of another value", "0.5}", "0.6}", "settings.spill.value"},
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
	in := exampleInputs()
	page := examplePage(t, in)
	if where := FirstChange(page, page); where != "" {
		t.Errorf("a page against itself differs in %s", where)
	}
	bay := in.Findings.Job.Bays[1]
	section := bay.Section.Name
	for _, c := range []struct{ anchor, want string }{
		{"<title>", "the head of the page"},
		{`<section id="glance" aria`, "the job at a glance"},
		{fmt.Sprintf("<bdi>%s</bdi></a></th>", bay.Name), "bay " + bay.Name + " of " + section},
		{fmt.Sprintf(`<bdi>%s</bdi> <span class="of"><bdi>%s</bdi></span></h4>`, bay.Name, section), "bay " + bay.Name + " of " + section},
		{`<section id="papers" aria`, "the paperwork"},
		{`id="sources">`, "what is carried inside"},
	} {
		at := bytes.Index(page, []byte(c.anchor))
		if at < 0 {
			t.Fatalf("the page has no %s", c.anchor)
		}
		other := bytes.Clone(page)
		other[at+len(c.anchor)+2] ^= 1
		if where := FirstChange(page, other); where != c.want {
			t.Errorf("a change behind %s is said to be in %q, want %q", c.anchor, where, c.want)
		}
		if where := FirstChange(page[:at+len(c.anchor)], page); where != c.want {
			t.Errorf("a page cut behind %s is said to differ in %q, want %q", c.anchor, where, c.want)
		}
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
	seed := b.Bytes()[at:] // the whole page is too long to be varied
	if _, err := Open(seed); err != nil {
		f.Fatalf("the part of the page that carries the job is no record: %v", err)
	}
	f.Add(seed)
	f.Add([]byte(digestOpen + zeroDigest() + digestClose + `<script type="application/json" id="sources">{"files":[{"name":"../x","raw":"AA=="}]}</script>`))
	f.Add([]byte(`<code id="digest">`))
	f.Fuzz(func(t *testing.T, page []byte) {
		o, err := Open(page)
		if err != nil {
			return
		}
		if len(o.Stated) != digestSize || !bytes.Contains(page, o.Findings) {
			t.Fatalf("a digest of %d digits, findings of %d bytes", len(o.Stated), len(o.Findings))
		}
		if found, err := Compare(o.Findings, o.Findings); err == nil && len(found) > 0 {
			t.Fatalf("findings differ from themselves in %v", found)
		}
		if where := FirstChange(page, page[:len(page)-1]); where == "" {
			t.Fatal("a page that was cut is said to be the same")
		}
	})
}
