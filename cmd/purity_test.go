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

// TestNothingHidden reads the code of every package: no init, no state in package variables, os.Exit in main alone, and
// in model and verify neither clock nor printing.
func TestNothingHidden(t *testing.T) {
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
		"a measure of time spent": `package x; import "time"; func f(a time.Time) time.Duration { return time.Since(a) }`,
	} {
		if len(hidden(t, "bayproof/verify/x", map[string]string{"x.go": source})) == 0 {
			t.Errorf("%s goes unnoticed", what)
		}
	}
	good := `package x; import "fmt"; var limits = []int{1, 2}; func f(n int) string { m := n; m++; return fmt.Sprint(limits[0], m) }`
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

// hidden returns what one package does behind its callers' backs. Imports are not followed: a name that comes from
// elsewhere is known by its package and spelling, which is all that is asked.
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
		in.call(n)
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

// call complains about calls that leave the process, look at the clock or print.
func (in *inspection) call(call *ast.CallExpr) {
	pure := strings.HasPrefix(in.path, "bayproof/verify") || strings.HasPrefix(in.path, "bayproof/model")
	if id, ok := call.Fun.(*ast.Ident); ok && (id.Name == "print" || id.Name == "println") && in.info.Uses[id] == types.Universe.Lookup(id.Name) {
		in.complain(call, "a call of %s", id.Name)
	}
	sel, ok := call.Fun.(*ast.SelectorExpr)
	if !ok {
		return
	}
	id, ok := sel.X.(*ast.Ident)
	if !ok {
		return
	}
	imported, ok := in.info.Uses[id].(*types.PkgName)
	if !ok {
		return
	}
	switch name := imported.Imported().Path() + "." + sel.Sel.Name; {
	case name == "os.Exit" && in.path != "bayproof/cmd/bayproof":
		in.complain(call, "os.Exit outside main")
	case !pure:
	case clock(name), strings.HasPrefix(name, "fmt.Print"):
		in.complain(call, "%s in a pure package", name)
	}
}

// clock tells whether a function of package time depends on when it is called.
func clock(name string) bool {
	switch name {
	case "time.Now", "time.Since", "time.Until", "time.Sleep", "time.After", "time.AfterFunc", "time.Tick", "time.NewTimer", "time.NewTicker":
		return true
	}
	return false
}
