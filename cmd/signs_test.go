package cmd_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestSignsSayWhatIsImported holds the sentence "It imports ..." of every doc.go against what the
// package imports.
func TestSignsSayWhatIsImported(t *testing.T) {
	read := 0
	for _, p := range listPackages(t) {
		sign, err := os.ReadFile(filepath.Join(p.Dir, "doc.go"))
		if err != nil {
			continue // told by TestRoomsHaveTheirSign, or a main
		}
		if names := importsIn(string(sign)); names != nil {
			read++
			for _, complaint := range missigned(p, names) {
				t.Error(complaint)
			}
		}
	}
	if read < 10 {
		t.Errorf("read the imports of %d signs: the sentence is looked for in the wrong way", read)
	}
}

// TestWrongSignsAreSeen makes sure that the check above can fail.
func TestWrongSignsAreSeen(t *testing.T) {
	names := importsIn("// Package p does a thing. It imports model,\n// verify/stat, gonum and the standard library. It is pure.\npackage p\n")
	right := listed{ImportPath: "bayproof/p", Imports: []string{"fmt", "bayproof/model", "bayproof/verify/stat", "gonum.org/v1/gonum/mat"}}
	if complaints := missigned(right, names); len(complaints) > 0 {
		t.Errorf("a right sign is refused: %v", complaints)
	}
	for _, wrong := range [][]string{
		{"bayproof/model", "gonum.org/v1/gonum/mat"},
		{"bayproof/model", "bayproof/verify/stat", "gonum.org/v1/gonum/mat", "bayproof/verify"},
		{"bayproof/model", "bayproof/verify/stat", "gonum.org/v1/gonum/mat", "golang.org/x/image/draw"},
	} {
		if len(missigned(listed{ImportPath: "bayproof/p", Imports: wrong}, names)) == 0 {
			t.Errorf("%v goes unnoticed", wrong)
		}
	}
}

// importsIn reads the names in a sign's sentence "It imports a, b and c."; nil where it has none.
func importsIn(sign string) []string {
	_, text, found := strings.Cut(strings.ReplaceAll(sign, "\n//", ""), "t imports ")
	if !found {
		return nil
	}
	text, _, _ = strings.Cut(text+" ", ". ")
	text, _, _ = strings.Cut(text, ".\n")
	text = strings.TrimSuffix(text, " only")
	return strings.Split(strings.ReplaceAll(text, " and ", ", "), ", ")
}

// missigned returns what a sign names and the package does not import, and the other way round.
func missigned(p listed, names []string) []string {
	var complaints []string
	covered := map[string]bool{}
	for _, name := range names {
		if name == "the standard library" {
			continue
		}
		hit := false
		for _, imported := range p.Imports {
			own := name == "its own sub-packages" && strings.HasPrefix(imported, p.ImportPath+"/")
			first, _, _ := strings.Cut(imported, "/")
			if own || imported == "bayproof/"+name || strings.Contains(first, ".") && strings.Contains(imported, name) {
				covered[imported], hit = true, true
			}
		}
		if !hit {
			complaints = append(complaints, p.ImportPath+" says that it imports "+name)
		}
	}
	for _, imported := range p.Imports {
		if first, _, _ := strings.Cut(imported, "/"); !covered[imported] && (first == "bayproof" || strings.Contains(first, ".")) {
			complaints = append(complaints, p.ImportPath+" does not say that it imports "+imported)
		}
	}
	return complaints
}
