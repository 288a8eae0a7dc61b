package cmd_test

import (
	"encoding/json"
	"errors"
	"io"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"strings"
	"testing"
)

// room is what a folder of the house may import besides the standard library, and what of the
// standard library it may not. A pattern ending in /... matches what lies below as well.
type room struct {
	path   string
	may    []string
	mayNot []string
}

// unclean are the packages through which a computation could see or change the world. Draws are of
// math/rand/v2, from a seed: TestNothingHidden refuses those without.
var unclean = []string{"os/...", "net/...", "log/...", "syscall/...", "runtime/...", "math/rand", "crypto/rand", "path/filepath", "io/ioutil", "unsafe", "plugin"}

// house is the order of the house: arrows point from cmd to report to verify to model, and from cmd
// to model/joblog to model. The first room that matches a package holds for it.
func house() []room {
	return []room{
		{"bayproof/model/joblog/...", []string{"bayproof/model/...", "golang.org/x/text/...", "github.com/gofrs/flock"}, []string{"os/exec", "net/...", "log/..."}},
		{"bayproof/model/...", []string{"bayproof/model", "golang.org/x/text/..."}, unclean},
		{"bayproof/verify/stat", []string{"gonum.org/v1/gonum/..."}, unclean},
		{"bayproof/verify/measure", []string{"bayproof/model", "bayproof/verify/stat"}, unclean},
		{"bayproof/verify/crew", []string{"bayproof/verify/measure", "bayproof/verify/stat", "gonum.org/v1/gonum/..."}, unclean},
		{"bayproof/verify/audit/compare", []string{"bayproof/verify/crew", "bayproof/verify/stat"}, unclean},
		{"bayproof/verify/audit/inspect", []string{"bayproof/model", "bayproof/verify", "bayproof/verify/audit/compare", "bayproof/verify/stat"}, unclean},
		{"bayproof/verify/audit/plausible", []string{"bayproof/model", "bayproof/verify", "bayproof/verify/crew", "bayproof/verify/stat"}, unclean},
		{"bayproof/verify/...", []string{"bayproof/model", "bayproof/verify/..."}, unclean},
		{"bayproof/report/...", []string{"bayproof/report/...", "bayproof/verify/...", "bayproof/model", "github.com/go-echarts/go-echarts/v2/...", "golang.org/x/...", "rsc.io/qr", "aead.dev/minisign"}, []string{"os/...", "net/http/...", "log/..."}},
		{"bayproof/cmd/demo", []string{}, nil},
		{"bayproof/cmd/pocket", []string{"bayproof/cmd/prompt", "bayproof/report", "bayproof/report/say/...", "bayproof/verify", "bayproof/model/..."}, []string{"os/...", "net/...", "log/...", "syscall/..."}},
		{"bayproof/cmd/pocket/wasm", []string{"bayproof/cmd/pocket"}, []string{"os/...", "net/...", "log/..."}},
		{"bayproof/cmd/bayproof", []string{"bayproof/cmd"}, nil},
		{"bayproof/cmd/pocket/serve", []string{"bayproof/cmd/pocket", "bayproof/model/...", "bayproof/report/say/lang", "golang.org/x/net/netutil", "rsc.io/qr"}, []string{"os/...", "log/slog"}}, // log to silence net/http
		{"bayproof/cmd/...", []string{"..."}, []string{"log/...", "net/http/..."}},
	}
}

// listed is what `go list` says about one package.
type listed struct {
	ImportPath, Name, Dir string
	GoFiles, Imports      []string
}

// TestArrowsPointOneWay holds the order of the house for every package of the module.
func TestArrowsPointOneWay(t *testing.T) {
	t.Parallel()
	packages := listPackages(t)
	if len(packages) < 5 {
		t.Fatalf("go list found %d packages: the test looks in the wrong place", len(packages))
	}
	for _, p := range packages {
		for _, complaint := range misplaced(house(), p) {
			t.Error(complaint)
		}
	}
}

// TestArrowsAreSeen makes sure that the check above can fail.
func TestArrowsAreSeen(t *testing.T) {
	for _, bad := range []listed{
		{ImportPath: "bayproof/model", Imports: []string{"os"}},
		{ImportPath: "bayproof/model", Imports: []string{"bayproof/model/joblog"}},
		{ImportPath: "bayproof/model/joblog", Imports: []string{"bayproof/verify"}},
		{ImportPath: "bayproof/verify", Imports: []string{"bayproof/report"}},
		{ImportPath: "bayproof/verify/crew", Imports: []string{"math/rand"}},
		{ImportPath: "bayproof/verify/stat", Imports: []string{"bayproof/model"}},
		{ImportPath: "bayproof/report/text", Imports: []string{"bayproof/model/joblog"}},
		{ImportPath: "bayproof/report/html", Imports: []string{"bayproof/cmd"}},
		{ImportPath: "bayproof/cmd/bayproof", Imports: []string{"bayproof/verify"}},
		{ImportPath: "bayproof/utils"},
	} {
		if len(misplaced(house(), bad)) == 0 {
			t.Errorf("%s importing %v goes unnoticed", bad.ImportPath, bad.Imports)
		}
	}
	good := listed{ImportPath: "bayproof/verify", Imports: []string{"fmt", "bayproof/verify/crew", "bayproof/model"}}
	if complaints := misplaced(house(), good); len(complaints) > 0 {
		t.Errorf("an allowed package is refused: %v", complaints)
	}
}

// misplaced returns what is wrong with the place and the imports of one package.
func misplaced(rooms []room, p listed) []string {
	for _, r := range rooms {
		if !matches(r.path, p.ImportPath) {
			continue
		}
		var complaints []string
		for _, imported := range p.Imports {
			if !r.admits(imported) {
				complaints = append(complaints, p.ImportPath+" may not import "+imported)
			}
		}
		return complaints
	}
	return []string{p.ImportPath + " has no room in the house"}
}

// admits tells whether a package in the room may import another one.
func (r room) admits(imported string) bool {
	if first, _, _ := strings.Cut(imported, "/"); !strings.Contains(first, ".") && first != "bayproof" {
		return !matchesAny(r.mayNot, imported)
	}
	return matchesAny(r.may, imported)
}

func matchesAny(patterns []string, name string) bool {
	for _, pattern := range patterns {
		if matches(pattern, name) {
			return true
		}
	}
	return false
}

func matches(pattern, name string) bool {
	above, below := strings.CutSuffix(pattern, "...")
	return pattern == name || below && (strings.HasPrefix(name, above) || name == strings.TrimSuffix(above, "/"))
}

// listPackages asks the go command for the module's packages, each once: built with a profile they
// are listed twice.
func listPackages(t *testing.T) []listed {
	t.Helper()
	packages := goList(t, os.Environ(), "./...")
	return append(packages, goList(t, append(os.Environ(), "GOOS=js", "GOARCH=wasm"), "./cmd/pocket/wasm")...) // which no other system has
}

// goList asks the go command about packages.
func goList(t *testing.T, env []string, pattern string) []listed {
	t.Helper()
	list := exec.Command("go", "list", "-pgo=off", "-json=ImportPath,Name,Dir,GoFiles,Imports", pattern)
	list.Dir, list.Env = "..", env
	list.Stderr = os.Stderr
	out, err := list.Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	var packages []listed
	for dec := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p listed
		switch err := dec.Decode(&p); {
		case errors.Is(err, io.EOF):
			return packages
		case err != nil:
			t.Fatal(err)
		}
		packages = append(packages, p)
	}
}

// TestRoomsHaveTheirSign asks every package for a doc.go and forbids names that say nothing.
func TestRoomsHaveTheirSign(t *testing.T) {
	t.Parallel()
	for _, p := range listPackages(t) {
		if p.Name == "main" {
			continue
		}
		if _, err := os.Stat(filepath.Join(p.Dir, "doc.go")); err != nil {
			t.Errorf("%s has no doc.go", p.ImportPath)
		}
		for _, name := range append([]string{path.Base(p.ImportPath)}, p.GoFiles...) {
			switch strings.TrimSuffix(name, ".go") {
			case "util", "utils", "common", "helper", "helpers", "misc":
				t.Errorf("%s: the name %s says nothing", p.ImportPath, name)
			}
		}
	}
}
