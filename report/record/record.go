package record

import (
	"bytes"
	"fmt"
	"html/template"
	"io"
	"io/fs"

	"bayproof/report"
	"bayproof/verify"
)

// Input is all that a record is made from.
type Input struct {
	Findings *verify.Findings
	JSON     []byte            // the findings as JSON (formats, section 4)
	Flags    map[string]string // settings given on the command line, by name, as written
	Tool     Tool
	Pictures []Picture         // small upright copies of photos; nil unless they are wanted
	Places   map[string]string // where photos were taken, by name; nil unless the job asks to keep that
	Assets   fs.FS             // nil: those built in
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
