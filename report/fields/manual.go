package fields

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"strings"

	"bayproof/model"
	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
	"bayproof/verify/audit"
)

// Manual is everything that `fields` prints.
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

// Setting is one setting, and with a job its value and where that came from.
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
	return Manual{Job: job, Columns: Columns(), Settings: settings(job), Entries: Entries(), Codes: codes()}
}

// codes are those of a job and then those of a review.
func codes() []Code {
	var all []Code
	for _, c := range verify.Codes() {
		all = append(all, Code{CodeInfo: c})
	}
	for _, c := range audit.Codes() {
		all = append(all, Code{c, say.Innocent(c.Code)})
	}
	return all
}

// settings are the table's; with a job each has its value, and one more line for every section that overrides it.
func settings(job *model.Job) []Setting {
	var all []Setting
	for _, def := range model.SettingDefs() {
		s := Setting{Name: def.Name, Default: def.Default, Meaning: def.Meaning}
		if job == nil {
			all = append(all, s)
			continue
		}
		words := say.UnitsOf(job)
		s.Value, s.Source = words.Setting(def, &job.Settings), job.Settings.From[def.Name].String()
		all = append(all, s)
		for _, section := range job.Sections {
			if section.Settings.From[def.Name] == model.OriginSection {
				s.Section = section.Name
				s.Value, s.Source = words.Setting(def, &section.Settings), model.OriginSection.String()
				all = append(all, s)
			}
		}
	}
	return all
}

// width is what fits a small screen, in characters.
const width = 72

// AppendText appends the manual for reading: with a job its settings alone, as the rest is the same for every job.
func (m Manual) AppendText(dst []byte) []byte {
	var b strings.Builder
	if m.Job == nil {
		m.columns(&b)
	}
	m.settings(&b)
	if m.Job == nil {
		m.entries(&b)
		m.codes(&b)
	}
	return append(dst, b.String()...)
}

// columns, settings, entries and codes write one part of the manual each.
func (m Manual) columns(b *strings.Builder) {
	file := ""
	for _, c := range m.Columns {
		if c.File != file {
			file = c.File
			head(b, "Columns of "+file)
		}
		text := c.Meaning
		if c.Unit != "" {
			text += " (" + strings.Replace(c.Unit, " / ", " or ", 1) + ")"
		}
		item(b, c.Name, 18, text)
	}
}

func (m Manual) settings(b *strings.Builder) {
	if m.Job == nil {
		head(b, "Settings: names of job.csv, flags with - for _")
		for _, s := range m.Settings {
			text := s.Meaning
			if s.Default != "" {
				text += "; default " + s.Default
			}
			item(b, s.Name, 18, text)
		}
		return
	}
	head(b, "Settings of "+m.Job.Name)
	for _, s := range m.Settings {
		text := s.Value
		if text == "" {
			text = "–"
		}
		text += "  (" + s.Source
		if s.Section != "" {
			text += ": " + s.Section
		}
		item(b, s.Name, 18, text+")")
	}
}

func (m Manual) entries(b *strings.Builder) {
	head(b, "Entries of bays.csv")
	for _, e := range m.Entries {
		text := e.Meaning
		if e.Carries != "" {
			text += "; may carry " + e.Carries
		}
		item(b, e.Name, 18, text)
	}
}

func (m Manual) codes(b *strings.Builder) {
	kind := verify.Kind("")
	for _, c := range m.Codes {
		if c.Kind != kind {
			kind = c.Kind
			head(b, "Codes: "+kindName(kind))
		}
		text := c.Means
		if c.Answers != "" {
			text += "; " + answerWord(kind) + ": " + c.Answers
		}
		if c.Innocent != "" {
			text += ". May be innocent: " + c.Innocent
		}
		item(b, string(c.Code), 20, text)
	}
}

// kindName is the heading of a kind of codes.
func kindName(k verify.Kind) string {
	switch k {
	case verify.KindReason:
		return "reasons of a bay that rest on its figure"
	case verify.KindSuspicion:
		return "suspicions, reasons to probe"
	case verify.KindAnswer:
		return "what answered a reason"
	case verify.KindAction:
		return "what to do now"
	case verify.KindPlace:
		return "where to probe"
	case verify.KindSectionReason:
		return "reasons of a section"
	case audit.KindFinding:
		return "findings of a review, which accuse nobody"
	}
	return "warnings, which hold no verdict"
}

// answerWord says what the last part of a code's line is.
func answerWord(k verify.Kind) string {
	if k == verify.KindWarning || k == verify.KindSectionReason {
		return "what helps"
	}
	if k == audit.KindFinding {
		return "settled by"
	}
	return "answered by"
}

// head writes a heading, after a blank line where something stands before it.
func head(b *strings.Builder, text string) {
	if b.Len() > 0 {
		b.WriteByte('\n')
	}
	b.WriteString(screen.Clean(text) + "\n")
}

// item writes a name and its text, wrapped under its own beginning.
func item(b *strings.Builder, name string, column int, text string) {
	line := "  " + screen.Pad(screen.Clean(name), column-1) + " "
	for _, part := range screen.Wrap(screen.Clean(text), width-column-2) {
		b.WriteString(strings.TrimRight(line+part, " ") + "\n")
		line = screen.Pad("", column+2)
	}
}

// AppendCSV appends the manual as one table: what it is, where it belongs, its name, and what there is to say about it.
func (m Manual) AppendCSV(dst []byte) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b) // writing to memory cannot fail
	_ = w.Write([]string{"kind", "file", "section", "name", "unit", "default", "value", "source", "meaning", "answered_by", "innocent"})
	for _, c := range m.Columns {
		_ = w.Write([]string{"column", c.File, "", c.Name, c.Unit, "", "", "", c.Meaning, "", ""})
	}
	for _, s := range m.Settings {
		_ = w.Write([]string{"setting", "job.csv", screen.Cell(s.Section), s.Name, "", s.Default, screen.Cell(s.Value), screen.Cell(s.Source), s.Meaning, "", ""})
	}
	for _, e := range m.Entries {
		_ = w.Write([]string{"entry", "bays.csv", "", e.Name, "", "", e.Carries, "", e.Meaning, "", ""})
	}
	for _, c := range m.Codes {
		_ = w.Write([]string{string(c.Kind), "", "", string(c.Code), "", "", "", c.Source, c.Means, c.Answers, c.Innocent})
	}
	w.Flush()
	return append(dst, b.Bytes()...)
}

// document and the types below are the shape of the JSON document; their keys are stable.
type document struct {
	Job      *string           `json:"job"`
	Columns  []columnDocument  `json:"columns"`
	Settings []settingDocument `json:"settings"`
	Entries  []entryDocument   `json:"entries"`
	Codes    []codeDocument    `json:"codes"`
}

type columnDocument struct {
	File    string `json:"file"`
	Name    string `json:"name"`
	Unit    string `json:"unit"`
	Meaning string `json:"meaning"`
}

type settingDocument struct {
	Name    string  `json:"name"`
	Section *string `json:"section"`
	Default *string `json:"default"`
	Meaning string  `json:"meaning"`
	Value   *string `json:"value"`
	Source  *string `json:"source"`
}

type entryDocument struct {
	Name    string `json:"name"`
	Carries string `json:"carries"`
	Meaning string `json:"meaning"`
}

type codeDocument struct {
	Code       string  `json:"code"`
	Kind       string  `json:"kind"`
	Meaning    string  `json:"meaning"`
	AnsweredBy *string `json:"answered_by"`
	Innocent   *string `json:"innocent"`
	Data       string  `json:"data"`
	Source     string  `json:"source"`
}

// AppendJSON appends the manual as one indented document; what does not exist is null.
func (m Manual) AppendJSON(dst []byte) ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	err := enc.Encode(m.document())
	return append(dst, screen.JSON(b.Bytes())...), err
}

// document is the manual as JSON has it.
func (m Manual) document() document {
	var d document
	if m.Job != nil {
		d.Job = &m.Job.Name
	}
	for _, c := range m.Columns {
		d.Columns = append(d.Columns, columnDocument(c))
	}
	for _, s := range m.Settings {
		d.Settings = append(d.Settings, settingDocument{s.Name, orNull(s.Section), orNull(s.Default), s.Meaning, orNull(s.Value), orNull(s.Source)})
	}
	for _, e := range m.Entries {
		d.Entries = append(d.Entries, entryDocument(e))
	}
	for _, c := range m.Codes {
		d.Codes = append(d.Codes, codeDocument{string(c.Code), string(c.Kind), c.Means, orNull(c.Answers), orNull(c.Innocent), c.Data, c.Source})
	}
	return d
}

// orNull is nil for an empty text.
func orNull(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}
