package record

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
)

// Opened is what a record file was found to carry.
type Opened struct {
	Stated   string // the digest that stands in the file
	Computed string // the digest of the bytes as they are
	Carried  Carried
	Findings []byte // the findings as JSON
	SavedAs  bool   // the file bears the marks of a browser that saved the page anew
	LineEnds bool   // the file bears the marks of a transfer that changed its line ends
}

// Holds tells whether the file's bytes are those that were written.
func (o *Opened) Holds() bool { return o.Stated == o.Computed }

// mostRecord bounds what is read: a record of 500 bays with photos stays far below.
const mostRecord = 256 << 20

var (
	errArchive    = errors.New("a browser saved it as an archive (MHTML) of its own kind: ask for the HTML file itself")
	errTooLarge   = fmt.Errorf("over %d MB: no record is that large", mostRecord>>20)
	errNoSources  = errors.New("the job's files are not in it: it is not a record, or it was cut")
	errNoFindings = errors.New("the findings are not in it: it is not a record, or it was cut")
)

// ReadFile reads the bytes of a record, and no more than any record has.
func ReadFile(r io.Reader) ([]byte, error) {
	page, err := io.ReadAll(io.LimitReader(r, mostRecord+1))
	if err == nil && len(page) > mostRecord {
		return nil, errTooLarge
	}
	return page, err
}

// Open reads a record. It trusts nothing in it: what is carried is decoded, never run, and names of files are looked at
// when they are written out. A file without its digest, its sources or its findings is an error.
func Open(page []byte) (*Opened, error) {
	if len(page) > mostRecord {
		return nil, errTooLarge
	}
	at, err := findDigest(page)
	if err != nil {
		if head := page[:min(len(page), 4096)]; bytes.Contains(head, []byte("\nMIME-Version:")) {
			return nil, errArchive
		}
		return nil, err
	}
	o := &Opened{Stated: string(page[at : at+digestSize]), Computed: digest(page, at), SavedAs: savedAs(page)}
	o.LineEnds = bytes.Contains(page[:min(len(page), 4096)], []byte("\r\n"))
	sources, ok := block(page, "sources")
	if !ok {
		return nil, errNoSources
	}
	if err := json.Unmarshal(sources, &o.Carried); err != nil {
		return nil, fmt.Errorf("the job's files cannot be read from it: %w", err)
	}
	if o.Findings, ok = block(page, "findings"); !ok {
		return nil, errNoFindings
	}
	return o, nil
}

// block returns the JSON of the one script element with that id.
func block(page []byte, id string) ([]byte, bool) {
	for _, open := range []string{`<script type="application/json" id="` + id + `">`, `<script id="` + id + `" type="application/json">`} {
		from := bytes.Index(page, []byte(open))
		if from < 0 {
			continue
		}
		rest := page[from+len(open):]
		if end := bytes.Index(rest, []byte("</script>")); end >= 0 {
			return rest[:end], true
		}
	}
	return nil, false
}

// savedAs tells whether a browser wrote the page anew: it then writes the first line its own way, keeps the drawn charts,
// or says where the page came from.
func savedAs(page []byte) bool {
	const first = "<!doctype html>"
	head := string(page[:min(len(page), 4096)])
	return strings.Contains(head, "<!-- saved from url") || strings.Contains(head, "data-drawn=") ||
		!strings.HasPrefix(head, first) && strings.HasPrefix(strings.ToLower(head), first)
}
