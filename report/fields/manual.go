package fields

import (
	"cmp"
	"strings"

	"bayproof/model"
	"bayproof/report"
	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
	"bayproof/verify/audit/plausible"
)

// Manual is everything that `fields` prints. Nothing of it is written here: columns, entries and
// settings are model's tables, codes those of verify and verify/audit.
type Manual struct {
	Job      *model.Job // nil where no job was named
	Columns  []Column
	Settings []Setting
	Entries  []model.EntryDef
	Codes    []Code
}

// Code is one code of a job's results or of a review.
type Code struct {
	verify.CodeInfo
	Innocent string // of a review's finding: the explanation that has to be ruled out first
}

// Setting is one setting, and with a job its value and where that came from. A section that
// overrides it has a row of its own behind the job's.
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
	m := Manual{Job: job, Columns: Columns(), Entries: model.EntryDefs()}
	for _, c := range verify.Codes() {
		m.Codes = append(m.Codes, Code{CodeInfo: c})
	}
	for _, c := range plausible.Codes() {
		m.Codes = append(m.Codes, Code{c, say.Innocent(c.Code)})
	}
	for _, def := range model.SettingDefs() {
		s := Setting{Name: def.Name, Default: def.Default, Meaning: def.Meaning}
		if job == nil {
			m.Settings = append(m.Settings, s)
			continue
		}
		words := say.UnitsOf(job).InEnglish()
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

// AppendText appends the manual for reading: with a job its settings alone, as the rest is the same
// for every job.
func (m Manual) AppendText(dst []byte) []byte {
	p := screen.Page{Dst: dst, Width: width}
	if m.Job != nil {
		p.Heading("Settings of " + screen.Clean(m.Job.Name))
		for _, s := range m.Settings {
			item(&p, s.Name, 18, cmp.Or(s.Value, "–")+"  ("+s.Source+after(": ", s.Section)+")")
		}
		return p.Dst
	}
	for i, c := range m.Columns {
		if i == 0 || c.File != m.Columns[i-1].File {
			p.Heading("Columns of " + c.File)
		}
		text := c.Meaning
		if c.Unit != "" {
			text += " (" + strings.Replace(c.Unit, " / ", " or ", 1) + ")"
		}
		item(&p, c.Name, 18, text)
	}
	p.Heading("Settings: names of job.csv, flags with - for _")
	for _, s := range m.Settings {
		item(&p, s.Name, 18, s.Meaning+after("; default ", s.Default))
	}
	p.Heading("Entries of bays.csv")
	for _, e := range m.Entries {
		item(&p, e.Word, 18, e.Meaning+after("; may carry ", e.May))
	}
	for i, c := range m.Codes { // those of a kind under one heading
		title, answer := kindWords[c.Kind][0], kindWords[c.Kind][1]
		if i == 0 || c.Kind != m.Codes[i-1].Kind {
			p.Heading("Codes: " + title)
		}
		item(&p, string(c.Code), 20, c.Means+after("; "+answer+": ", c.Answers)+after(". May be innocent: ", c.Innocent))
	}
	return p.Dst
}

// item writes a name in a column and its text, wrapped under its own beginning.
func item(p *screen.Page, name string, column int, text string) {
	p.Told("  "+screen.Pad(name, column-1)+" ", column+2, text)
}

// after is a text with what leads to it; nothing where there is no text.
func after(lead, text string) string {
	if text == "" {
		return ""
	}
	return lead + text
}

// kindWords heads the codes of a kind, and says what stands in their column Answers.
var kindWords = map[verify.Kind][2]string{
	verify.KindReason:        {"reasons of a bay that rest on its figure", "answered by"},
	verify.KindSuspicion:     {"suspicions, reasons to probe", "answered by"},
	verify.KindAnswer:        {"what answered a reason"},
	verify.KindAction:        {"orders: the one thing to do"},
	verify.KindReopened:      {"why a bay that was closed on CLOSE is asked about again"},
	verify.KindSectionReason: {"reasons of a section", "what helps"},
	verify.KindWarning:       {"warnings, which hold no verdict", "what helps"},
	plausible.KindFinding:    {"findings of a review, which accuse nobody", "settled by"},
}

// AppendCSV appends the manual for a spreadsheet, where filters find what a reader looks for. It is
// one table: what it is, where it belongs, its name, and what there is to say about it.
func (m Manual) AppendCSV(dst []byte) []byte {
	dst = screen.AppendRow(dst, "kind", "file", "section", "name", "unit", "default", "value", "source", "meaning", "answered_by", "innocent")
	for _, c := range m.Columns {
		dst = screen.AppendRow(dst, "column", c.File, "", c.Name, c.Unit, "", "", "", c.Meaning, "", "")
	}
	for _, s := range m.Settings {
		dst = screen.AppendRow(dst, "setting", "job.csv", screen.Cell(s.Section), s.Name, "", s.Default, screen.Cell(s.Value), screen.Cell(s.Source), s.Meaning, "", "")
	}
	for _, e := range m.Entries {
		dst = screen.AppendRow(dst, "entry", "bays.csv", "", e.Word, "", "", e.May, "", e.Meaning, "", "")
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
	return report.AppendObject(dst, report.Object{
		{"schema", report.SchemaName("fields")}, {"job", job},
		{"columns", report.Each(m.Columns, func(c *Column) report.Object {
			return report.Object{{"file", c.File}, {"name", c.Name}, {"unit", c.Unit}, {"meaning", c.Meaning}}
		})},
		{"settings", report.Each(m.Settings, func(s *Setting) report.Object {
			return report.Object{
				{"name", s.Name}, {"section", report.OrNull(s.Section)}, {"default", report.OrNull(s.Default)}, {"meaning", s.Meaning},
				{"value", report.OrNull(s.Value)}, {"source", report.OrNull(s.Source)},
			}
		})},
		{"entries", report.Each(m.Entries, func(e *model.EntryDef) report.Object {
			return report.Object{{"name", e.Word}, {"carries", e.May}, {"meaning", e.Meaning}}
		})},
		{"codes", report.Each(m.Codes, func(c *Code) report.Object {
			return report.Object{
				{"code", c.Code}, {"kind", c.Kind}, {"meaning", c.Means}, {"answered_by", report.OrNull(c.Answers)},
				{"innocent", report.OrNull(c.Innocent)}, {"data", c.Data}, {"source", c.Source},
			}
		})},
	}, true)
}
