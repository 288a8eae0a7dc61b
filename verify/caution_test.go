package verify_test

import (
	"slices"
	"testing"

	"bayproof/model"
	"bayproof/verify"
)

func cautionCodes(job *model.Job) []verify.Code {
	var out []verify.Code
	for _, c := range verify.Cautions(job) {
		out = append(out, c.Code)
	}
	return out
}

// What is said depends on what the sections are; what nobody said is a reason to say it.
func TestCautionsThatApply(t *testing.T) {
	wall := &model.Section{Kind: "wall"}
	rafter := &model.Section{Kind: "rafter"}
	vented := &model.Section{Kind: "rafter", VentSpace: model.Yes}
	unvented := &model.Section{Kind: "Rafter", Unvented: model.Yes}
	unsaid := &model.Section{}
	for _, tt := range []struct {
		name     string
		section  *model.Section
		material string
		said     []verify.Code
		unsaid   []verify.Code
	}{
		{"wall", wall, "cellulose", []verify.Code{"jam", "dust", "lead", "face", "label"}, []verify.Code{"roof-edge", "vent-space", "unvented"}},
		{"rafter, nothing said", rafter, "cellulose", []verify.Code{"roof-edge", "vent-space", "unvented"}, nil},
		{"vented rafter", vented, "cellulose", []verify.Code{"vent-space"}, []verify.Code{"unvented"}},
		{"unvented rafter", unvented, "cellulose", []verify.Code{"unvented", "roof-edge"}, []verify.Code{"vent-space"}},
		{"no kind said", unsaid, "cellulose", []verify.Code{"roof-edge", "vent-space", "unvented"}, nil},
		{"another material", wall, "wood fibre", []verify.Code{"jam"}, []verify.Code{"label"}},
	} {
		job := &model.Job{Sections: []*model.Section{tt.section}, Settings: model.Settings{Material: tt.material}}
		got := cautionCodes(job)
		for _, c := range tt.said {
			if !slices.Contains(got, c) {
				t.Errorf("%s: %s is not said", tt.name, c)
			}
		}
		for _, c := range tt.unsaid {
			if slices.Contains(got, c) {
				t.Errorf("%s: %s is said", tt.name, c)
			}
		}
	}
}

// Every caution has a text, a source and a code of its own.
func TestCautionsHaveSources(t *testing.T) {
	all := verify.Cautions(&model.Job{Sections: []*model.Section{{}}, Settings: model.Settings{Material: "cellulose"}})
	seen := map[verify.Code]bool{}
	for _, c := range all {
		if c.Text == "" || c.Source == "" || c.Code == "" || seen[c.Code] {
			t.Errorf("%q: text %q, source %q", c.Code, c.Text, c.Source)
		}
		seen[c.Code] = true
	}
	if len(all) < 16 {
		t.Errorf("only %d cautions", len(all))
	}
}
