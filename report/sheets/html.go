package sheets

import (
	_ "embed"
	"html/template"
	"io"

	"bayproof/verify"
	"bayproof/verify/plan"
)

//go:embed sheets.tmpl
var sheetsTemplate string

// WriteHTML writes the two sheets as one page that needs nothing else.
func WriteHTML(w io.Writer, p *plan.Plan, cautions []verify.Caution) error {
	t, err := template.New("sheets").Parse(sheetsTemplate)
	if err != nil {
		return err
	}
	return t.Execute(w, newPaper(p, cautions))
}
