package model

import (
	"reflect"
	"strings"
	"testing"
)

// The table and the struct hold the same: every field of Settings but where values come from and
// how they were written is the field of one row, and of one only, so that a new setting cannot be
// forgotten in either.
func TestSettingTable(t *testing.T) {
	var s Settings
	rows := map[any]string{}
	names := map[string]bool{}
	places := map[int]string{}
	for _, d := range SettingDefs() {
		if other, ok := rows[d.Field(&s)]; ok {
			t.Errorf("%s and %s are one field", d.Name, other)
		}
		rows[d.Field(&s)] = d.Name
		if names[d.Name] || d.Name != strings.ToLower(d.Name) || strings.ContainsAny(d.Name, " -") {
			t.Errorf("setting %s: twice, or no name of the format", d.Name)
		}
		names[d.Name] = true
		if other := places[d.BySection]; d.BySection != 0 && other != "" {
			t.Errorf("%s and %s have one place among the columns of sections.csv", d.Name, other)
		}
		places[d.BySection] = d.Name
		if d.Meaning == "" || strings.HasSuffix(d.Meaning, ".") {
			t.Errorf("%s: meaning %q", d.Name, d.Meaning)
		}
		if number := d.Kind >= SettingCount; d.Max < d.Min || !number && (d.Min != 0 || d.Max != 0 || d.Zero) {
			t.Errorf("%s: a range of %v to %v, zero %v", d.Name, d.Min, d.Max, d.Zero)
		}
		if d.OneJob && d.BySection != 0 {
			t.Errorf("%s belongs to one job, and to a section", d.Name)
		}
	}
	v := reflect.ValueOf(&s).Elem()
	for i := range v.NumField() {
		name := v.Type().Field(i).Name
		if _, ok := rows[v.Field(i).Addr().Interface()]; !ok && name != "From" && name != "Raw" && name != "Overruled" {
			t.Errorf("the field %s has no row", name)
		}
	}
}

// The settings that a section may override, and the facts that verdicts rest on, as the format has
// them.
func TestSettingsOfSections(t *testing.T) {
	sections, facts := map[int]string{}, ""
	for _, d := range SettingDefs() {
		if d.BySection > 0 {
			sections[d.BySection] = d.Name
		}
		if d.Bears == BearsFact {
			facts += d.Name + " "
		}
	}
	for i, name := range strings.Fields("target aim ceiling bag_step counting throw weigh_within width_within depth_within length_within") {
		if sections[i+1] != name {
			t.Errorf("column %d of a section's settings is %s, in the format %s", i+1, sections[i+1], name)
		}
	}
	if facts != "units to_stall bag_weight bag_checks depth_checks " {
		t.Errorf("facts that verdicts rest on: %s", facts)
	}
}

// Each setting takes what its kind says, and nothing else.
func TestSettingKinds(t *testing.T) {
	var s Settings
	for _, d := range SettingDefs() {
		p := d.Field(&s)
		switch d.Kind {
		case SettingText, SettingDate:
			if !d.SetWord(&s, "x") {
				t.Errorf("%s takes no text", d.Name)
			}
		case SettingWord:
			for _, w := range d.Choices {
				if !d.SetWord(&s, w) {
					t.Errorf("%s takes no %s", d.Name, w)
				} else if got, _ := d.Word(&s); got != w {
					t.Errorf("%s set to %s is %s", d.Name, w, got)
				}
			}
			if d.SetWord(&s, "nothing of the kind") {
				t.Errorf("%s takes anything", d.Name)
			}
		case SettingWeights, SettingDifferences:
			if _, ok := p.(*[]float64); !ok {
				t.Errorf("%s is no list", d.Name)
			}
		default:
			if _, ok := d.Number(&s); !ok {
				t.Errorf("%s is no number", d.Name)
			}
		}
	}
}

func TestFlag(t *testing.T) {
	d, _ := findSetting(SettingDefs(), "bag_weight")
	if d.Flag() != "bag-weight" {
		t.Error(d.Flag())
	}
}

// findSetting returns the definition of a name.
func findSetting(defs []SettingDef, name string) (SettingDef, bool) {
	for _, d := range defs {
		if d.Name == name {
			return d, true
		}
	}
	return SettingDef{}, false
}
