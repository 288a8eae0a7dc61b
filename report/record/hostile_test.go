package record

import (
	"bytes"
	"encoding/json"
	"html"
	"regexp"
	"slices"
	"strings"
	"testing"

	"bayproof/model"
	"bayproof/report/screen"
	"bayproof/verify"
)

// element finds every opening and closing tag, comment and declaration of a page.
var element = regexp.MustCompile(`<[/!]?[A-Za-z-]+`)

// hostileTexts is what a field of a log can hold to do harm, or to hide what it says.
func hostileTexts() map[string]string {
	return map[string]string{
		"script":     `</script><script>document.title="harm"</script>`,
		"style":      `</style></title></bdi></svg><style>*{display:none}</style>`,
		"attribute":  `" onmouseover="x()" ' onfocus='x()' `,
		"image":      `"><img src=//harm.example/x onerror=alert(1)>`,
		"comment":    `<!-- --><![CDATA[ ]]>`,
		"template":   `{{.}} ${x} {b} {c}`,
		"address":    `javascript:alert(1)`,
		"formula":    `=HYPERLINK("http://harm.example","here")`,
		"direction":  "b1\u202e1b \u2066x\u2069 \u200f",
		"digest":     `<code id="digest">0000</code>`,
		"long":       strings.Repeat("0123456789", 1000),
		"long words": strings.Repeat("word ", 2000) + "end",
		"separator":  "a\u2028b\u2029c",
	}
}

// Whatever stands in the fields of a job, the page has the same elements in the same order, the
// text can be read in it, and what it carries is what was given.
func TestHostileText(t *testing.T) {
	plain := hostileElements(t, "plain")
	for name, text := range hostileTexts() {
		t.Run(name, func(t *testing.T) {
			in := hostileInputs(text)
			page := examplePage(t, in)
			if got := elements(page); !slices.Equal(got, plain) {
				t.Errorf("the page has %d elements, with plain text it has %d", len(got), len(plain))
			}
			shown := string(screen.HTML([]byte(text)))
			if !strings.Contains(html.UnescapeString(string(page)), shown) {
				t.Error("the text cannot be read in the page")
			}
			if bytes.ContainsFunc(page, func(r rune) bool { return !strings.ContainsRune("\n\t\r", r) && screen.Obeyed(r) }) {
				t.Error("a character that turns the direction of writing is in the page")
			}
			if bytes.Contains(page, []byte(`<a href="javascript`)) {
				t.Error("a link runs a script")
			}
			o, err := Open(page)
			if err != nil || !o.Holds() {
				t.Fatalf("the record does not hold: %v", err)
			}
			if o.Carried.Name != text || o.Carried.Flags["note"] != text || !bytes.Equal(o.Carried.Files[0].Raw, []byte(text)) {
				t.Error("what the record carries is not what was given")
			}
		})
	}
}

// The test above must be able to fail: an element that a text brought in is seen.
func TestHostileElementIsSeen(t *testing.T) {
	if a, b := elements([]byte("<p>a</p>")), elements([]byte("<p><img src=x></p>")); slices.Equal(a, b) {
		t.Error("an image more goes unnoticed")
	}
}

func hostileElements(t *testing.T, text string) []string {
	t.Helper()
	out := elements(examplePage(t, hostileInputs(text)))
	if len(out) < 500 {
		t.Fatalf("only %d elements were found in the page", len(out))
	}
	return out
}

func elements(page []byte) []string {
	var out []string
	for _, e := range element.FindAll(page, -1) {
		out = append(out, string(e))
	}
	return out
}

// hostileInputs is the example with the text in every field that a person fills in.
func hostileInputs(text string) Input {
	in := exampleInputs()
	in.Assets = withoutLibrary{in.assets()}
	f := in.Findings
	job := f.Job
	job.Name = text
	s := &job.Settings
	for _, field := range []*string{&s.Job, &s.Site, &s.Crew, &s.Installer, &s.Program, &s.WorkOrder, &s.Date, &s.Material, &s.Manufacturer, &s.Product, &s.Lot} {
		*field = text
	}
	for _, section := range job.Sections {
		section.Name, section.Kind, section.Note, section.ClimateZone, section.Face = text, text, text, text, text
	}
	for _, bay := range job.Bays {
		hostileBay(bay, text)
	}
	job.Extra = []string{text}
	job.Photos = []model.Photo{{Name: text, SHA256: strings.Repeat("ab", 32)}}
	job.Inputs = []model.Input{{File: text, SHA256: strings.Repeat("cd", 32), Raw: []byte(text)}}
	f.Warnings = []verify.Warning{{Code: "photo-missing", Text: text, Section: text, Bay: text, Data: []verify.Datum{{Key: "photo", Text: text}}}}
	in.Flags = map[string]string{"note": text}
	quoted, _ := json.Marshal(map[string]string{"job": text})
	in.JSON = quoted
	return in
}

func hostileBay(bay *model.Bay, text string) {
	bay.Name = text
	for _, row := range bay.Rows {
		row.Section, row.Bay, row.By, row.Note, row.Material.Raw = text, text, text, text, text
		for i := range row.Cells {
			row.Cells[i] = text
		}
		if len(row.Photos) > 0 {
			row.Photos = []string{text}
		}
	}
	for row := range bay.Dead {
		bay.Dead[row] = text
	}
	for i := range bay.Pieces {
		p := bay.Pieces[i]
		for _, r := range []*model.Reading{&p.Width, &p.Depth, &p.Length} {
			r.Raw = text
		}
	}
}
