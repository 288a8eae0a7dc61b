package model

import (
	"strings"
	"testing"
)

// Typed from the table of job.csv. photo_place stands beside it.
const settingNames = "job site crew installer program work_order date material manufacturer product lot delivery units target aim ceiling " +
	"rule confidence counting bag_weight bag_within bag_checks bag_tare bag_step weigh_within width_within depth_within length_within throw spill " +
	"to_stall depth_checks lang bags_loaded bags_left blower_pressure cfm50_before cfm50_after photo_place"

func TestSettingNames(t *testing.T) {
	defs := SettingDefs()
	names := strings.Fields(settingNames)
	for _, name := range names {
		if _, ok := findSetting(defs, name); !ok {
			t.Errorf("no setting %s", name)
		}
	}
	if len(defs) != len(names) {
		t.Errorf("%d settings in the table, %d in the format", len(defs), len(names))
	}
	overrides := map[string]bool{}
	for _, name := range strings.Fields("target aim ceiling bag_step counting throw weigh_within width_within depth_within length_within") {
		overrides[name] = true
	}
	for _, d := range defs {
		if d.BySection != overrides[d.Name] {
			t.Errorf("%s: a section may override it: %v", d.Name, d.BySection)
		}
		if (d.Bears == BearsFact) != (d.Name == "units" || d.Name == "bag_weight" || d.Name == "bag_checks") {
			t.Errorf("%s: a fact that verdicts rest on: %v", d.Name, d.Bears == BearsFact)
		}
		if d.Meaning == "" || strings.HasSuffix(d.Meaning, ".") {
			t.Errorf("%s: meaning %q", d.Name, d.Meaning)
		}
	}
}

// No two settings share a field: what is set by one name is not seen by another.
func TestSettingFields(t *testing.T) {
	var s Settings
	fields := map[any]string{}
	for _, d := range SettingDefs() {
		p := d.Field(&s)
		if other, ok := fields[p]; ok {
			t.Errorf("%s and %s are one field", d.Name, other)
		}
		fields[p] = d.Name
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
		case SettingYesNo:
			if got, _ := d.Word(&s); got != d.Default || !d.SetWord(&s, "yes") {
				t.Errorf("%s: %s", d.Name, got)
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
