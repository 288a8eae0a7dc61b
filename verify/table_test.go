package verify

import (
	"go/ast"
	"go/parser"
	"go/token"
	"math"
	"slices"
	"strconv"
	"testing"

	"bayproof/model"
)

// TestSuspicionsAreActedOn: a code that the table calls a suspicion asks for PROBE and stands at a
// place of its own in the order in which they lead; one that rests on the figure asks for none. A
// code without either would let a bay be closed over it.
func TestSuspicionsAreActedOn(t *testing.T) {
	sure := func(code Code) *Bay {
		section := &model.Section{Settings: model.Settings{Confidence: 0.95}}
		return &Bay{Bay: &model.Bay{Section: section}, Mass: 1, Density: 1, ProbAtTarget: 1, Reasons: []Reason{{Code: code}}}
	}
	var order []int
	for _, c := range Codes() {
		b := sure(c.Code)
		want := Close
		switch b.Verdict = verdictOf(b); {
		case c.Kind == KindSuspicion:
			order, want = append(order, c.Leads), Probe
		case c.Holds:
			want = Measure
		}
		if b.Verdict != want || (c.Leads != 0) != (c.Kind == KindSuspicion) {
			t.Errorf("%s: verdict %v, want %v, leads %d", c.Code, b.Verdict, want, c.Leads)
		}
	}
	slices.Sort(order)
	for i, place := range order {
		if place != i+1 {
			t.Errorf("suspicions lead as %v, want every place once", order)
		}
	}
	if len(order) == 0 {
		t.Error("no suspicion in the table")
	}
}

// TestTies: every action that is chosen by its cost has its place among equals, and every work its
// minutes and name.
func TestTies(t *testing.T) {
	for _, c := range Codes() {
		if chosen := c.Kind == KindAction && c.Code != ActFill && c.Code != ActCount; chosen != slices.Contains(ties, c.Code) {
			t.Errorf("%s: among the ties %v", c.Code, !chosen)
		}
	}
	for w, c := range costs {
		if c.name == "" || c.minutes == 0 && work(w) != saying {
			t.Errorf("work %d: %+v", w, c)
		}
	}
}

// TestLeading: what is done first follows the table, not the order in which the reasons were
// raised; what was answered leads nothing.
func TestLeading(t *testing.T) {
	reasons := []Reason{{Code: NotShown}, {Code: CoreDisagrees}, {Code: Reach}, {Code: ProbeSoft}, {Code: OverFull, Answered: Answer{Code: ByLost}}}
	if r := leading(reasons); r == nil || r.Code != ProbeSoft {
		t.Errorf("leading: %+v, want probe-soft", r)
	}
	if r := leading(reasons[:1]); r != nil {
		t.Errorf("leading: %+v, want none", r)
	}
}

// TestCodesDeclared: every code that the source declares has its row, once, and every row but the
// reader's is declared: a new code is its constant, its row and its sentence.
func TestCodesDeclared(t *testing.T) {
	file, err := parser.ParseFile(token.NewFileSet(), "codes.go", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	var declared, rows []string
	ast.Inspect(file, func(n ast.Node) bool {
		if v, ok := n.(*ast.ValueSpec); ok {
			if kind, ok := v.Type.(*ast.Ident); ok && kind.Name == "Code" {
				text, err := strconv.Unquote(v.Values[0].(*ast.BasicLit).Value)
				if err != nil {
					t.Error(err)
				}
				declared = append(declared, text)
			}
		}
		return true
	})
	for _, c := range Codes() {
		if !slices.ContainsFunc(model.WarningDefs(), func(d model.WarningDef) bool { return d.Code == string(c.Code) }) {
			rows = append(rows, string(c.Code))
		}
	}
	slices.Sort(declared)
	slices.Sort(rows)
	if !slices.Equal(declared, rows) || len(rows) < 40 {
		t.Errorf("declared %q, in the table %q", declared, rows)
	}
}

// TestNothingKnownOfABay: a bay of which nothing was found out has no figure that could be taken
// for one.
func TestNothingKnownOfABay(t *testing.T) {
	var b Bay
	b.noFigures()
	for i, x := range []float64{b.Mass, b.Bags, b.Density, b.U, b.DOF, b.Lo, b.Hi, b.ProbMeasured, b.ProbAtTarget, b.AddMass, b.AddBags, b.AddDensity,
		b.EmptyLength, b.EmptyLengthLo, b.EmptyLengthHi, b.CouldHide} {
		if !math.IsNaN(x) {
			t.Errorf("figure %d is %v", i, x)
		}
	}
}
