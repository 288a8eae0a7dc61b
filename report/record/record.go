package record

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"io/fs"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"bayproof/model"
	"bayproof/report"
	"bayproof/report/say"
	"bayproof/verify"
)

// Input is all that a record is made from.
type Input struct {
	Findings *verify.Findings
	JSON     []byte            // the findings as JSON (formats, section 4)
	Flags    map[string]string // settings given on the command line, by name, as written
	Tool     Tool
	Pictures []Picture // small upright copies of photos; nil unless they are wanted
	Assets   fs.FS     // nil: those built in
}

// Tool says what wrote the record. A record is compared byte for byte only where all three and the method agree.
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

// Write writes the record: the page, then its digest put in the place of the zeros.
func Write(w io.Writer, in Input) error {
	if in.Assets == nil {
		in.Assets = report.Assets()
	}
	page, err := build(in)
	if err != nil {
		return err
	}
	pages, err := template.New("").Funcs(functions()).ParseFS(in.Assets, "*.html")
	if err != nil {
		return fmt.Errorf("the record's templates: %w", err)
	}
	var b bytes.Buffer
	if err := pages.ExecuteTemplate(&b, "page.html", page); err != nil {
		return fmt.Errorf("the record's page: %w", err)
	}
	sealed, err := seal(showDirection(b.Bytes()))
	if err != nil {
		return err
	}
	_, err = w.Write(sealed)
	return err
}

// functions are the few that the templates call.
func functions() template.FuncMap {
	return template.FuncMap{
		"add": func(a, b float64) float64 { return a + b },
	}
}

// asset reads one of the files that the page is built from; a missing one is empty.
func asset(fsys fs.FS, name string) []byte {
	b, err := fs.ReadFile(fsys, name)
	if err != nil {
		return nil
	}
	return b
}

// page is what the templates read: everything already in words and in the job's units.
type page struct {
	Title  string
	Policy template.HTMLAttr
	Style  template.CSS
	Head   head
	Glance glance
	Map    drawnMap
	Charts chartSet
	Bays   []bayRow
	Cards  []sectionCards
	Unit   units
	Papers []paper
	Checks []designCheck
	Advice []caution
	Method method
	Carry  carry
	Zeros  string
}

// units are the units of table heads; Interval is that of densities with what their ± is.
type units struct{ Density, Interval, Mass, Volume, Length, Size, Area string }

// builder holds what every part of the page is made from.
type builder struct {
	show
	in    Input
	f     *verify.Findings
	words *say.Words
}

// build turns findings into the page.
func build(in Input) (*page, error) {
	b := builder{show: showFor(in.Findings.Job), in: in, f: in.Findings, words: say.New(in.Findings)}
	charts, err := b.charts()
	if err != nil {
		return nil, err
	}
	style := string(asset(in.Assets, "style.css"))
	p := &page{
		Title:  in.Findings.Job.Name,
		Style:  template.CSS(style),
		Head:   b.head(),
		Glance: b.glance(),
		Map:    b.drawnMap(),
		Charts: charts,
		Bays:   b.bayRows(),
		Cards:  b.cards(),
		Unit:   b.unitNames(),
		Papers: b.papers(),
		Checks: b.designChecks(),
		Advice: b.cautions(),
		Method: b.method(),
		Zeros:  zeroDigest(),
	}
	if p.Carry, err = b.carry(); err != nil {
		return nil, err
	}
	var scripts []string
	if charts.Library != "" {
		scripts = []string{string(charts.Library), string(charts.Boot)}
	}
	p.Policy = template.HTMLAttr(`content="` + strings.ReplaceAll(policy(style, scripts...), `"`, "&quot;") + `"`)
	return p, nil
}

func (b *builder) unitNames() units {
	return units{
		Density: b.unit(verify.Density), Interval: b.unit(verify.Density) + ", ± " + level(verify.Level), Mass: b.unit(verify.Mass), Volume: b.unit(verify.Volume),
		Length: b.unit(verify.Length), Size: b.unit(verify.Size), Area: b.Area().Name,
	}
}

// method is how the verdicts came about, in words that an administrator can check.
type method struct {
	Paragraphs []string
	Settings   []settingRow
	Constants  []verify.Constant
	Warnings   []warningLine
	Extra      []string
}

type warningLine struct{ Place, Text string }

func (b *builder) method() method {
	m := method{Settings: b.settings(), Constants: slices.Concat(b.f.Priors, verify.Constants()), Extra: b.f.Job.Extra, Paragraphs: b.explanation()}
	for _, w := range b.f.Warnings {
		line := warningLine{Place: joined(" ", w.Section, w.Bay), Text: b.words.Warning(w)}
		if w.Src.File != "" {
			line.Place = joined(", ", line.Place, say.Place(w.Src))
		}
		if line.Text == "" {
			line.Text = string(w.Code)
		}
		m.Warnings = append(m.Warnings, line)
	}
	return m
}

// explanation says what was done with the log. The known weak side is part of it.
func (b *builder) explanation() []string {
	set := &b.f.Job.Settings
	sure := percent(set.Confidence, nan())
	out := []string{
		"Nobody can look inside a closed bay. What can be known is how much material went in and how big the bay is. The volume of each bay follows from its measured clear width, depth and length; its mass from the bags counted or the material weighed; density is mass over volume. " +
			"How far that density can be trusted follows from the tape, the hopper’s marks and the bags themselves, put together as the Guide to the Expression of Uncertainty in Measurement (JCGM 100) does it. Nothing was rounded before a verdict.",
	}
	if b.f.RuleUsed == model.RuleGuarded {
		out = append(out, fmt.Sprintf("Decision rule “guarded” (JCGM 106, with a guard band): each bay is judged by its own measurement alone. CLOSE needs a probability of at least %s that the bay’s density is at the target or above; ADD means that this probability is %s or less. "+
			"At most one truly short bay in twenty passes at 95 %%; the rule says nothing about the share of short bays among those that pass. It takes nothing from the crew’s other bays: a void in a bay that reads above the target cannot show.", sure, percent(1-set.Confidence, nan())))
	} else {
		out = append(out, fmt.Sprintf("Decision rule “process” (JCGM 106, with prior knowledge of the process): the bays that one crew packed in one section are evidence about each other. CLOSE needs a probability of at least %s that the bay’s density is at the target or above, given its own count and the section’s other bays; ADD means that this probability is %s or less. "+
			"A bay that stands apart from the others does not widen the spread of all: it is taken for what it may be, weak, hollow or over-full. What was assumed beforehand is fixed in the tool and printed below; no setting moves it.", sure, percent(1-set.Confidence, nan())),
			"Known weak side: many bays 1 to 4 % below the target among good ones. Up to 7 to 9 % of the bays that pass can then be short, few of them by more than 3 %.")
	}
	out = append(out, "Between ADD and CLOSE stands MEASURE: what is known cannot tell. PROBE means that the density may do but something speaks for a void, or for material gone elsewhere. "+
		"A blind length stands beside every CLOSE: the shortest empty length that this bay’s measurements could have shown.")
	out = append(out, fmt.Sprintf("The figures were computed by method %d. This number rises with a version of the tool that gives some log another figure; figures of different methods are not compared.", verify.Method))
	if set.Spill == 0 {
		out = append(out, "Spill was not deducted: all material counted is taken to have reached a bay.")
	}
	return out
}

// settingRow is one setting with its value, where it came from and what it means.
type settingRow struct {
	Name, Value, Source, Meaning string
	Differs                      bool // a verdict rests on it, and it is not the default
}

// settings lists all settings of the job, then what sections override.
func (b *builder) settings() []settingRow {
	var out []settingRow
	job := b.f.Job
	for _, d := range model.SettingDefs() {
		out = append(out, b.setting(d, &job.Settings, ""))
	}
	for _, s := range job.Sections {
		for _, d := range model.SettingDefs() {
			if o := s.Settings.From[d.Name]; o == model.OriginSection {
				out = append(out, b.setting(d, &s.Settings, s.Name))
			}
		}
	}
	return out
}

func (b *builder) setting(d model.SettingDef, s *model.Settings, section string) settingRow {
	origin := s.From[d.Name]
	row := settingRow{Name: d.Name, Value: orBlank(b.words.Setting(d, s)), Source: originWord(origin), Meaning: d.Meaning}
	if section != "" {
		row.Name += " of " + section
	}
	row.Differs = say.Differs(d, s)
	return row
}

// plainNumber writes a setting's number with no more digits than anybody sets.
func plainNumber(x float64) string {
	return strconv.FormatFloat(math.Round(x*1e4)/1e4, 'f', -1, 64)
}

// policy is the content security policy of the page: nothing is loaded, nothing is sent, and only the scripts and the
// style sheet that the record was written with run. Styles on elements are allowed because the chart library places its
// tooltips with them; they cannot fetch anything, since no source is allowed for images other than data.
func policy(style string, scripts ...string) string {
	parts := []string{"default-src 'none'", "img-src data:"}
	parts = append(parts, "style-src "+hash(style), "style-src-attr 'unsafe-inline'")
	if len(scripts) == 0 {
		return strings.Join(append(parts, "script-src 'none'"), "; ")
	}
	hashes := make([]string, len(scripts))
	for i, s := range scripts {
		hashes[i] = hash(s)
	}
	parts = append(parts, "script-src "+strings.Join(hashes, " "), "base-uri 'none'", "form-action 'none'")
	return strings.Join(parts, "; ")
}

func hash(s string) string {
	sum := sha256.Sum256([]byte(s))
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}

// Characters that turn the direction of writing can make a line read as what it is not: "12 bags" as "21 bags". In the
// page each shows as U+FFFD; in the JSON that it carries they stand escaped, so that nothing is lost.

// escapeDirection writes such characters of a JSON document as \u202e.
func escapeDirection(doc []byte) []byte {
	return mapDirection(doc, func(r rune) string { return fmt.Sprintf(`\u%04x`, r) })
}

// showDirection makes such characters of a page visible.
func showDirection(page []byte) []byte {
	return mapDirection(page, func(rune) string { return "\ufffd" })
}

func mapDirection(text []byte, as func(rune) string) []byte {
	if !bytes.ContainsFunc(text, turns) {
		return text
	}
	out := make([]byte, 0, len(text))
	for _, r := range string(text) {
		if turns(r) {
			out = append(out, as(r)...)
			continue
		}
		out = append(out, string(r)...)
	}
	return out
}

func turns(r rune) bool { return r > unicode.MaxLatin1 && unicode.Is(unicode.Bidi_Control, r) }
