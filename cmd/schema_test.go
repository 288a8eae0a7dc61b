package cmd_test

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"bayproof/report"
)

// schema compiles what `fields --schema` prints.
func schema(t *testing.T, name string) *jsonschema.Schema {
	t.Helper()
	code, stdout, stderr := runCommand(t, "fields", "--schema", name)
	if code != 0 {
		t.Fatalf("exit code %d: %s", code, stderr)
	}
	doc, err := jsonschema.UnmarshalJSON(strings.NewReader(stdout))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	c.DefaultDraft(jsonschema.Draft2020)
	if err := c.AddResource("x.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("x.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Every document is what its schema says, and a document that lacks a key or has one more is not.
func TestDocumentsAreWhatTheirSchemaSays(t *testing.T) {
	t.Parallel()
	file := demoRecord(t)
	bare := filepath.Join(t.TempDir(), "bays.csv")
	makeFile(t, bare, "section,bay,width,depth,length,weight\ns,b1,22.5,5.5,12,40\n,,,,,\ns,b2,22.5,5.5,12,\n")
	for name, runs := range map[string][][]string{
		"check":     {{"check", filepath.Dir(file), "-f", "json"}, {"check", bare, "-f", "json"}, {"check", bare, "--rule", "guarded", "-f", "json"}},
		"recheck":   {{"recheck", file, "-f", "json"}},
		"plan":      {{"plan", filepath.Dir(file), "-f", "json"}, {"plan", filepath.Dir(file), "--hold", "3", "-f", "json"}},
		"review":    {{"review", filepath.Dir(file), "-f", "json"}, {"review", filepath.Dir(file), bare, "--inspect", "5", "-f", "json"}, {"review", filepath.Dir(file), "--figures", "-f", "json"}},
		"fields":    {{"fields", "-f", "json"}, {"fields", filepath.Dir(file), "-f", "json"}},
		"constants": {{"fields", "--constants", "-f", "json"}},
	} {
		s := schema(t, name)
		for _, args := range runs {
			_, stdout, stderr := runCommand(t, args...)
			valid := func(text string) error {
				doc, err := jsonschema.UnmarshalJSON(strings.NewReader(text))
				if err != nil {
					t.Fatalf("%v: %v: %s", args, err, stderr)
				}
				return s.Validate(doc)
			}
			if err := valid(stdout); err != nil {
				t.Errorf("%v: %v", args, err)
			}
			for _, spoilt := range []string{strings.Replace(stdout, `"schema"`, `"schemas"`, 1), strings.Replace(stdout, `bayproof/`, `xbayproof/`, 1), strings.Replace(stdout, `"name"`, `"names"`, 1), strings.Replace(stdout, `"text"`, `"texts"`, 1)} {
				if spoilt != stdout && valid(spoilt) == nil {
					t.Errorf("%v: a spoilt document passes", args)
				}
			}
		}
	}
	if code, _, stderr := runCommand(t, "fields", "--schema", "bags"); code != 2 || !strings.Contains(stderr, strings.Join(report.Schemas(), ", ")) {
		t.Errorf("exit code %d: %s", code, stderr)
	}
}
