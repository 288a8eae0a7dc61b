package record

import (
	"bytes"
	"errors"
	"flag"
	"slices"
	"testing"
)

// Every byte of a record counts: a bit flipped in any one is found, by the digest or because the
// file is no record any more.
func TestEveryFlippedByteIsFound(t *testing.T) {
	t.Parallel()
	in := exampleInputs()
	in.Assets = withoutLibrary{in.assets()} // the chart script is two thirds of the bytes and the same in all records
	page := examplePage(t, in)
	if o, err := Open(page); err != nil || !o.Holds() {
		t.Fatalf("the record as written does not hold: %v", err)
	}
	step := 1999 // a prime: every kind of byte comes up; -flips all takes minutes
	if *flips == "all" {
		step = 1
	}
	for i := 0; i < len(page); i += step {
		page[i] ^= 0x04
		if o, err := Open(page); err == nil && o.Holds() {
			t.Errorf("byte %d flipped, and the record still holds", i)
		}
		page[i] ^= 0x04
	}
}

var flips = flag.String("flips", "some", "some: every 1999th byte is flipped; all: every one")

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
	saved := bytes.Replace(page, []byte(`<html lang="en"`), []byte(`<html data-drawn="5" lang="en"`), 1)
	o, err := Open(saved)
	if err != nil || o.Holds() || !o.SavedAs {
		t.Errorf("a page saved anew: %v, holds %v, named as saved %v", err, o.Holds(), o.SavedAs)
	}
	o, err = Open(bytes.ReplaceAll(page, []byte("\n"), []byte("\r\n")))
	if err != nil || !o.Holds() || o.SavedAs || !slices.Equal(o.Way, []Way{LineEnds}) {
		t.Errorf("other line ends: %v, holds %v, named as saved %v, on its way %q", err, o.Holds(), o.SavedAs, o.Way)
	}
	page[0] ^= 0x04 // one byte otherwise is no mark of a browser
	if o, err = Open(page); err != nil || o.Holds() || o.SavedAs {
		t.Errorf("first byte changed: %v, holds %v, named as saved %v", err, o.Holds(), o.SavedAs)
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
	})
}
