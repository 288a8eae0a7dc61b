package record

import (
	"bytes"
	"flag"
	"html"
	"html/template"
	"os"
	"strings"
	"testing"

	"bayproof/verify"
)

var pageFile = flag.String("page", "", "write the example record to this file, to look at")

func exampleInputs() Input {
	return Input{Findings: exampleFindings(), JSON: []byte(`{"tool":{"name":"bayproof"}}`), Tool: Tool{"bayproof", "0.0.0", "amd64"}}
}

func examplePage(t *testing.T, in Input) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, in); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// A record of some forty bays keeps under 1 MB: 665 kB of it are the chart script, the rest is measured here.
func TestSize(t *testing.T) {
	in := exampleInputs()
	in.Assets = withoutLibrary{in.assets()}
	if n := len(examplePage(t, in)); n > 335_000 {
		t.Errorf("%d bytes without the chart script, want at most 335,000", n)
	}
}

func TestSameInputSameBytes(t *testing.T) {
	a, b := examplePage(t, exampleInputs()), examplePage(t, exampleInputs())
	if !bytes.Equal(a, b) {
		t.Fatal("two records of the same findings differ")
	}
	if *pageFile != "" {
		if err := os.WriteFile(*pageFile, a, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// The priors of a job's rule stand in its record; all other constants are the same for every job, and the page says where.
func TestConstantsAreNamedNotPrinted(t *testing.T) {
	in := exampleInputs()
	in.Assets = withoutLibrary{in.assets()}
	page := string(examplePage(t, in))
	for _, want := range []string{"bayproof fields --constants", "log-normal, median 0.035"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	for _, c := range verify.Constants() {
		if strings.Contains(page, `<th scope="row">`+html.EscapeString(c.Name)+"</th>") {
			t.Errorf("the page prints the constant %s", c.Name)
		}
	}
	in.Findings.Priors = nil
	if strings.Contains(string(examplePage(t, in)), "Assumed beforehand by rule process") {
		t.Error("a table of priors without any")
	}
}

// The source of figures on settling is named where one is shown, and only there.
func TestSettlingIsNamedWhereItIsShown(t *testing.T) {
	in := exampleInputs()
	in.Assets = withoutLibrary{in.assets()}
	p, err := newPage(in)
	if err != nil {
		t.Fatal(err)
	}
	settling := func() bool {
		var b bytes.Buffer
		pages := template.Must(template.New("").Funcs(p.functions()).ParseFS(in.Assets, "*.html"))
		if err := pages.ExecuteTemplate(&b, "checks", p); err != nil {
			t.Fatal(err)
		}
		if strings.Contains(b.String(), "<b>Settling</b>") != p.Settles() {
			t.Errorf("a figure on settling is shown: %v", !p.Settles())
		}
		return strings.Contains(b.String(), "Rasmussen")
	}
	if !settling() {
		t.Error("figures on settling without their source")
	}
	for _, s := range p.Sections {
		s.check.Settling = nil
	}
	if settling() {
		t.Error("the source of figures that are not shown")
	}
}
