package fields

import (
	"bytes"
	"encoding/json"
	"strings"

	"bayproof/model"
	"bayproof/report"
	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
	"bayproof/verify/audit"
)

// Manual is everything that `fields` prints. Nothing of it is written here: columns, entries and settings are model's tables, codes those
// of verify and verify/audit.
type Manual struct {
	Job      *model.Job // nil where no job was named
	Columns  []Column
	Settings []Setting
	Entries  []Entry
	Codes    []Code
}

// Code is one code of a job's results or of a review.
type Code struct {
	verify.CodeInfo
	Innocent string // of a review's finding: the explanation that has to be ruled out first
}

// Setting is one setting, and with a job its value and where that came from. A section that overrides it has a row of its own
// behind the job's.
type Setting struct {
	Name    string
	Section string // the section whose row overrides the job; empty for the job's own
	Default string
	Meaning string
	Value   string
	Source  string
}

// New puts the manual together; with a job, each setting has its value.
func New(job *model.Job) Manual {
	m := Manual{Job: job, Columns: Columns(), Entries: Entries()}
	for _, c := range verify.Codes() {
		m.Codes = append(m.Codes, Code{CodeInfo: c})
	}
	for _, c := range audit.Codes() {
		m.Codes = append(m.Codes, Code{c, say.Innocent(c.Code)})
	}
	for _, def := range model.SettingDefs() {
		s := Setting{Name: def.Name, Default: def.Default, Meaning: def.Meaning}
		if job == nil {
			m.Settings = append(m.Settings, s)
			continue
		}
		words := say.UnitsOf(job)
		s.Value, s.Source = words.Setting(def, &job.Settings), job.Settings.From[def.Name].String()
		m.Settings = append(m.Settings, s)
		for _, section := range job.Sections {
			if section.Settings.From[def.Name] == model.OriginSection {
				s.Section, s.Value, s.Source = section.Name, words.Setting(def, &section.Settings), model.OriginSection.String()
				m.Settings = append(m.Settings, s)
			}
		}
	}
	return m
}

// width is what fits a small screen, in characters.
const width = 72

// AppendText appends the manual for reading: with a job its settings alone, as the rest is the same for every job.
func (m Manual) AppendText(dst []byte) []byte {
	p := page{dst: dst}
	if m.Job != nil {
		p.settings(m)
		return p.dst
	}
	file := "" // whose columns are being listed
	for _, c := range m.Columns {
		if c.File != file {
			file = c.File
			p.head("Columns of " + file)
		}
		text := c.Meaning
		if c.Unit != "" {
			text += " (" + strings.Replace(c.Unit, " / ", " or ", 1) + ")"
		}
		p.item(c.Name, 18, text)
	}
	p.head("Settings: names of job.csv, flags with - for _")
	for _, s := range m.Settings {
		p.item(s.Name, 18, s.Meaning+after("; default ", s.Default))
	}
	p.head("Entries of bays.csv")
	for _, e := range m.Entries {
		p.item(e.Name, 18, e.Meaning+after("; may carry ", e.Carries))
	}
	p.codes(m.Codes)
	return p.dst
}

// page is text for a terminal: names from a job's files are shown and never obeyed. It is the manual as lines of at most width
// characters.
type page struct{ dst []byte }

// head begins a part of the manual, after an empty line unless it is the first.
func (p *page) head(text string) {
	if len(p.dst) > 0 {
		p.dst = append(p.dst, '\n')
	}
	p.dst = append(p.dst, screen.Clean(text)+"\n"...)
}

// item writes a name and its text, wrapped under its own beginning.
func (p *page) item(name string, column int, text string) {
	for _, line := range screen.Hang("  "+screen.Pad(screen.Clean(name), column-1)+" ", column+2, width, screen.Clean(text)) {
		p.dst = append(p.dst, line+"\n"...)
	}
}

// after is a text with what leads to it; nothing where there is no text.
func after(lead, text string) string {
	if text == "" {
		return ""
	}
	return lead + text
}

// settings lists the settings of a job, each with its value and where that came from.
func (p *page) settings(m Manual) {
	p.head("Settings of " + m.Job.Name)
	for _, s := range m.Settings {
		value := s.Value
		if value == "" {
			value = "–"
		}
		p.item(s.Name, 18, value+"  ("+s.Source+after(": ", s.Section)+")")
	}
}

// codes lists the codes, those of a kind under one heading.
func (p *page) codes(codes []Code) {
	kind := verify.Kind("")
	for _, c := range codes {
		title, answer := kindWords(c.Kind)
		if c.Kind != kind {
			kind = c.Kind
			p.head("Codes: " + title)
		}
		p.item(string(c.Code), 20, c.Means+after("; "+answer+": ", c.Answers)+after(". May be innocent: ", c.Innocent))
	}
}

// kindWords heads the codes of a kind, and says what stands in their column Answers.
func kindWords(k verify.Kind) (title, answer string) {
	switch k {
	case verify.KindReason:
		return "reasons of a bay that rest on its figure", "answered by"
	case verify.KindSuspicion:
		return "suspicions, reasons to probe", "answered by"
	case verify.KindAnswer:
		return "what answered a reason", ""
	case verify.KindAction:
		return "orders: the one thing to do", ""
	case verify.KindReopened:
		return "why a bay that was closed on CLOSE is asked about again", ""
	case verify.KindSectionReason:
		return "reasons of a section", "what helps"
	case audit.KindFinding:
		return "findings of a review, which accuse nobody", "settled by"
	}
	return "warnings, which hold no verdict", "what helps"
}

// AppendCSV appends the manual for a spreadsheet, where filters find what a reader looks for. It is one table: what it is,
// where it belongs, its name, and what there is to say about it.
func (m Manual) AppendCSV(dst []byte) []byte {
	dst = screen.AppendRow(dst, "kind", "file", "section", "name", "unit", "default", "value", "source", "meaning", "answered_by", "innocent")
	for _, c := range m.Columns {
		dst = screen.AppendRow(dst, "column", c.File, "", c.Name, c.Unit, "", "", "", c.Meaning, "", "")
	}
	for _, s := range m.Settings {
		dst = screen.AppendRow(dst, "setting", "job.csv", screen.Cell(s.Section), s.Name, "", s.Default, screen.Cell(s.Value), screen.Cell(s.Source), s.Meaning, "", "")
	}
	for _, e := range m.Entries {
		dst = screen.AppendRow(dst, "entry", "bays.csv", "", e.Name, "", "", e.Carries, "", e.Meaning, "", "")
	}
	for _, c := range m.Codes {
		dst = screen.AppendRow(dst, string(c.Kind), "", "", string(c.Code), "", "", "", c.Source, c.Means, c.Answers, c.Innocent)
	}
	return dst
}

// AppendJSON appends the manual as one indented document; what does not exist is null.
func (m Manual) AppendJSON(dst []byte) ([]byte, error) {
	var job any
	if m.Job != nil {
		job = m.Job.Name
	}
	return appendJSON(dst, report.Object{
		{"job", job},
		{"columns", report.Each(m.Columns, func(c *Column) report.Object {
			return report.Object{{"file", c.File}, {"name", c.Name}, {"unit", c.Unit}, {"meaning", c.Meaning}}
		})},
		{"settings", report.Each(m.Settings, func(s *Setting) report.Object {
			return report.Object{
				{"name", s.Name}, {"section", report.OrNull(s.Section)}, {"default", report.OrNull(s.Default)}, {"meaning", s.Meaning},
				{"value", report.OrNull(s.Value)}, {"source", report.OrNull(s.Source)},
			}
		})},
		{"entries", report.Each(m.Entries, func(e *Entry) report.Object {
			return report.Object{{"name", e.Name}, {"carries", e.Carries}, {"meaning", e.Meaning}}
		})},
		{"codes", report.Each(m.Codes, func(c *Code) report.Object {
			return report.Object{
				{"code", c.Code}, {"kind", c.Kind}, {"meaning", c.Means}, {"answered_by", report.OrNull(c.Answers)},
				{"innocent", report.OrNull(c.Innocent)}, {"data", c.Data}, {"source", c.Source},
			}
		})},
	})
}

// appendJSON appends a document, indented for reading. It is no part of a page, so < and & stand as they are.
func appendJSON(dst []byte, document report.Object) ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	err := enc.Encode(document)
	return append(dst, screen.JSON(b.Bytes())...), err
}
