package cmd_test

import (
	"fmt"
	"go/ast"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestNothingHidden reads the code of every package: no init, no state in package variables,
// os.Exit in main alone, and in model and verify neither clock nor printing nor a draw without a
// seed.
func TestNothingHidden(t *testing.T) {
	t.Parallel()
	for _, p := range listPackages(t) {
		sources := map[string]string{}
		for _, file := range p.GoFiles {
			text, err := os.ReadFile(filepath.Join(p.Dir, file))
			if err != nil {
				t.Fatal(err)
			}
			sources[file] = string(text)
		}
		for _, complaint := range hidden(t, p.ImportPath, sources) {
			t.Error(complaint)
		}
	}
}

// TestHiddenIsSeen makes sure that the check above can fail.
func TestHiddenIsSeen(t *testing.T) {
	t.Parallel()
	for what, source := range map[string]string{
		"an init":                 `package x; func init() {}`,
		"os.Exit outside main":    `package x; import "os"; func f() { os.Exit(1) }`,
		"an assigned variable":    `package x; var n int; func f() { n = 2 }`,
		"a counted variable":      `package x; var n int; func f() { n++ }`,
		"an assigned element":     `package x; var m = map[string]int{}; func f() { m["a"] = 1 }`,
		"an assigned field":       `package x; var s struct{ a int }; func f() { s.a = 1 }`,
		"a variable lent out":     `package x; var n int; func f() *int { return &n }`,
		"a clock in verify":       `package x; import "time"; func f() time.Time { return time.Now() }`,
		"printing in verify":      `package x; import "fmt"; func f() { fmt.Println() }`,
		"a builtin that prints":   `package x; func f() { println("a") }`,
		"a timer in verify":       `package x; import t "time"; func f() { t.Sleep(1) }`,
		"a draw without a seed":   `package x; import "math/rand/v2"; func f() int { return rand.IntN(6) }`,
		"a shuffle of its own":    `package x; import "math/rand/v2"; func f(a []int) { rand.Shuffle(len(a), func(i, j int) { a[i], a[j] = a[j], a[i] }) }`,
		"a draw lent out":         `package x; import "math/rand/v2"; func f() func() float64 { return rand.Float64 }`,
		"a measure of time spent": `package x; import "time"; func f(a time.Time) time.Duration { return time.Since(a) }`,
	} {
		if len(hidden(t, "bayproof/verify/x", map[string]string{"x.go": source})) == 0 {
			t.Errorf("%s goes unnoticed", what)
		}
	}
	good := `package x; import ("fmt"; "math/rand/v2"); var limits = []int{1, 2}; func f(n int) string { m := n; m++; return fmt.Sprint(limits[0], m) }
		func g(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 0)) }`
	if complaints := hidden(t, "bayproof/verify/x", map[string]string{"x.go": good}); len(complaints) > 0 {
		t.Errorf("clean code is refused: %v", complaints)
	}
}

// inspection is one package being read.
type inspection struct {
	path       string
	fset       *token.FileSet
	info       *types.Info
	pkg        *types.Package
	complaints []string
}

// hidden returns what one package does behind its callers' backs. Imports are not followed: a name
// that comes from elsewhere is known by its package and spelling, which is all that is asked.
func hidden(t *testing.T, path string, sources map[string]string) []string {
	t.Helper()
	in := &inspection{path: path, fset: token.NewFileSet(), info: &types.Info{Uses: map[*ast.Ident]types.Object{}}}
	var files []*ast.File
	for name, text := range sources {
		file, err := parser.ParseFile(in.fset, path+"/"+name, text, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, file)
	}
	config := types.Config{Error: func(error) {}, Importer: importer.ForCompiler(in.fset, "gc", nil)}
	in.pkg, _ = config.Check(path, in.fset, files, in.info)
	for _, file := range files {
		ast.Inspect(file, in.look)
	}
	return in.complaints
}

func (in *inspection) complain(at ast.Node, format string, args ...any) {
	in.complaints = append(in.complaints, fmt.Sprintf("%s: %s", in.fset.Position(at.Pos()), fmt.Sprintf(format, args...)))
}

// look judges one node of the syntax tree.
func (in *inspection) look(n ast.Node) bool {
	switch n := n.(type) {
	case *ast.FuncDecl:
		if n.Recv == nil && n.Name.Name == "init" {
			in.complain(n, "an init function")
		}
	case *ast.AssignStmt:
		for _, left := range n.Lhs {
			in.change(left)
		}
	case *ast.IncDecStmt:
		in.change(n.X)
	case *ast.UnaryExpr:
		if n.Op == token.AND {
			in.change(n.X)
		}
	case *ast.CallExpr:
		if id, ok := n.Fun.(*ast.Ident); ok && (id.Name == "print" || id.Name == "println") && in.info.Uses[id] == types.Universe.Lookup(id.Name) {
			in.complain(n, "a call of %s", id.Name)
		}
	case *ast.SelectorExpr:
		in.mention(n)
	}
	return true
}

// change complains where the changed thing is, or lies in, a variable of the package.
func (in *inspection) change(x ast.Expr) {
	for {
		switch inner := x.(type) {
		case *ast.IndexExpr:
			x = inner.X
		case *ast.SelectorExpr:
			x = inner.X
		case *ast.ParenExpr:
			x = inner.X
		case *ast.Ident:
			if v, ok := in.info.Uses[inner].(*types.Var); ok && v.Parent() == in.pkg.Scope() {
				in.complain(inner, "the package variable %s is changed or lent out", inner.Name)
			}
			return
		default:
			return
		}
	}
}

// mention complains about functions of other packages, called or handed on, that leave the process,
// look at the clock, print or draw without a seed.
func (in *inspection) mention(sel *ast.SelectorExpr) {
	id, ok := sel.X.(*ast.Ident)
	if !ok {
		return
	}
	imported, ok := in.info.Uses[id].(*types.PkgName)
	if !ok {
		return
	}
	pure := strings.HasPrefix(in.path, "bayproof/verify") || strings.HasPrefix(in.path, "bayproof/model")
	switch name := imported.Imported().Path() + "." + sel.Sel.Name; {
	case name == "os.Exit" && in.path != "bayproof/cmd/bayproof":
		in.complain(sel, "os.Exit outside main")
	case !pure:
	case clock(name), strings.HasPrefix(name, "fmt.Print"):
		in.complain(sel, "%s in a pure package", name)
	case strings.HasPrefix(name, "math/rand/v2.") && !seeded(sel.Sel.Name):
		in.complain(sel, "%s draws without a seed in a pure package", name)
	}
}

// seeded tells whether a name of math/rand/v2 is a type or makes a source from a seed; all others
// draw from the one source of the process, which nobody has seeded.
func seeded(name string) bool {
	switch name {
	case "New", "NewPCG", "NewChaCha8", "NewZipf", "Rand", "PCG", "ChaCha8", "Zipf", "Source":
		return true
	}
	return false
}

// clock tells whether a function of package time depends on when it is called.
func clock(name string) bool {
	switch name {
	case "time.Now", "time.Since", "time.Until", "time.Sleep", "time.After", "time.AfterFunc", "time.Tick", "time.NewTimer", "time.NewTicker":
		return true
	}
	return false
}
