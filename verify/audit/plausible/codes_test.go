package plausible

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"bayproof/verify"
)

// TestCodesComplete: every constant that the source declares as a code is in the table once,
// explained, and no code of a job means something else.
func TestCodesComplete(t *testing.T) {
	declared := declaredCodes(t)
	var table []string
	for _, c := range Codes() {
		table = append(table, string(c.Code))
		if c.Means == "" || c.Answers == "" || c.Source == "" || c.Data == "" || c.Kind != KindFinding {
			t.Errorf("%s is not explained: %+v", c.Code, c)
		}
	}
	if !slices.Equal(declared, table) || len(table) < 12 {
		t.Errorf("declared %q, in the table %q", declared, table)
	}
	for _, c := range verify.Codes() {
		if slices.Contains(table, string(c.Code)) {
			t.Errorf("%s is a code of a job too", c.Code)
		}
	}
}

// declaredCodes returns the codes that the package declares, in whatever file, in the order of
// their declaration.
func declaredCodes(t *testing.T) []string {
	t.Helper()
	names, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	var codes []string
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			v, ok := n.(*ast.ValueSpec)
			if !ok {
				return true
			}
			if sel, ok := v.Type.(*ast.SelectorExpr); ok && sel.Sel.Name == "Code" {
				for _, value := range v.Values {
					text, err := strconv.Unquote(value.(*ast.BasicLit).Value)
					if err != nil {
						t.Error(err)
					}
					codes = append(codes, text)
				}
			}
			return true
		})
	}
	return codes
}

// TestPhotoFindings: one finding a picture with its count, one for all pictures at several bays,
// and none of them is taken for chance.
func TestPhotoFindings(t *testing.T) {
	p := func(sum byte, bay string, more ...string) photo {
		return photo{sum: [16]byte{sum}, name: bay + ".jpg", bay: bay, more: more}
	}
	jobs := []*Job{
		{Name: "a", photos: []photo{p(1, "b1"), p(2, "b2")}},
		{Name: "b", photos: []photo{p(1, "b1"), p(3, "b2", "b3"), p(4, "b4", "b5", "b6")}},
		{Name: "c", photos: []photo{p(1, "b9"), p(5, "b1"), p(5, "b2")}},
	}
	again, bays := photoFindings(jobs)
	if len(again) != 2 || len(bays) != 1 {
		t.Fatalf("%d and %d findings, want 2 and 1", len(again), len(bays))
	}
	if f := again[0]; !slices.Equal(f.Jobs, []int{2, 1, 0}) || value(f.Data, "places") != 3 || value(f.Data, "jobs") != 3 || f.P == f.P {
		t.Errorf("across: %+v", f)
	}
	if f := again[1]; !slices.Equal(f.Jobs, []int{2}) || value(f.Data, "places") != 2 {
		t.Errorf("under two names: %+v", f)
	}
	if f := bays[0]; !slices.Equal(f.Jobs, []int{1}) || value(f.Data, "photos") != 2 || value(f.Data, "bays") != 5 || f.Speaks() {
		t.Errorf("at several bays: %+v", f)
	}
}
