package recheck

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"unicode/utf8"

	"bayproof/report/record"
	"bayproof/report/say"
	"bayproof/report/screen"
)

// Outcome is what is found about a record as a whole, or by one of the checks.
type Outcome string

// The three outcomes. Whatever was not compared is never taken to hold.
const (
	Holds   Outcome = "holds"
	Differs Outcome = "differs"
	Partly  Outcome = "not fully checked"
)

// Finding is the result of one check with its sentences, a line each.
type Finding struct {
	Check  string  `json:"check"` // bytes, files, figures, page, signature
	Result Outcome `json:"result"`
	Text   string  `json:"text"`
}

// Result is what is found about a record, as the JSON document has it.
type Result struct {
	Schema      string       `json:"schema"`
	Record      string       `json:"record"` // the file
	Outcome     Outcome      `json:"outcome"`
	Method      int          `json:"method"` // by which figures are computed here
	Job         string       `json:"job"`
	Tool        record.Tool  `json:"written_by"`
	Stated      int          `json:"record_method"` // by which the record's figures were computed; 0 where that is no number
	Digest      string       `json:"sha256"`        // as the record states it
	Changes     []string     `json:"changes"`       // what happened to the file, harmless or not
	Findings    []Finding    `json:"checks"`
	Differences []Difference `json:"differences"`
	SignedBy    []string     `json:"signed_by"` // names of the signers whose signature holds
	Note        string       `json:"note"`
}

// Schema names the document of Result.
const Schema = "bayproof/recheck/1"

// DigestNote says what the digest does not prove: it is computed, and anyone can compute it.
const DigestNote = "A digest shows that nothing changed since the record was written.\n" +
	"It does not show who wrote it, or that it is true: change the files, write\n" +
	"the record again, and the new one holds too.\n" +
	"A signature shows who wrote it: bayproof record JOB --sign."

// Tool is what computes again.
type Tool struct {
	Version, Arch string
	Method        int
}

// Again is what comes of a record's files when they are computed again.
type Again struct {
	Faults string // why no record can be written from them, "" where one can
	JSON   []byte // the findings
	Page   []byte // the page
	Bays   int
}

// Check looks at a record that was opened. again computes it anew from what it carries; it is not
// called for a record of another method.
func Check(name string, o *record.Opened, tool Tool, again func(*record.Carried) (Again, error)) (*Result, error) {
	if len(o.Carried.Files) == 0 {
		return nil, errors.New("it carries no files")
	}
	c := &check{o: o, tool: tool, r: &Result{
		Schema: Schema, Record: name, Method: tool.Method, Job: o.Carried.Name, Tool: o.Carried.Tool, Digest: o.Stated, Note: DigestNote,
		Changes: []string{}, Differences: []Difference{}, SignedBy: []string{},
	}}
	if err := json.Unmarshal(o.Findings, &c.stated); err != nil && !json.Valid(o.Findings) {
		return nil, fmt.Errorf("the findings in the record: %w", err)
	}
	c.r.Stated = c.stated.method()
	files, err := CompareFiles(o)
	if err != nil {
		return nil, err
	}
	c.files(files)
	if c.r.Stated != 0 && c.r.Stated != tool.Method {
		c.otherMethod()
	} else {
		a, err := again(&o.Carried)
		if err != nil {
			return nil, err
		}
		if err := c.figures(a); err != nil {
			return nil, err
		}
	}
	c.bytes()
	c.r.settle()
	return c.r, nil
}

// check is a record being looked at.
type check struct {
	o      *record.Opened
	tool   Tool
	r      *Result
	stated document
	page   compared
	paged  bool // the page was compared
}

// add notes the result of one check with its sentence.
func (r *Result) add(check string, result Outcome, format string, args ...any) {
	r.Findings = append(r.Findings, Finding{check, result, fmt.Sprintf(format, args...)})
}

// settle puts the checks in their order and the gravest of them over all.
func (r *Result) settle() {
	order := []string{"bytes", "files", "figures", "page", "signature"}
	slices.SortStableFunc(r.Findings, func(a, b Finding) int { return slices.Index(order, a.Check) - slices.Index(order, b.Check) })
	r.Differences = inOrder(r.Differences)
	r.Outcome = Holds
	for _, f := range r.Findings {
		r.Outcome = Gravest(r.Outcome, f.Result)
	}
}

// Gravest is the graver of two outcomes: what differs before what was not compared.
func Gravest(a, b Outcome) Outcome {
	order := []Outcome{Differs, Partly, Holds}
	if slices.Index(order, b) < slices.Index(order, a) {
		return b
	}
	return a
}

// files tells whether the files inside are those that the figures came from.
func (c *check) files(found []Difference) {
	files := say.Count(len(c.o.Carried.Files), "file", "files")
	if len(found) > 0 {
		c.r.add("files", Differs, "the %s inside are not the ones the figures came from: %s", files, found[0])
		c.r.Differences = append(c.r.Differences, found...)
		return
	}
	text := files + " inside, as when the figures were computed"
	if n := len(c.o.Carried.Photos); n > 0 {
		text += fmt.Sprintf("\n%s named by SHA-256, not inside", say.Count(n, "photo", "photos"))
	}
	if n := len(c.o.Carried.Pictures); n > 0 {
		text += fmt.Sprintf("\n%s inside, not verified: set them beside the photos", say.Count(n, "small copy of a photo", "small copies of photos"))
	}
	if n := len(c.o.Carried.Originals); n > 0 {
		c.r.add("files", Partly, "blanked copies: no site, names, initials, notes or names of photos\n%s\n%s named by SHA-256, not inside, not verified", text, say.Count(n, "original file", "original files"))
		return
	}
	c.r.add("files", Holds, "%s", text)
}

// figures compares what was computed again with what the record carries and shows.
func (c *check) figures(a Again) error {
	if a.Faults != "" { // these are no files from which a record can have been written
		c.r.add("figures", Differs, "the files inside make no record: %s", a.Faults)
		c.r.add("page", Partly, "it can't be written again")
		return nil
	}
	found, left, err := Compare(c.o.Findings, a.JSON)
	if err != nil {
		return err
	}
	c.r.Differences = append(c.r.Differences, found...)
	switch {
	case len(found) > 0:
		c.r.add("figures", Differs, "%s when computed again from the files inside; first %s",
			say.Count(len(found), "figure differs", "figures differ"), found[0])
	case left > 0:
		c.r.add("figures", Partly, "%s computed again: all that both have is the same; %s of another version's document not compared",
			say.Count(a.Bays, "bay", "bays"), say.Count(left, "entry", "entries"))
	default:
		c.r.add("figures", Holds, "%s computed again from %s inside, all the same", say.Count(a.Bays, "bay", "bays"), say.Count(len(c.o.Carried.Files), "file", "files"))
	}
	var now document
	if err := json.Unmarshal(a.JSON, &now); err != nil {
		return err
	}
	return c.pages(a, c.r.Tool.Version != c.tool.Version || now.Text != c.stated.Text || now.Schema != c.stated.Schema)
}

// pages sets the page against the one written again: other tells that its sentences may be another
// version's.
func (c *check) pages(a Again, other bool) error {
	c.paged = true
	p := &c.page
	again, err := record.Open(a.Page)
	if err != nil {
		return err
	}
	elsewhere := c.r.Tool.Arch != c.tool.Arch
	if again.Carried.Tool != c.r.Tool { // none that writes records
		other, elsewhere = false, false
	}
	if bytes.Equal(c.o.Page, a.Page) {
		*p = compared{same: true, bytes: true}
	} else {
		*p = comparePages(c.o, again, elsewhere)
	}
	// A formatter and a browser leave the digest as it was, which is that of the page written again.
	p.sealed = c.o.Stated != again.Stated && len(p.foreign) == 0 && (!other && !elsewhere || bytes.Equal(record.Blank(c.o.Page), record.Blank(a.Page)))
	switch {
	case p.bytes:
		c.r.add("page", Holds, "written again: the same to the byte")
	case p.same:
		c.r.add("page", Holds, "written again: every word, figure and drawing is the same")
	case len(p.lines) > 0 && other:
		facts := compareFacts(c.o.Page, a.JSON)
		c.r.Differences = append(c.r.Differences, facts...)
		if len(facts) > 0 {
			c.r.add("page", Differs, "of what it shows %s out differently; first %s", say.Count(len(facts), "verdict or figure comes", "verdicts or figures come"), facts[0])
			return nil
		}
		c.r.Differences = append(c.r.Differences, p.lines...)
		c.r.add("page", Partly, "in the words of version %s, and this is %s: verdicts, counts and headline figures are the same, %s differently; first %s\nwhat may change how it looks was not compared",
			c.r.Tool.Version, c.tool.Version, say.Count(len(p.lines), "line reads", "lines read"), p.lines[0])
	case len(p.lines) > 0:
		c.r.Differences = append(c.r.Differences, p.lines...)
		c.r.add("page", Differs, "%s differently when written again; first %s", say.Count(len(p.lines), "line reads", "lines read"), p.lines[0])
	case len(p.foreign) > 0 && (other || c.o.SavedAs || len(p.unseen) == 0):
		c.r.add("page", Partly, "every line reads the same; what may change how it looks was not compared: %s", strings.Join(p.foreign, "; "))
	case other && slices.Equal(p.unseen, []string{carried}):
		c.r.add("page", Partly, "every line reads the same; version %s wrote other data under it, which was not compared", c.r.Tool.Version)
	case c.o.SavedAs || len(p.unseen) == 0:
		c.r.add("page", Partly, "every line reads the same; what may change how it looks was not compared")
	default:
		c.r.add("page", Differs, "every line reads the same, but %s differs", strings.Join(append(p.unseen, p.foreign...), ", "))
	}
	return nil
}

// otherMethod compares what does not hang on the method: what the page shows with the findings that
// the record carries.
func (c *check) otherMethod() {
	r := c.r
	age := "a newer"
	if r.Stated < r.Method {
		age = "an older"
	}
	r.add("figures", Partly, "written by %s method: figures not compared. The record names method %d, this version has method %d. To compare, use the version that wrote it: %s",
		age, r.Stated, r.Method, r.Tool.Version)
	facts := compareFacts(c.o.Page, c.o.Findings)
	r.Differences = append(r.Differences, facts...)
	if len(facts) > 0 {
		r.add("page", Differs, "of what it shows %s from its own findings; first %s", say.Count(len(facts), "verdict or figure differs", "verdicts or figures differ"), facts[0])
		return
	}
	r.add("page", Partly, "a page of another method can't be written again; its verdicts, counts and headline figures match its findings\nwhat may change how it looks was not compared")
}

// bytes tells whether the file is as it was written, and names what happened to it.
func (c *check) bytes() {
	o, r := c.o, c.r
	for _, way := range o.Way {
		text := string(way)
		if way == record.Footer {
			text += ": “" + cut(o.Footer, 200) + "”"
		}
		r.Changes = append(r.Changes, text)
	}
	arrived := ""
	if len(r.Changes) > 0 {
		arrived = ", but for its way here: " + strings.Join(r.Changes, "; ")
	}
	if m := speaks().FindString(o.Footer); m != "" { // a footer that speaks of the job is none of a mail program
		r.Changes = append(r.Changes, "edited")
		r.add("bytes", Differs, "text after the end of the page speaks of the job: “%s”", cut(o.Footer, 200))
		return
	}
	if !bytes.Contains(o.Page, []byte("</html>")) {
		r.Changes = append(r.Changes, "cut")
		r.add("bytes", Differs, "cut off: its end is missing; ask for the file itself")
		return
	}
	if o.Holds() && !c.page.sealed {
		r.add("bytes", Holds, "as written%s: SHA-256\n%s\n%s", arrived, o.Stated[:32], o.Stated[32:])
		return
	}
	what, result := c.changed()
	r.Changes = append(r.Changes, what)
	r.add("bytes", result, "not as written: %s%s", what, arrived)
}

// speaks finds what a record speaks of.
var speaks = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`(?i)\b(?:close[ds]?|add|measure|probe|bays?|section|digest|sha-?256|verdict|density|record|approv\w*|inspect\w*|certif\w*|cavit\w*|roofs?|voids?|insulat\w*|cellulose|filled)\b`)
})

// changed names what was done to a file whose bytes are not those that were written.
func (c *check) changed() (string, Outcome) {
	p := &c.page
	clean := c.paged && len(p.lines) == 0 && !slices.ContainsFunc(c.r.Findings, func(f Finding) bool { return f.Result == Differs })
	switch {
	case clean && p.sealed && len(p.unseen) == 0:
		return fmt.Sprintf("edited: its digest %.12s… is not that of the record that its files make", c.o.Stated), Differs
	case c.o.SavedAs && (clean || !c.paged):
		return "a browser saved it again: ask for the file itself", Partly
	case c.paged && len(p.lines) > 0:
		return "edited: what it says was changed", Differs
	case clean && len(p.foreign) > 0:
		return "changed where nobody reads: " + strings.Join(p.foreign, "; "), Partly
	case clean && !p.same && len(p.unseen) == 0: // in white space alone
		return "formatted: a program laid it out again; ask for the file itself", Partly
	case clean && !p.same:
		return "edited where nobody reads: " + strings.Join(p.unseen, "; "), Differs
	case clean && !p.bytes:
		return "formatted: a program changed its white space; ask for the file itself", Partly
	}
	if c.o.Holds() {
		return "edited, and a digest put in anew", Differs
	}
	return fmt.Sprintf("edited: it says %.12s…, and its bytes give another digest", c.o.Stated), Differs
}

// compareFacts sets the verdicts, counts and figures that a page marks against findings: at the
// precision in which they are printed, whatever sentences stand round them.
func compareFacts(page, findings []byte) []Difference {
	f := factsOf(findings)
	var out []Difference
	seen := map[string]bool{}
	differ := func(part Part, l line, now string) { out = append(out, Difference{part, l.where, l.text, now}) }
	for _, l := range look(page, true, "").lines {
		name := strings.TrimPrefix(l.where, "bay ")
		key, isCount := strings.CutPrefix(l.is, "count:")
		switch {
		case l.is == "verdict":
			b, known := f.bays[name]
			if !known || verdictIn(l.text) != b.verdict {
				differ(Verdict, l, cmp.Or(b.verdict, "no verdict"))
			}
			seen[name] = true
		case l.is == "density":
			if x := f.bays[name].density; !printed(l.text, x) {
				differ(BayPart, l, fmt.Sprint(x))
			}
		case isCount:
			if n, known := f.count(key); known && l.text != strconv.Itoa(n) {
				differ(Headline, l, strconv.Itoa(n))
			}
			seen[l.is] = true
		case l.is == "headline":
			closed, _ := f.count("close")
			numbers := figure().FindAllString(l.text, -1)
			if closed > 1 && !slices.Contains(numbers, strconv.Itoa(closed)) {
				differ(Headline, l, fmt.Sprintf("%d of the bays are CLOSE", closed))
			}
			seen[l.is] = true
		}
	}
	for _, name := range f.names {
		if !seen[name] {
			out = append(out, Difference{Verdict, "bay " + name, "not in the page", cmp.Or(f.bays[name].verdict, "no verdict")})
		}
	}
	for _, key := range []string{"headline", "count:close", "count:add", "count:measure", "count:probe"} {
		if !seen[key] {
			out = append(out, Difference{Headline, "the first pages", "not in the page", strings.TrimPrefix(key, "count:")})
		}
	}
	return inOrder(out)
}

// pageFacts are what a page is held to of findings: verdict and density of each bay, and the totals.
type pageFacts struct {
	names  []string
	bays   map[string]bayFacts
	totals map[string]any
}

// bayFacts are those of one bay; its density in the unit that the page prints.
type bayFacts struct {
	verdict string
	density float64 // NaN for none
}

// factsOf reads them. What cannot be read is missing in them, and differs.
func factsOf(findings []byte) pageFacts {
	var doc struct {
		Bays []struct {
			Section, Bay, Verdict string
			Density               *float64
		}
		Totals map[string]any
	}
	_ = json.Unmarshal(findings, &doc)
	f := pageFacts{bays: map[string]bayFacts{}, totals: doc.Totals}
	for _, b := range doc.Bays {
		name, density := strings.TrimSpace(b.Section+" "+b.Bay), math.NaN()
		if b.Density != nil {
			density = *b.Density
		}
		f.names, f.bays[name] = append(f.names, name), bayFacts{b.Verdict, density}
	}
	return f
}

// count is one of the job's totals, which the findings may lack or hold as something else than a
// number.
func (f *pageFacts) count(key string) (n int, known bool) {
	x, known := f.totals[key].(float64)
	return int(x), known
}

// printed tells whether a text begins with a number as it is written to as many places as stand
// there; a dash is no number.
func printed(text string, x float64) bool {
	written, _, _ := strings.Cut(text, " ")
	n, err := strconv.ParseFloat(written, 64)
	if err != nil || math.IsNaN(x) {
		return err != nil && math.IsNaN(x)
	}
	_, places, _ := strings.Cut(written, ".")
	half := 0.5 * math.Pow(10, -float64(len(places)))
	return math.Abs(n-x) <= half*(1+1e-6)
}

// String is a difference in one line: where, what the record says, what it comes to. Of two long
// texts it shows them from where they part.
func (d Difference) String() string {
	a, b := []rune(strings.Trim(d.Stated, `"`)), []rune(strings.Trim(d.Now, `"`))
	const most, before = 160, 40
	from := 0
	for from < min(len(a), len(b)) && a[from] == b[from] {
		from++
	}
	if from -= before; from < 0 || max(len(a), len(b)) <= most {
		from = 0
	}
	quote := func(s []rune) string {
		if len(s) == 0 || string(s) == "null" {
			return "nothing"
		}
		if from > 0 {
			return "“…" + cut(string(s[from:]), most) + "”"
		}
		return "“" + cut(string(s), most) + "”"
	}
	return fmt.Sprintf("%s: the record says %s, it is %s", d.Where, quote(a), quote(b))
}

// cut shortens a text for one line of a list.
func cut(s string, most int) string {
	if utf8.RuneCountInString(s) <= most {
		return s
	}
	return string([]rune(s)[:most-1]) + "…"
}

// listed is how many differences of one part a screen shows; the documents have all.
const listed = 12

// width is what fits a terminal, in characters.
const width = 78

// Text lays the checks out for a screen: each with its sentences under one another, then what
// differs, verdicts first.
func (r *Result) Text() string {
	var b strings.Builder
	hang := func(head, text string) {
		for _, line := range screen.Hang(head, utf8.RuneCountInString(head), width, screen.Clean(text)) {
			fmt.Fprintln(&b, line)
		}
	}
	fmt.Fprintf(&b, "%s, written by %s %s: %s\n", screen.Clean(r.Job), screen.Clean(r.Tool.Name), screen.Clean(r.Tool.Version), r.Outcome)
	for _, f := range r.Findings {
		head := fmt.Sprintf("%-9s %-18s ", f.Check, f.Result)
		for text := range strings.SplitSeq(f.Text, "\n") {
			hang(head, text)
			head = screen.Pad("", len(head))
		}
	}
	for _, part := range parts() {
		var of []Difference
		for _, d := range r.Differences {
			if d.Part == part {
				of = append(of, d)
			}
		}
		head := fmt.Sprintf("  %-9s", part)
		for i, d := range of {
			if i == listed {
				hang(head, fmt.Sprintf("and %d more: --format json lists them all", len(of)-i))
				break
			}
			hang(head, d.String())
		}
	}
	fmt.Fprintf(&b, "%s\n", r.Note)
	return b.String()
}
