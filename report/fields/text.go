package fields

import (
	"strings"

	"bayproof/report/screen"
	"bayproof/verify"
	"bayproof/verify/audit"
)

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

func answerWord(k verify.Kind) string {
	if k == verify.KindWarning || k == verify.KindSectionReason {
		return "what helps"
	}
	if k == audit.KindFinding {
		return "settled by"
	}
	return "answered by"
}

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
