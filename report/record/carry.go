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
	"regexp"
	"slices"
	"strings"
	"sync"
	"time"
	"unicode/utf8"

	"rsc.io/qr"

	"bayproof/report/screen"
)

// A record ends with what it takes to do without the page: two blocks of JSON in script elements
// that are never run, with the ids sources and findings, and before them the digest of the whole
// file. Whoever reads one again trusts none of it until the digest holds, and then knows only that
// nothing changed since it was written.

// Carried is the first of the two JSON blocks of a record: what it takes to compute the findings,
// the second, again.
type Carried struct {
	Tool     Tool              `json:"tool"`
	Name     string            `json:"name"`
	Flags    map[string]string `json:"flags"`
	Files    []File            `json:"files"`
	Photos   []CarriedPhoto    `json:"photos"`
	Pictures []Picture         `json:"pictures,omitempty"`
	// Originals are the files of which blanked copies stand in Files; none where the files
	// themselves do. Nothing in the record shows that the digests are true.
	Originals []Original `json:"originals,omitempty"`
}

// Original is the digest of a file that a record does not carry.
type Original struct {
	Name   string `json:"name"`
	SHA256 string `json:"sha256"`
}

// File is one raw input, byte for byte (base64 in JSON).
type File struct {
	Name string `json:"name"`
	Raw  []byte `json:"raw"`
}

// SHA256 is the digest of the file as it is inside, in hex.
func (f *File) SHA256() string { return digestOf(f.Raw) }

// CarriedPhoto is what is known of a photo that the record does not carry.
type CarriedPhoto struct {
	Name   string    `json:"name"`
	SHA256 string    `json:"sha256"`
	Bytes  int64     `json:"bytes"`
	Taken  time.Time `json:"taken,omitzero"`
}

// carry writes both blocks as JSON that is safe inside a script element: < > and & stand escaped,
// and so do characters that turn the direction of writing.
func (p *page) carry() (sources, findings template.JS, err error) {
	job := p.f.Job
	// Lists are [] and not null where they are empty: other programs read this too.
	src := Carried{Tool: p.in.Tool, Name: job.Name, Flags: p.in.Flags, Files: []File{}, Photos: []CarriedPhoto{}, Pictures: p.in.Pictures, Originals: p.in.Originals}
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
	return template.JS(screen.JSON(doc)), template.JS(screen.JSON(escaped.Bytes())), nil
}

// The digest is the SHA-256 of the whole file, in lower-case hex, with every place that shows it
// blanked: its digits as zeros, its square code empty. It stands in full once, in short in the
// running head and on the first page, and as a square code beside that; all text of the job is
// escaped, so that these marks cannot stand anywhere else.
const (
	digestOpen  = `<code id="digest">`
	digestClose = `</code>`
	digestSize  = 2 * sha256.Size
	shortSize   = 12 // digits: told apart by eye, and too many to be met by chance
	headOpen    = `<html lang="en" style="--digest:'`
	shortOpen   = `<code id="short">`
	codeOpen    = `<path id="code" d="`
)

// errNoDigest is what opening gives for a file that has no digest, or more than one.
var errNoDigest = errors.New("the file has no digest: it is not a record, or it was cut off")

// zeroDigest is what the page carries where the digest will stand: a digest cannot be part of what
// it is taken over.
func zeroDigest() string { return strings.Repeat("0", digestSize) }

// shown is a place of the page that shows the digest.
type shown struct {
	from, to int
	code     bool // as a square code
}

// digestPlaces returns where the digest stands in full, then every other place that shows it, in
// the order of the page. In full it stands exactly once.
func digestPlaces(page []byte) (full shown, all []shown, err error) {
	for _, mark := range []struct {
		open string
		size int // digits; 0 for what ends at a quotation mark
	}{{headOpen, shortSize}, {shortOpen, shortSize}, {codeOpen, 0}, {digestOpen, digestSize}} {
		at := bytes.Index(page, []byte(mark.open))
		if at < 0 {
			continue
		}
		at += len(mark.open)
		to := at + mark.size
		if mark.size == 0 {
			to = at + max(0, bytes.IndexByte(page[at:], '"'))
		}
		if bytes.Contains(page[at:], []byte(mark.open)) || to > len(page) {
			return full, nil, errNoDigest
		}
		full = shown{at, to, mark.size == 0}
		all = append(all, full)
	}
	// The last mark is that of the whole digest: nothing is one without it.
	if full.to-full.from != digestSize || full.code || !bytes.HasPrefix(page[full.to:], []byte(digestClose)) {
		return full, nil, errNoDigest
	}
	slices.SortFunc(all, func(a, b shown) int { return a.from - b.from })
	return full, all, nil
}

// withDigest returns the page with a digest in every place that shows it, blank where none is
// given.
func withDigest(page []byte, all []shown, digest string) []byte {
	out := make([]byte, 0, len(page)+8192)
	at := 0
	for _, place := range all {
		out = append(out, page[at:place.from]...)
		switch n := place.to - place.from; {
		case !place.code && digest == "":
			out = append(out, zeroDigest()[:n]...)
		case !place.code:
			out = append(out, digest[:n]...)
		case digest != "":
			out = append(out, SquareCode(digest)...)
		}
		at = place.to
	}
	return append(out, page[at:]...)
}

// Blank returns the page with every place that shows the digest blanked: two pages that differ in
// nothing else are one.
func Blank(page []byte) []byte {
	_, all, err := digestPlaces(page)
	if err != nil {
		return page
	}
	return withDigest(page, all, "")
}

// Seal puts the digest into every place that shows it.
func Seal(page []byte) ([]byte, error) {
	_, all, err := digestPlaces(page)
	if err != nil {
		return nil, err
	}
	return withDigest(page, all, digestOf(withDigest(page, all, ""))), nil
}

// digestOf is the SHA-256 of a file, or of a page whose places are blank, in hex.
func digestOf(file []byte) string {
	sum := sha256.Sum256(file)
	return hex.EncodeToString(sum[:])
}

// SquareCode draws the digest as a square code (ISO/IEC 18004) that a telephone reads: the path of
// its dark squares, one unit each, row by row as strokes one unit wide; empty where it cannot be
// made, which 64 digits always can.
func SquareCode(digest string) string {
	code, err := qr.Encode(strings.ToUpper(digest), qr.M)
	if err != nil {
		return ""
	}
	var b strings.Builder
	for y := range code.Size {
		for x := 0; x < code.Size; x++ {
			from := x
			for code.Black(x, y) {
				x++
			}
			if x > from {
				fmt.Fprintf(&b, "M%d %d.5h%d", from, y, x-from)
			}
		}
	}
	return b.String()
}

// Opened is what a record file was found to carry.
type Opened struct {
	Page     []byte // the file without what was put round it on its way: a byte order mark, other line ends, text behind its end
	Way      []Way  // what happened to it on its way
	Footer   string // the text that was put behind its end
	Stated   string // the digest that stands in the file
	Computed string // the digest of Page; that of no page where the digest is not shown alike in every place
	Carried  Carried
	Findings []byte // the findings as JSON
	SavedAs  bool   // the file bears the marks of a browser that saved the page anew
}

// Way is one thing that happens to a file between its writer and its reader and leaves what it says
// as it is.
type Way string

// What a mail program, an editor or a transfer does to a file.
const (
	ByteMark Way = "a byte order mark was put in front of it"
	LineEnds Way = "its line ends were changed"
	Footer   Way = "text was added after its end"
	Ending   Way = "blank lines at its end were added or taken off"
)

// Holds tells whether the file's bytes are those that were written, but for what was put round
// them. It does not tell who wrote them.
func (o *Opened) Holds() bool { return o.Stated == o.Computed }

// mostRecord bounds what is read: a record of 500 bays with photos stays far below.
const mostRecord = 256 << 20

// Why a file is no record that can be read, each with what to do.
var (
	errArchive  = errors.New("a browser saved it as an archive (MHTML) of its own kind: ask for the HTML file itself")
	errFront    = errors.New("a record's first pages alone, which carry no files: recheck the record whose digest they show")
	errTooLarge = fmt.Errorf("over %d MB: no record is that large", mostRecord>>20)
	errEmpty    = errors.New("the file is empty")
)

// ReadFile reads the bytes of a record, and no more than any record has.
func ReadFile(r io.Reader) ([]byte, error) {
	page, err := io.ReadAll(io.LimitReader(r, mostRecord+1))
	if err == nil && len(page) > mostRecord {
		return nil, errTooLarge
	}
	return page, err
}

// IsRecord tells whether a file says of itself, in its first lines, that it is a record: one that
// was cut too.
func IsRecord(file []byte) bool {
	return bytes.Contains(file[:min(len(file), 8192)], []byte("dense-pack record</title>")) || bytes.Contains(file, []byte(digestOpen))
}

// Open reads a record. It trusts nothing in it: what is carried is decoded, never run, and names of
// files are looked at when they are written out. A file without its digest, its sources or its
// findings is an error.
func Open(file []byte) (*Opened, error) {
	// Refused before anything in it is searched or decoded.
	if len(file) > mostRecord {
		return nil, errTooLarge
	}
	o := &Opened{Page: file}
	o.unwrap()
	full, all, err := digestPlaces(o.Page)
	if err != nil {
		var found bool
		if full, found = digestApart(o.Page); !found {
			return nil, notWhole(file, err)
		}
	}
	o.Stated = string(o.Page[full.from:full.to])
	// A page that shows another digest in its running head or in the square code than in full is
	// none that was written.
	if err == nil && bytes.Equal(withDigest(o.Page, all, o.Stated), o.Page) {
		o.Computed = digestOf(withDigest(o.Page, all, ""))
	}
	o.SavedAs = savedAs(o.Page)
	blocks := carriedBlocks(o.Page)
	if blocks["sources"] == nil || blocks["findings"] == nil {
		return nil, notWhole(file, errors.New("the job's files and findings are not in it: it is not a record, or it was cut off"))
	}
	if err := json.Unmarshal(blocks["sources"], &o.Carried); err != nil {
		return nil, fmt.Errorf("its job files can't be read: %w", err)
	}
	o.Findings = blocks["findings"]
	return o, nil
}

// Inside returns what a record carries besides its findings, without looking at anything else in
// it.
func Inside(page []byte) (Carried, error) {
	var c Carried
	if err := json.Unmarshal(carriedBlocks(page)["sources"], &c); err != nil {
		return c, fmt.Errorf("its job files can't be read: %w", err)
	}
	return c, nil
}

// Holds tells whether the files inside are those of which blanked copies were made: as many, of the
// same digests. A blanked copy may have another name.
func (c *Carried) Holds(originals []Original) bool {
	if len(originals) == 0 || len(originals) != len(c.Files) {
		return false
	}
	sums := map[string]bool{}
	for _, f := range c.Files {
		sums[f.SHA256()] = true
	}
	return !slices.ContainsFunc(originals, func(o Original) bool { return !sums[o.SHA256] })
}

// notWhole says why a file is no record that can be opened.
func notWhole(file []byte, err error) error {
	switch {
	case len(bytes.TrimSpace(file)) == 0:
		return errEmpty
	case bytes.Contains(file[:min(len(file), 4096)], []byte("\nMIME-Version:")):
		return errArchive
	case bytes.Contains(file[:min(len(file), 8192)], []byte("dense-pack record, the first two pages</title>")):
		return errFront
	case IsRecord(file) && !bytes.Contains(file, []byte("</html>")):
		return fmt.Errorf("cut off: the file stops after %d bytes, before its end: ask for the file itself", len(file))
	}
	return err
}

// unwrap takes off what was put round the file on its way, and notes it.
func (o *Opened) unwrap() {
	note := func(way Way, page []byte) { o.Way, o.Page = append(o.Way, way), page }
	if rest, found := bytes.CutPrefix(o.Page, []byte("\ufeff")); found {
		note(ByteMark, rest)
	}
	// No text of a page holds such a pair: lines of the log are shown without their ends.
	if bytes.Contains(o.Page, []byte("\r\n")) {
		note(LineEnds, bytes.ReplaceAll(o.Page, []byte("\r\n"), []byte("\n")))
	}
	// What a mail program adds stands behind the end of the page. More than text, it may be
	// anything: it stays and is found.
	const end = "</html>"
	at := bytes.LastIndex(o.Page, []byte(end))
	if at < 0 {
		return
	}
	at += len(end)
	switch behind := o.Page[at:]; {
	case string(behind) == "\n":
	case len(bytes.TrimSpace(behind)) == 0:
		note(Ending, append(bytes.Clone(o.Page[:at]), '\n'))
	case behind[0] == '\n' && !bytes.ContainsAny(behind, "<>&") && utf8.Valid(behind):
		o.Footer = strings.Join(strings.Fields(string(behind)), " ")
		note(Footer, append(bytes.Clone(o.Page[:at]), '\n'))
	}
}

// digestApart finds the digest where white space was put round it, as formatters do.
func digestApart(page []byte) (shown, bool) {
	m := apart().FindAllSubmatchIndex(page, 2)
	if len(m) != 1 || bytes.Count(page, []byte("<code id=\"digest\"")) > 1 {
		return shown{}, false
	}
	return shown{from: m[0][2], to: m[0][3]}, true
}

// apart finds the digest in full as digestApart takes it: quotes and white space may be others.
var apart = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`<code\s+id="?digest"?\s*>\s*([0-9a-f]{64})\s*</code`)
})

// carriedBlocks returns the JSON of the script elements that carry the job, by id; of two with one
// id the first. Browsers and formatters that wrote the page anew may turn attributes round and put
// white space between them. No text inside can end an element early: the JSON was written without <
// and >.
func carriedBlocks(page []byte) map[string][]byte {
	out := map[string][]byte{}
	for rest := page; ; {
		_, after, found := bytes.Cut(rest, []byte("<script"))
		if !found {
			return out
		}
		attributes, text, _ := bytes.Cut(after, []byte(">"))
		body, behind, ended := bytes.Cut(text, []byte("</script>"))
		if !ended {
			return out
		}
		rest = behind
		if m := blockID().FindSubmatch(attributes); m != nil && bytes.Contains(attributes, []byte("application/json")) && out[string(m[1])] == nil {
			out[string(m[1])] = bytes.TrimSpace(body)
		}
	}
}

// blockID finds which of the two blocks the attributes of a script element name.
var blockID = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`\sid="?(sources|findings)"?(?:\s|$)`) })

// savedAs tells whether a browser wrote the page anew: it then writes the first line its own way,
// keeps the drawn charts, or says where the page came from.
func savedAs(page []byte) bool {
	const first = "<!doctype html>"
	head := string(page[:min(len(page), 4096)])
	return strings.Contains(head, "<!-- saved from url") || strings.Contains(head, "data-drawn=") ||
		!strings.HasPrefix(head, first) && strings.HasPrefix(strings.ToLower(head), first)
}
