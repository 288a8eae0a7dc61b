package record

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"html/template"
	"io"
	"slices"
	"strings"
	"time"
)

// A record ends with what it takes to do without the page: two blocks of JSON in script elements that are never run, with the
// ids sources and findings, and before them the digest of the whole file. Whoever reads one again trusts none of it until the
// digest holds, and then knows only that nothing changed since it was written.

// Carried is the first of the two JSON blocks of a record: what it takes to compute the findings, the second, again.
type Carried struct {
	Tool     Tool              `json:"tool"`
	Name     string            `json:"name"`
	Flags    map[string]string `json:"flags"`
	Files    []File            `json:"files"`
	Photos   []CarriedPhoto    `json:"photos"`
	Pictures []Picture         `json:"pictures,omitempty"`
}

// File is one raw input, byte for byte (base64 in JSON).
type File struct {
	Name string `json:"name"`
	Raw  []byte `json:"raw"`
}

// CarriedPhoto is what is known of a photo that the record does not carry.
type CarriedPhoto struct {
	Name   string    `json:"name"`
	SHA256 string    `json:"sha256"`
	Bytes  int64     `json:"bytes"`
	Taken  time.Time `json:"taken,omitzero"`
}

// carry writes both blocks as JSON that is safe inside a script element: < > and & stand escaped, and so do characters that
// turn the direction of writing.
func (p *page) carry() (sources, findings template.JS, err error) {
	job := p.f.Job
	// Lists are [] and not null where they are empty: other programs read this too.
	src := Carried{Tool: p.in.Tool, Name: job.Name, Flags: p.in.Flags, Files: []File{}, Photos: []CarriedPhoto{}, Pictures: p.in.Pictures}
	if src.Flags == nil { // none given is the same however the caller says it
		src.Flags = map[string]string{}
	}
	for _, in := range job.Inputs {
		src.Files = append(src.Files, File{in.File, in.Raw})
	}
	for _, photo := range job.Photos {
		src.Photos = append(src.Photos, CarriedPhoto{photo.Name, photo.SHA256, photo.Bytes, photo.Taken})
	}
	slices.SortStableFunc(src.Photos, func(a, b CarriedPhoto) int { return strings.Compare(a.Name, b.Name) })
	doc, err := json.Marshal(src) // sorts the flags by name
	if err != nil {
		return "", "", fmt.Errorf("what the record carries: %w", err)
	}
	var escaped bytes.Buffer
	json.HTMLEscape(&escaped, bytes.TrimSpace(p.in.JSON))
	return template.JS(mapDirection(doc, escapedTurn)), template.JS(mapDirection(escaped.Bytes(), escapedTurn)), nil
}

// The digest is the SHA-256 of the whole file with the digest's own digits as zeros, in lower-case hex. It stands once,
// between these marks; all text of the job is escaped, so that they cannot stand anywhere else.
const (
	digestOpen  = `<code id="digest">`
	digestClose = `</code>`
	digestSize  = 2 * sha256.Size
)

// errNoDigest is what opening gives for a file that has no digest, or more than one.
var errNoDigest = errors.New("no digest in the file: it is not a record, or it was cut")

// zeroDigest is what the page carries where the digest will stand: a digest cannot be part of what it is taken over.
func zeroDigest() string { return strings.Repeat("0", digestSize) }

// findDigest returns where the digest's digits start. There must be exactly one place.
func findDigest(page []byte) (int, error) {
	at := bytes.Index(page, []byte(digestOpen))
	if at < 0 || bytes.Count(page, []byte(digestOpen)) != 1 {
		return 0, errNoDigest
	}
	at += len(digestOpen)
	if len(page) < at+digestSize || !bytes.HasPrefix(page[at+digestSize:], []byte(digestClose)) {
		return 0, errNoDigest
	}
	return at, nil
}

// seal puts the digest in the place of its zeros, in the page that it is handed: Write made that and keeps no other.
func seal(page []byte) ([]byte, error) {
	at, err := findDigest(page)
	if err != nil {
		return nil, err
	}
	copy(page[at:at+digestSize], digest(page, at))
	return page, nil
}

// digest computes the digest of a page whose digits start at the given place: SHA-256 over the page with zeros there, in hex,
// whatever stands there now.
func digest(page []byte, at int) string {
	h := sha256.New()
	h.Write(page[:at])
	h.Write([]byte(zeroDigest()))
	h.Write(page[at+digestSize:])
	return hex.EncodeToString(h.Sum(nil))
}

// Opened is what a record file was found to carry.
type Opened struct {
	Stated   string // the digest that stands in the file
	Computed string // the digest of the bytes as they are
	Carried  Carried
	Findings []byte // the findings as JSON
	SavedAs  bool   // the file bears the marks of a browser that saved the page anew
	LineEnds bool   // the file bears the marks of a transfer that changed its line ends
}

// Holds tells whether the file's bytes are those that were written. It does not tell who wrote them.
func (o *Opened) Holds() bool { return o.Stated == o.Computed }

// mostRecord bounds what is read: a record of 500 bays with photos stays far below.
const mostRecord = 256 << 20

// Why a file is no record that can be read, each with what to do.
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
	// Refused before anything in it is searched or decoded.
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
	// A mail program may have changed the line ends, a browser the first line: both leave marks in the head of the file, and
	// whoever finds that the bytes differ wants to know why.
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

// block returns the JSON of the script element with that id. Browsers that save a page may turn its two attributes round. No
// text inside can end it early: the JSON was written without < and >.
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
