package model

import (
	"reflect"
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
