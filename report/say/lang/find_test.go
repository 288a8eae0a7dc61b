package lang_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"bayproof/model"
)

// root is the module's folder as seen from here.
const root = "../../.."

// screens are the folders in which sentences of a crew's screens stand, with the screen that each
// belongs to.
var screens = []struct{ dir, screen string }{
	{"report/say/lang", "what is said of a bay"},
	{"report/say", "what is said of a bay"},
	{"report/sheets", "sheets and plan"},
	{"report", "check"},
	{"verify", "cautions"},
	{"cmd/prompt", "prompt"},
	{"cmd/pocket", "phone"},
	{"cmd/pocket/serve", "phone"},
	{"report/pocket", "phone"},
	{"cmd", "log and serve"},
}

// table is a variable or a function that holds sentences, which its users give to S by other names
// than the sentence's own.
type table struct {
	file, name string
	fields     []string // whose texts are sentences: by name, or by place among fields without names; empty for all
}

// tables are all of them. Whoever gives S or F anything but a text that stands there or a constant,
// names its table here.
var tables = []table{
	{"report/say/sentences.go", "sentences", []string{"long", "brief"}},
	{"report/say/sentences.go", "advice", nil},
	{"report/say/review.go", "lackNames", nil},
	{"report/say/sentences.go", "orderCautions", []string{"1"}},
	{"verify/caution.go", "cautionRows", []string{"1", "2"}},
	{"model/columns.go", "probeWords", nil},
	{"model/columns.go", "stopWords", nil},
	{"model/columns.go", "countingWords", nil},
	{"model/columns.go", "shapeWords", nil},
	{"model/columns.go", "originWords", nil},
}

// byFunction are functions whose texts are sentences as a whole: verdict words, what a bay waits
// for, the ends of a section.
var byFunction = []struct{ file, name string }{
	{"report/say/words.go", "Verdict"},
	{"report/say/words.go", "Owed"},
	{"report/say/quantity.go", "Percent"},
}

// elsewhere are sentences that no table holds: words that a file's cell or a datum brings.
var elsewhere = []string{
	"width", "depth", "length", "bulge", "width2", "depth2", "length2", // sizes
	"netting", "membrane", // faces
	"across", "along", "attic", "recount", "torn", "wet", "wires", // keys of the forms
	"core", "infrared even", "infrared cold", "rod", "hand", "bay", "empties", "unknown", "row", "line", "column",
}

// said is a sentence in the source, where it was found.
type said struct {
	text, screen, at string
	cell             bool // a word of the log or a place's name, no sentence of a screen
}

// find gathers every sentence that the source says in the crew's language.
func find(t *testing.T) map[string]said {
	all := map[string]said{}
	add := func(x said) {
		if _, ok := all[x.text]; !ok && strings.ContainsFunc(braces.ReplaceAllString(verbs.ReplaceAllString(x.text, ""), ""), isLetter) {
			all[x.text] = x
		}
	}
	files, sayers := 0, sayers(t)
	for _, s := range screens {
		for _, path := range sources(t, s.dir) {
			files++
			if filepath.Ext(path) != ".go" {
				for _, text := range inTemplate(t, path) {
					add(said{text: text, screen: s.screen, at: path})
				}
				continue
			}
			for _, x := range inCode(t, path, sayers) {
				x.screen = s.screen
				add(x)
			}
		}
	}
	if files < 40 {
		t.Fatalf("only %d files: the test looks in the wrong place", files)
	}
	for _, x := range tables {
		screen := "what is said of a bay"
		if strings.HasPrefix(x.file, "verify") {
			screen = "cautions"
		}
		texts := inTable(t, x)
		if len(texts) == 0 {
			t.Errorf("%s: no sentence in %s", x.file, x.name)
		}
		for _, text := range texts {
			add(said{text: text, screen: screen, at: x.file, cell: strings.HasPrefix(x.file, "model")})
		}
	}
	for _, x := range byFunction {
		for _, text := range inFunction(t, x.file, x.name) {
			add(said{text: text, at: x.file, cell: true})
		}
	}
	for _, d := range model.WarningDefs() { // the reader's own text is English: another language says what its kind means
		add(said{text: "warning " + d.Code, at: "model.WarningDefs", cell: true})
	}
	for _, text := range elsewhere {
		add(said{text: text, at: "elsewhere", cell: true})
	}
	return all
}

func isLetter(r rune) bool { return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' }

// sources are a folder's files of code without tests, and its templates.
func sources(t *testing.T, dir string) (out []string) {
	entries, err := os.ReadDir(filepath.Join(root, dir))
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		switch name := e.Name(); {
		case e.IsDir() || strings.HasSuffix(name, "_test.go"):
		case slices.Contains([]string{".go", ".tmpl", ".html"}, filepath.Ext(name)):
			out = append(out, filepath.Join(root, dir, name))
		}
	}
	return out
}

// inTemplate finds {{s "…"}} and {{h "…"}}.
func inTemplate(t *testing.T, path string) (out []string) {
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range regexp.MustCompile(`[{(]-? ?[sh] ("(?:[^"\\]|\\.)*")`).FindAllStringSubmatch(string(data), -1) {
		text, err := strconv.Unquote(m[1])
		if err != nil {
			t.Fatalf("%s: %s: %v", path, m[1], err)
		}
		out = append(out, text)
	}
	return out
}

// sayers are the functions that are given a sentence first, in English: those of lang, and all
// whose first parameter is called english.
func sayers(t *testing.T) []string {
	names := []string{"S", "F", "phrase"}
	for _, s := range screens {
		for _, path := range sources(t, s.dir) {
			if filepath.Ext(path) != ".go" {
				continue
			}
			file, _ := parse(t, path)
			for _, decl := range file.Decls {
				f, ok := decl.(*ast.FuncDecl)
				if ok && len(f.Type.Params.List) > 0 && len(f.Type.Params.List[0].Names) > 0 && f.Type.Params.List[0].Names[0].Name == "english" {
					names = append(names, f.Name.Name)
				}
			}
		}
	}
	return names
}

// inCode finds what sayers and Count are called with. A text that is put together while the program
// runs has its table above.
func inCode(t *testing.T, path string, sayers []string) (out []said) {
	file, fset := parse(t, path)
	consts := constants(t, filepath.Dir(path))
	ast.Inspect(file, func(n ast.Node) bool {
		call, ok := n.(*ast.CallExpr)
		if !ok {
			return true
		}
		var pkg, name string
		switch fun := call.Fun.(type) {
		case *ast.Ident:
			name = fun.Name
		case *ast.SelectorExpr:
			name = fun.Sel.Name
			if id, ok := fun.X.(*ast.Ident); ok {
				pkg = id.Name
			}
		}
		var args []ast.Expr
		switch {
		case slices.Contains([]string{"strings", "bytes", "utf8", "say", "slices"}, pkg): // of the desk, in English
		case slices.Contains(sayers, name) && len(call.Args) > 0:
			args = call.Args[:1]
		case name == "Count" && pkg != "" && len(call.Args) == 3:
			args = call.Args[1:]
		}
		for _, arg := range args {
			if text, ok := textOf(arg, consts); ok {
				out = append(out, said{text: text, at: fset.Position(arg.Pos()).String()})
			}
		}
		return true
	})
	return out
}

// textOf is the text of a literal, of a constant, or of several joined by +.
func textOf(e ast.Expr, consts map[string]string) (string, bool) {
	switch x := e.(type) {
	case *ast.BasicLit:
		text, err := strconv.Unquote(x.Value)
		return text, err == nil && x.Kind == token.STRING
	case *ast.Ident:
		text, ok := consts[x.Name]
		return text, ok
	case *ast.ParenExpr:
		return textOf(x.X, consts)
	case *ast.BinaryExpr:
		a, okA := textOf(x.X, consts)
		b, okB := textOf(x.Y, consts)
		return a + b, okA && okB && x.Op == token.ADD
	}
	return "", false
}

var parsed = map[string]*ast.File{}
var positions = token.NewFileSet()

func parse(t *testing.T, path string) (*ast.File, *token.FileSet) {
	if f := parsed[path]; f != nil {
		return f, positions
	}
	f, err := parser.ParseFile(positions, path, nil, parser.SkipObjectResolution)
	if err != nil {
		t.Fatal(err)
	}
	parsed[path] = f
	return f, positions
}

// constants are the texts that a folder's code has names for.
func constants(t *testing.T, dir string) map[string]string {
	out := map[string]string{}
	names, _ := fs.Glob(os.DirFS(dir), "*.go")
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		file, _ := parse(t, filepath.Join(dir, name))
		for _, decl := range file.Decls {
			g, ok := decl.(*ast.GenDecl)
			if !ok || g.Tok != token.CONST {
				continue
			}
			for _, spec := range g.Specs {
				v := spec.(*ast.ValueSpec)
				for i, name := range v.Names {
					if i < len(v.Values) {
						if text, ok := textOf(v.Values[i], out); ok {
							out[name.Name] = text
						}
					}
				}
			}
		}
	}
	return out
}

// inTable gathers the texts of a table.
func inTable(t *testing.T, x table) (out []string) {
	file, _ := parse(t, filepath.Join(root, x.file))
	wanted := func(field string) bool { return x.fields == nil || slices.Contains(x.fields, field) }
	var walk func(e ast.Expr, field string)
	walk = func(e ast.Expr, field string) {
		switch v := e.(type) {
		case *ast.CompositeLit:
			for i, elt := range v.Elts {
				if kv, ok := elt.(*ast.KeyValueExpr); ok {
					name := ""
					if id, ok := kv.Key.(*ast.Ident); ok {
						name = id.Name
					}
					walk(kv.Value, name)
					continue
				}
				walk(elt, strconv.Itoa(i))
			}
		default:
			if text, ok := textOf(e, nil); ok && text != "" && wanted(field) {
				out = append(out, text)
			}
		}
	}
	ast.Inspect(file, func(n ast.Node) bool {
		if f, ok := n.(*ast.FuncDecl); ok && f.Name.Name == x.name { // a table that a function returns
			for _, stmt := range f.Body.List {
				if r, ok := stmt.(*ast.ReturnStmt); ok {
					walk(r.Results[0], "")
				}
			}
		}
		if v, ok := n.(*ast.ValueSpec); ok {
			for i, name := range v.Names {
				if name.Name == x.name && i < len(v.Values) {
					walk(v.Values[i], "")
				}
			}
		}
		return true
	})
	return out
}

// inFunction gathers every text that a function says.
func inFunction(t *testing.T, path, name string) (out []string) {
	file, _ := parse(t, filepath.Join(root, path))
	for _, decl := range file.Decls {
		f, ok := decl.(*ast.FuncDecl)
		if !ok || f.Name.Name != name {
			continue
		}
		ast.Inspect(f.Body, func(n ast.Node) bool {
			if lit, ok := n.(*ast.BasicLit); ok && lit.Kind == token.STRING {
				if text, err := strconv.Unquote(lit.Value); err == nil && len(text) > 2 {
					out = append(out, text)
				}
			}
			return true
		})
	}
	if len(out) == 0 {
		t.Errorf("%s: %s says nothing", path, name)
	}
	return out
}
