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

// TestSuspicionsAreActedOn: a code that the table calls a suspicion asks for PROBE, stands at a place of its own in the
// order in which they lead, and has something to be done about it; one that rests on the figure asks for no PROBE, and has
// something to be done too. A code without either would let a bay be closed over it.
func TestSuspicionsAreActedOn(t *testing.T) {
	sure := func(code Code) *Bay {
		section := &model.Section{Settings: model.Settings{Confidence: 0.95}}
		return &Bay{Bay: &model.Bay{Section: section}, Mass: 1, Density: 1, ProbAtTarget: 1, Reasons: []Reason{{Code: code}}}
	}
	var order []int
	for _, c := range Codes() {
		acts := rowOf[c.Act].Kind == KindAction
		b := sure(c.Code)
		switch b.Verdict = verdictOf(b); c.Kind {
		case KindSuspicion:
			order = append(order, c.Leads)
			if b.Verdict != Probe || leading(b.Reasons) == nil {
				t.Errorf("%s is a suspicion in the table and asks for no PROBE", c.Code)
			} else if got := act(b).Code; !acts || got != c.Act {
				t.Errorf("%s asks for %q, the table for %q", c.Code, got, c.Act)
			}
			if c.Where != "" && rowOf[c.Where].Kind != KindPlace {
				t.Errorf("%s: %q is no place", c.Code, c.Where)
			}
		case KindReason:
			if c.Holds {
				if got := act(b).Code; b.Verdict != Measure || !acts || got != c.Act {
					t.Errorf("%s holds the verdict: %v, to do %q", c.Code, b.Verdict, got)
				}
			} else if b.Verdict != Close || !acts {
				t.Errorf("%s rests on the figure: %v, to do %q", c.Code, b.Verdict, c.Act)
			}
		default:
			if b.Verdict != Close || c.Act != "" || c.Leads != 0 {
				t.Errorf("%s holds a verdict: %v, %+v", c.Code, b.Verdict, c)
			}
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

// TestLeading: what is done first follows the table, not the order in which the reasons were raised; what was answered
// leads nothing.
func TestLeading(t *testing.T) {
	reasons := []Reason{{Code: NotShown}, {Code: CoreDisagrees}, {Code: Reach}, {Code: ProbeSoft}, {Code: OverFull, Answered: Answer{Code: ByLost}}}
	if r := leading(reasons); r == nil || r.Code != ProbeSoft {
		t.Errorf("leading: %+v, want probe-soft", r)
	}
	if r := leading(reasons[:1]); r != nil {
		t.Errorf("leading: %+v, want none", r)
	}
}

// TestCodesDeclared: every code that the source declares has its row, once, and every row but the reader's is declared: a
// new code is its constant, its row and its sentence.
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

// TestNothingKnownOfABay: a bay of which nothing was found out has no figure that could be taken for one.
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
