package joblog

import (
	"fmt"

	"bayproof/model"
	"bayproof/model/cell"
)

// set reads a setting's text into s; bare numbers are in the units of sys.
func set(s *model.Settings, d model.SettingDef, g Given, sys model.System) *model.Fault {
	var bad *cell.Refusal
	switch d.Kind {
	case model.SettingText:
		d.SetWord(s, cell.Text(g.Text))
	case model.SettingDate:
		bad = setDate(s, d, g.Text)
	case model.SettingWord:
		bad = setWord(s, d, g.Text)
	case model.SettingYesNo:
		if _, bad = cell.YesNo(d.Name, g.Text); bad == nil {
			d.SetWord(s, g.Text)
		}
	default:
		bad = setNumber(s, d, g, sys)
	}
	if bad == nil {
		return nil
	}
	fault := bad.Fault(g.Src)
	return &fault
}

// setDate keeps the day as it is written once it is one.
func setDate(s *model.Settings, d model.SettingDef, text string) *cell.Refusal {
	day, bad := cell.Date(d.Name, text)
	if bad == nil && !day.IsZero() {
		d.SetWord(s, day.Format("2006-01-02"))
	}
	return bad
}

// setWord takes one of the choices.
func setWord(s *model.Settings, d model.SettingDef, text string) *cell.Refusal {
	w, bad := cell.OneOf(d.Name, text, d.Choices)
	if bad == nil && w != "" {
		d.SetWord(s, w)
	}
	return bad
}

// setNumber takes a count, a share, a quantity or a list of weights.
func setNumber(s *model.Settings, d model.SettingDef, g Given, sys model.System) *cell.Refusal {
	form := SettingForm(d, sys, g.Comma)
	switch p := d.Field(s).(type) {
	case *float64:
		v, bad := form.Number(g.Text)
		if bad == nil {
			*p = v
		}
		return bad
	case *[]float64:
		v, _, bad := form.List(g.Text, nil)
		if bad == nil {
			*p = v
		}
		return bad
	}
	panic("a numeric setting without a number: " + d.Name)
}

// SettingForm says how a numeric setting's text is read in a job's system of units.
func SettingForm(d model.SettingDef, sys model.System, comma bool) cell.Form {
	f := cell.Form{Name: d.Name, Comma: comma, Zero: d.Zero, Min: d.Min, Max: d.Max}
	switch d.Kind {
	case model.SettingShare:
		f.Unit = model.Unit{Dimension: model.DimShare, Factor: 1}
		if f.Max == 0 {
			f.Max = 1
		}
	case model.SettingCount:
		f.Unit = model.Unit{Dimension: model.DimCount, Factor: 1}
	default:
		f.Unit = sys.Unit(d.Show)
	}
	return f
}

// twice answers with a fault where a name was given before.
func twice(before []Given, g Given) (model.Fault, bool) {
	for _, b := range before {
		if b.Name == g.Name && !cell.Blank(b.Text) {
			what := fmt.Sprintf("%s is given twice, first in line %d", g.Name, b.Src.Line)
			return model.Fault{Src: g.Src, What: what, Hint: "keep one of the two rows"}, true
		}
	}
	return model.Fault{}, false
}

// both keeps the faults of a whose flag has a fault in b too.
func both(a, b []model.Fault) []model.Fault {
	var out []model.Fault
	for _, f := range a {
		if has(b, f.Src) {
			out = append(out, f)
		}
	}
	return out
}

// without drops the faults of a whose flag has a fault in b.
func without(a, b []model.Fault) []model.Fault {
	var out []model.Fault
	for _, f := range a {
		if !has(b, f.Src) {
			out = append(out, f)
		}
	}
	return out
}

func has(faults []model.Fault, src model.Source) bool {
	for _, f := range faults {
		if f.Src == src {
			return true
		}
	}
	return false
}
