package record

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"io/fs"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"

	"bayproof/model"
	"bayproof/report"
	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
)

// Input is all that a record is made from.
type Input struct {
	Findings  *verify.Findings
	JSON      []byte            // the findings as JSON (formats, section 4)
	Flags     map[string]string // settings given on the command line, by name, as written
	Tool      Tool
	Originals []Original // of which the job's files are blanked copies; nil where they are the files themselves
	Pictures  []Picture  // small upright copies of photos; nil unless they are wanted
	Assets    fs.FS      // nil: those built in
	Front     bool       // the first two pages alone, with the digest of the whole record: to be printed and signed, not a record
}

// Tool says what wrote the record. A record is compared byte for byte only where all three and the
// method agree.
type Tool struct {
	Name    string `json:"name"`
	Version string `json:"version"`
	Arch    string `json:"arch"` // processor family: the last bits of a sum differ between them
}

// Picture is a small upright copy of a photo, without its metadata.
type Picture struct {
	Name          string `json:"name"` // of the photo in photos/
	Width, Height int    // pixels
	JPEG          []byte
}

// chartScript is where `make` puts the chart library.
const chartScript = "npm/echarts.common.min.js"

// Write writes the record: the page, then its digest put in the place of the zeros. Nothing is
// written where the page cannot be made whole.
func Write(w io.Writer, in Input) error {
	if in.Assets == nil {
		in.Assets = report.Assets()
	}
	page, err := newPage(in)
	if err != nil {
		return err
	}
	front := page.Front
	page.Front = false
	sealed, err := page.sealed()
	if err == nil && front {
		// The first pages alone are no record: they show the digest of the one that they are the
		// first pages of.
		full, _, _ := digestPlaces(sealed) // it was put there just now
		digest := string(sealed[full.from:full.to])
		page.Front, page.Zeros, page.Short, page.Code = true, digest, digest[:shortSize], SquareCode(digest)
		sealed, err = page.written()
	}
	if err != nil {
		return err
	}
	_, err = w.Write(sealed)
	return err
}

// written is the page as the templates lay it out. Characters that turn the direction of writing can
// make a line read as what it is not, "12 bags" as "21 bags", and control characters are obeyed by a
// terminal that shows the file: in the page each shows as U+FFFD; in the JSON that it carries they
// stand escaped, so that nothing is lost.
func (p *page) written() ([]byte, error) {
	pages, err := template.New("").Funcs(p.functions()).ParseFS(p.in.Assets, "*.html")
	if err != nil {
		return nil, fmt.Errorf("the record's templates: %w", err)
	}
	var b bytes.Buffer
	if err := pages.ExecuteTemplate(&b, "page.html", p); err != nil {
		return nil, fmt.Errorf("the record's page: %w", err)
	}
	return screen.HTML(b.Bytes()), nil
}

// sealed is the page with its digest.
func (p *page) sealed() ([]byte, error) {
	page, err := p.written()
	if err != nil {
		return nil, err
	}
	return Seal(page)
}

// tight takes the comments and the white space out of the style sheet that only its writers need.
// None of its strings holds what is replaced.
func tight(style string) string {
	style = strings.ReplaceAll(unindented(remark().ReplaceAllString(style, "")), "\n", "")
	return strings.NewReplacer("; }", "}", ";}", "}", "; ", ";", ": ", ":", " { ", "{", " {", "{", " } ", "}", "} ", "}", ", ", ",", " > ", ">").Replace(style)
}

// unindented takes the indents, the empty lines and the lines of nothing but a comment out of a
// script or a style sheet.
func unindented(text string) string {
	var out []string
	for line := range strings.Lines(text) {
		if line = strings.TrimSpace(line); line != "" && !strings.HasPrefix(line, "//") {
			out = append(out, line)
		}
	}
	return strings.Join(out, "\n") + "\n"
}

var remark = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`/\*[^*]*\*/`) })

// asset reads one of the files that the page is built from; a missing one is empty, as the chart
// library is where it was not built in.
func asset(fsys fs.FS, name string) string {
	b, err := fs.ReadFile(fsys, name)
	if err != nil {
		return ""
	}
	return string(b)
}

// page is what the templates read: its fields, its methods and those of its sections and bays. What
// they return is already in words and in the job's units; quantities inside are SI. html/template
// escapes all of it, whatever stands in the log.
type page struct {
	*say.Words
	in  Input
	f   *verify.Findings
	raw map[model.Source]string // the lines of the job's files as written, by file and line

	Title             string
	Policy            template.HTMLAttr
	Style             template.CSS
	Library, Boot     template.JS // the chart library and what starts it; both empty where the library was not built in
	Unit              units
	Sections          []*section // in the order of the findings
	bays              []*bay     // in the order of the findings
	densities         span       // what all drawings of densities share
	Tool              Tool
	Method            int // verify.Method
	Inputs            []model.Input
	Extra             []string    // columns that the tool does not know
	Carried, Findings template.JS // raw files, flags, photos and tool as JSON; the findings as JSON
	Zeros, Short      string      // what stands where the digest will, in full and in short
	Code              string      // the square code: empty where the digest will be put in
	Front             bool        // the first two pages alone
}

// units are the units of table heads; Interval is that of densities with what their ± is.
type units struct{ Density, Interval, Mass, Length, Area string }

// newPage sets the findings out for the templates.
func newPage(in Input) (*page, error) {
	job := in.Findings.Job
	p := &page{
		Words: say.New(in.Findings).InEnglish(), in: in, f: in.Findings, raw: rawLines(job), Title: job.Name,
		Library: template.JS(asset(in.Assets, chartScript)),
		Tool:    in.Tool, Method: verify.Method, Inputs: job.Inputs, Extra: job.Extra, Zeros: zeroDigest(), Short: zeroDigest()[:shortSize], Front: in.Front,
	}
	// The policy names what the page carries by its hash, so it is made from the very bytes that go
	// in.
	style, scripts := tight(asset(in.Assets, "style.css")), []string(nil)
	// Without the library there is nothing to start: the page then carries no script at all.
	if p.Library != "" {
		p.Boot = template.JS(unindented(asset(in.Assets, "boot.js")))
		scripts = []string{string(p.Library), string(p.Boot)}
	}
	p.Style = template.CSS(style)
	p.Policy = template.HTMLAttr(`content="` + strings.ReplaceAll(policy(style, scripts...), `"`, "&quot;") + `"`)
	p.Unit = units{
		Density: p.unit(verify.Density), Interval: p.unit(verify.Density) + ", ± " + level(verify.Level), Mass: p.unit(verify.Mass),
		Length: p.unit(verify.Length), Area: p.Area().Name,
	}
	// The span first: figures and drawings of the sections are made on it.
	p.densities = p.densitySpan()
	p.setSections()
	var err error
	p.Carried, p.Findings, err = p.carry()
	return p, err
}

// functions are what the templates call beside methods: on reasons, cautions and numbers, whose
// types are other packages' and have no methods for a page.
func (p *page) functions() template.FuncMap {
	return template.FuncMap{
		"add":     func(a, b float64) float64 { return a + b },
		"answer":  p.Answered,
		"bags":    bags,
		"caution": say.Caution,
		"input":   inputName,
		"number":  number,
		"figure":  isFigure,
		"reason":  p.reason,
	}
}

// Originals are the files that were blanked, none of a record that carries them as they are.
func (p *page) Originals() []Original { return p.in.Originals }

// Running is what the head of every printed page says of the job: its name and date.
func (p *page) Running() string { return joined(", ", brief(p.Title), p.f.Job.Settings.Date) }

// Packed are the sections that hold material: only they have papers, design checks and figures as a
// whole.
func (p *page) Packed() []*section {
	return slices.DeleteFunc(slices.Clone(p.Sections), func(s *section) bool { return s.sums.Bays == 0 })
}

// Cautions are the hazards that apply to the job.
func (p *page) Cautions() []verify.Caution { return verify.Cautions(p.f.Job) }

// Priors are what rule process took for granted about the crew; none under rule guarded. All other
// constants are the same for every job: the page names where they are listed.
func (p *page) Priors() []verify.Constant { return p.f.Priors }

// Warnings are what is worth knowing about the files and the job, each with where it was found. One
// without a sentence shows its code: nothing that was found is kept back.
func (p *page) Warnings() []fact {
	var out []fact
	for _, w := range p.f.Warnings {
		place := joined(" ", w.Section, w.Bay)
		// A warning of the files has its place in one of them; one of the job has a section, a bay
		// or neither.
		if w.Src.File != "" {
			place = joined(", ", place, w.Src.String())
		}
		text := p.Warning(w)
		if text == "" {
			text = string(w.Code)
		}
		out = append(out, fact{place, text})
	}
	return out
}

// Explanation says what was done with the log, in words that an administrator can check. The known
// weak side is part of it.
func (p *page) Explanation() []string {
	set := &p.f.Job.Settings
	sure, short := percent(set.Confidence, nan()), percent(1-set.Confidence, nan())
	out := []string{
		"Nobody can look inside a closed bay. You can know how much went in and how big the bay is. The volume comes from the clear width, depth and length as measured, the mass from the bags counted or the material weighed. Density is mass over volume. " +
			"How far to trust that density follows from the tape, the hopper’s marks and the bags, put together as in the Guide to the Expression of Uncertainty in Measurement (JCGM 100). Nothing is rounded before a verdict.",
	}
	if p.f.RuleUsed == model.RuleGuarded {
		out = append(out, fmt.Sprintf("Decision rule “guarded” (JCGM 106, with a guard band): it judges each bay by its own measurement alone. CLOSE needs a probability of at least %s that the bay’s density is at the target or above; ADD means that it is %s or less. "+
			"At 95 %% at most one truly short bay in twenty passes. The rule does not say how many of the bays that pass are short. It takes nothing from the crew’s other bays: a void in a bay that reads above the target can’t show.", sure, short))
	} else {
		out = append(out, fmt.Sprintf("Decision rule “process” (JCGM 106, with prior knowledge of the process): bays that one crew packed in one section tell about each other. CLOSE needs a probability of at least %s that the bay’s density is at the target or above, given its own count, the section’s other bays and the job’s other sections; ADD means that it is %s or less. "+
			"A bay unlike the others does not widen the spread of all: it counts as what it may be, weak, hollow or over-full. The prior assumptions are fixed in the tool and printed below; no setting moves them. A job’s sections tell about each other too: a section’s prior is 0.3 of the fixed one and 0.7 of what the other sections say, widened by how far sections differ.", sure, short),
			"Known weak side: many bays 1 to 4 % below the target among good ones. Then up to 7 to 9 % of the bays that pass can be short, few of them by more than 3 %.")
	}
	out = append(out, "Between ADD and CLOSE stands MEASURE: can’t tell yet. PROBE: the pounds look right, but something points to a void, or some material went elsewhere. "+
		"Beside every CLOSE stands what the bay could hide: a longer gap, the rest packed like the crew’s other bays, would have read lower 19 times in 20. That holds for a bay before it is filled; of voids in bays that closed it covers fewer.",
		fmt.Sprintf("Figures by method %d. The number rises when a version of the tool gives some log another figure; figures of different methods are not compared.", verify.Method))
	switch who := cmp.Or(set.Installer, "the installer"); set.ToStall {
	case model.Yes:
		out = append(out, fmt.Sprintf("Stated by %s: every bay was blown to the stall unless its row says otherwise. So a count says how much went in, not only how much at most. It settles no doubt about a bay.", who))
	default:
		out = append(out, "Nobody stated that the bays were blown to the stall. Where no row says it of a bay, its count may be up to one step too high, and gets no credit from the crew’s other bays.")
	}
	// What is not deducted favours the crew: it is said.
	if set.Spill == 0 {
		out = append(out, "No spill taken off: what’s on the floor counts as in the bay.")
	}
	return out
}

// settingRow is one setting with its value, where it came from and what it means.
type settingRow struct {
	Name, Value, Source, Meaning string
	Differs                      bool // a verdict rests on it, and it is not the default
}

// Settings lists all settings of the job with where each came from, then what sections override.
func (p *page) Settings() []settingRow {
	var out []settingRow
	add := func(d model.SettingDef, s *model.Settings, of string) {
		out = append(out, settingRow{d.Name + of, orBlank(p.Setting(d, s)), s.From[d.Name].String(), d.Meaning, say.Differs(d, s)})
	}
	for _, d := range model.SettingDefs() {
		add(d, &p.f.Job.Settings, "")
	}
	// Of sections only what they have for themselves is told; all else is the job's.
	for _, s := range p.f.Job.Sections {
		for _, d := range model.SettingDefs() {
			if s.Settings.From[d.Name] == model.OriginSection {
				add(d, &s.Settings, " of "+s.Name)
			}
		}
	}
	return out
}

// plainNumber writes a number that somebody set: four places at most, which hides what converting
// it left in the last bits.
func plainNumber(x float64) string {
	return strconv.FormatFloat(math.Round(x*1e4)/1e4, 'f', -1, 64)
}

// policy is the content security policy of the page, of its style sheet and scripts: nothing is
// loaded, nothing is sent, and only the scripts and the style sheet that the record was written
// with run. Styles on elements are allowed because the chart library places its tooltips with them;
// they cannot fetch anything, since no source is allowed for images other than data.
func policy(style string, scripts ...string) string {
	base := "default-src 'none'; img-src data:; style-src " + hash(style) + "; style-src-attr 'unsafe-inline'; script-src"
	if len(scripts) == 0 {
		return base + " 'none'"
	}
	for _, s := range scripts {
		base += " " + hash(s)
	}
	return base + "; base-uri 'none'; form-action 'none'"
}

// hash names a script or a style sheet by its SHA-256, as a content security policy does.
func hash(s string) string {
	sum := sha256.Sum256([]byte(s))
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}
