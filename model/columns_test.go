package model

import (
	"reflect"
	"strings"
	"testing"
)

// TestFieldsOfColumns: what a row says has one place, and no field of an entry, a section or a core
// is filled by hand beside the table but those that the log's order, or other rows, decide.
func TestFieldsOfColumns(t *testing.T) {
	fieldsOf(t, LogColumns(), Entry{}, "Src", "Index", "Withdrawn", "Cells", "Size.Less", "Size.Src")
	fieldsOf(t, SectionColumns(), Section{}, "Listed", "Settings", "Src", "Typical.Less", "Typical.Width2", "Typical.Depth2", "Typical.Length2",
		"Typical.Bulge", "Typical.Src")
	fieldsOf(t, CoreColumns(), Core{}, "Src")
}

// fieldsOf checks a table against the type that it fills. A field that is a Piece is looked into.
func fieldsOf[T any](t *testing.T, table []Column[T], row T, others ...string) {
	t.Helper()
	filled := map[uintptr]string{}
	for _, c := range table {
		if c.Meaning == "" {
			t.Errorf("%s has no meaning", c.Name)
		}
		if c.Field == nil {
			continue
		}
		at := reflect.ValueOf(c.Field(&row)).Pointer()
		if before := filled[at]; before != "" && c.Is != ColumnMaterial {
			t.Errorf("%s fills the field of %s", c.Name, before)
		}
		filled[at] = c.Name
	}
	free := map[string]bool{}
	for _, name := range others {
		free[name] = true
	}
	var walk func(v reflect.Value, prefix string)
	walk = func(v reflect.Value, prefix string) {
		for i := range v.NumField() {
			name, f := prefix+v.Type().Field(i).Name, v.Field(i)
			switch {
			case f.Type() == reflect.TypeFor[Piece]():
				walk(f, name+".")
			case filled[f.Addr().Pointer()] == "" && !free[name]:
				t.Errorf("no column fills %T.%s", row, name)
			}
		}
	}
	walk(reflect.ValueOf(&row).Elem(), "")
}

// TestSaid: an empty row says nothing in any column that an entry may be refused for, and each
// figure says something.
func TestSaid(t *testing.T) {
	for _, c := range LogColumns() {
		e := BlankRow(LogColumns())
		if c.Is < ColumnSize {
			continue
		}
		if c.Said(&e) {
			t.Errorf("%s is said of a row without cells", c.Name)
		}
		switch p := c.Field(&e).(type) {
		case *float64:
			*p = 0
		case *[]float64:
			*p = []float64{0}
		case *Reading:
			p.State = Ditto
		case *Material:
			p.Kind = map[string]MaterialKind{"bags": MaterialBags, "counter": MaterialCounter, "weight": MaterialWeight}[c.Name]
		case *[]Stop:
			*p = []Stop{{}}
		case *string:
			*p = "x"
		case *Look:
			p.Probe = HandSoft
		case *Feed:
			p.Shared = true
		default:
			reflect.ValueOf(p).Elem().SetUint(1)
		}
		if !c.Said(&e) {
			t.Errorf("%s is not said", c.Name)
		}
	}
}

// The words are typed from the format of the log; every one reads back as itself, in any case.
func TestWordsReadBack(t *testing.T) {
	for i, w := range strings.Fields("size fill piece less topup lost seen closed decided amend strike leave empties elsewhere count set") {
		k := EntryKind(i)
		if got, ok := ParseEntryKind(" " + strings.ToUpper(w) + " "); k.String() != w || !ok || got != k {
			t.Errorf("entry %s: %s, %v %v", w, k, got, ok)
		}
	}
	for i, w := range strings.Fields("box taper wedge round") {
		s := ShapeBox + Shape(i)
		if got, ok := ParseShape(w); s.String() != w || !ok || got != s {
			t.Errorf("shape %s: %s, %v %v", w, s, got, ok)
		}
	}
	for i, w := range strings.Split("rod firm,rod soft,rod empty,hand firm,hand soft,smoke still,smoke moves,ir even,ir cold", ",") {
		p := RodFirm + Probe(i)
		if got, ok := ParseProbe(strings.Replace(w, " ", "\u00a0 ", 1)); p.String() != w || !ok || got != p {
			t.Errorf("probe %s: %s, %v %v", w, p, got, ok)
		}
	}
	for i, w := range strings.Fields("ends fresh running") {
		c := CountingEnds + Counting(i)
		if got, ok := ParseCounting(w); c.String() != w || !ok || got != c {
			t.Errorf("counting %s: %s, %v %v", w, c, got, ok)
		}
	}
	if US.String() != "us" || SI.String() != "si" || RuleProcess.String() != "process" || RuleGuarded.String() != "guarded" || Yes.String() != "yes" || No.String() != "no" {
		t.Error("us si process guarded yes no")
	}
	var (
		s Shape
		p Probe
		a Answer
		c Counting
	)
	if s.String()+p.String()+a.String()+c.String() != "" {
		t.Error("what was not said has a word")
	}
}

func TestUnknownWords(t *testing.T) {
	_, entry := ParseEntryKind("filled")
	_, shape := ParseShape("")
	_, probe := ParseProbe("rod")
	_, answer := ParseAnswer("maybe")
	_, system := ParseSystem("metric")
	_, rule := ParseRule("none")
	_, counting := ParseCounting("")
	if entry || shape || probe || answer || system || rule || counting {
		t.Error("a word that is none is read")
	}
}
