package record

import (
	"bytes"
	"flag"
	"html"
	"html/template"
	"io/fs"
	"os"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"bayproof/model"
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

// A record of some forty bays keeps under 1 MB: 665 kB of it are the chart script, the rest is
// measured here.
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

// The priors of a job's rule stand in its record; all other constants are the same for every job,
// and the page says where.
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

// What a template names in a branch that no test takes would be missed only when somebody's record
// is written: every name that a template calls is a field or a method of what the page consists of.
func TestTemplatesNameWhatThereIs(t *testing.T) {
	known := map[string]bool{}
	for _, v := range []any{
		&page{}, &section{}, &bay{}, mapBay{}, figure{}, tile{}, fact{}, materialRow{}, packing{}, paper{}, settingRow{}, logRow{}, photo{}, interval{},
		units{}, Tool{}, front{}, closed{}, &shareFigure{}, shareRow{}, share{}, &bagFigure{}, bagRow{}, verify.Reason{}, verify.Caution{}, verify.Constant{}, model.Input{},
	} {
		kind := reflect.TypeOf(v)
		for i := range kind.NumMethod() {
			known[kind.Method(i).Name] = true
		}
		if kind.Kind() == reflect.Pointer {
			kind = kind.Elem()
		}
		for _, f := range reflect.VisibleFields(kind) {
			known[f.Name] = true
		}
	}
	files, err := fs.Glob(exampleInputs().assets(), "*.html")
	if err != nil || len(files) < 8 {
		t.Fatalf("%d templates, %v", len(files), err)
	}
	action, name := regexp.MustCompile(`\{\{.*?\}\}`), regexp.MustCompile(`\.([A-Z]\w*)`)
	unknownIn := func(text string) (out []string) {
		for _, a := range action.FindAllString(text, -1) {
			for _, m := range name.FindAllStringSubmatch(a, -1) {
				if !known[m[1]] {
					out = append(out, m[1])
				}
			}
		}
		return out
	}
	for _, f := range files {
		if bad := unknownIn(asset(exampleInputs().assets(), f)); len(bad) > 0 {
			t.Errorf("%s: %q", f, bad)
		}
	}
	if bad := unknownIn("{{if .Bays}}{{range $.Headlines}}{{end}}{{end}}"); len(bad) != 1 {
		t.Errorf("a name that nothing has goes unnoticed: %q", bad)
	}
}
