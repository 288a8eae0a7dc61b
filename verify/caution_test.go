package verify_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
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
		{"wall", wall, "cellulose", []verify.Code{"jam", "dust", "static", "wet", "drill", "flue", "lead", "face", "label"}, []verify.Code{"roof-edge", "heat", "crawl-space", "vent-space", "unvented"}},
		{"rafter, nothing said", rafter, "cellulose", []verify.Code{"roof-edge", "heat", "vent-space", "unvented"}, []verify.Code{"crawl-space"}},
		{"floor", &model.Section{Kind: "floor"}, "cellulose", []verify.Code{"heat", "crawl-space"}, []verify.Code{"roof-edge", "vent-space", "unvented"}},
		{"knee wall", &model.Section{Kind: "knee wall"}, "cellulose", []verify.Code{"heat"}, []verify.Code{"crawl-space"}},
		{"vented rafter", vented, "cellulose", []verify.Code{"vent-space"}, []verify.Code{"unvented"}},
		{"unvented rafter", unvented, "cellulose", []verify.Code{"unvented", "roof-edge"}, []verify.Code{"vent-space"}},
		{"no kind said", unsaid, "cellulose", []verify.Code{"roof-edge", "heat", "crawl-space", "vent-space", "unvented"}, nil},
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
	if len(all) < 22 {
		t.Errorf("only %d cautions", len(all))
	}
}

// What a caution must say, and what it must not: each of these once stood otherwise, or nowhere.
func TestCautionsSayWhatHolds(t *testing.T) {
	all := map[verify.Code]verify.Caution{}
	for _, c := range verify.Cautions(&model.Job{Sections: []*model.Section{{}}, Settings: model.Settings{Material: "cellulose"}}) {
		all[c.Code] = c
	}
	for _, tt := range []struct {
		code verify.Code
		says []string
	}{
		{"combustion", []string{"before the work", "every day before leaving", "after the house is tightened"}},
		{"lead", []string{"certified renovator", "lead-safe", "1978"}},
		{"dust", []string{"N95 or better"}},
		{"drill", []string{"Wires and pipes", "voltage tester", "GFCI", "Not sure? Don't drill"}},
		{"heat", []string{"water", "time limit"}},
		{"crawl-space", []string{"Crawl space", "second person"}},
		{"static", []string{"hose", "ladder"}},
		{"wet", []string{"framing", "material"}},
		{"flue", []string{"do not fill that bay", "listed clearance", "appliance off"}},
		{"face", []string{"Someone inside"}},
	} {
		c := all[tt.code]
		for _, say := range tt.says {
			if text := c.LookFor + ": " + c.Text; !strings.Contains(text, say) {
				t.Errorf("%s does not say %q: %s", tt.code, say, text)
			}
		}
	}
	// 29 CFR 1910.147 leaves construction out of its scope.
	for _, c := range all {
		if strings.Contains(c.Source, "1910.147") {
			t.Errorf("%s rests on %s", c.Code, c.Source)
		}
	}
	// What may be in the house is looked for; nothing states that it is there or that it is not.
	for _, code := range []verify.Code{"knob-and-tube", "flue", "lead", "asbestos", "vermiculite", "wet", "lights"} {
		if all[code].LookFor == "" {
			t.Errorf("%s is stated, not looked for", code)
		}
	}
	for _, code := range []verify.Code{"jam", "dust", "static", "combustion"} {
		if all[code].LookFor != "" {
			t.Errorf("%s is looked for", code)
		}
	}
}

// A depth that is a rafter's whole depth, beside a vent space, has the channel in it: PS 20 dressed
// 3½, 5½, 7¼, 9¼, 11¼ in, full-sawn 4, 6, 8, 10, 12 in. From the cell to the warning; a tape reads
// such a depth to a sixteenth.
func TestDepthOfAVentedBay(t *testing.T) {
	warned := func(units, vent, typical string, depths ...string) (bays, depth float64, ok bool) {
		rows := "section,bay,width,depth,length,weight\n"
		for i, d := range depths {
			rows += fmt.Sprintf("north,b%d,22.5 in,%s,12 ft,30 lb\n", i+1, d)
		}
		job := readJob(t, map[string]string{
			"job.csv":      "name,value\nrule,guarded\nbag_weight,25 lb\nto_stall,yes\nunits," + units + "\n",
			"sections.csv": "section,kind,depth,vent_space\nnorth,rafter," + typical + "," + vent + "\n",
			"bays.csv":     rows,
		})
		for _, w := range verify.Check(job, verify.Options{}).Warnings {
			if w.Code == verify.VentInDepth && w.Section == "north" {
				return w.Data[1].Value, w.Data[0].Value, true
			}
		}
		return 0, 0, false
	}
	for _, d := range []string{"3 1/2", "5 1/2", "7 1/4", "9 1/4", "11 1/4", "4", "6", "8", "10", "12"} {
		if n, _, ok := warned("us", "yes", "", d, "5", d+"; "+d); !ok || n != 2 {
			t.Errorf("depth %s: warned %v of %v bays, want 2", d, ok, n)
		}
		for _, vent := range []string{"no", ""} {
			if _, _, ok := warned("us", vent, d, d); ok {
				t.Errorf("depth %s, vent_space %q: warned", d, vent)
			}
		}
	}
	if n, d, ok := warned("us", "yes", "", "5 9/16"); !ok || n != 1 || math.Abs(d-5.5*model.Inch) > 1e-12 {
		t.Errorf("5 9/16: %v, %v bays, %v m", ok, n, d)
	}
	if _, _, ok := warned("us", "yes", "", "5", "5 1/8; 5", "5 1/2"); ok {
		t.Error("one bay of three hits a rafter's depth: warned")
	}
	if _, _, ok := warned("us", "yes", "", "4 1/2", "5", "5 5/8", "6 1/4", "7"); ok {
		t.Error("depths less a channel: warned")
	}
	if n, _, ok := warned("us", "yes", "5 1/2", "5"); !ok || n != 0 {
		t.Errorf("the typical depth is a rafter's: warned %v of %v bays", ok, n)
	}
	if _, _, ok := warned("si", "yes", "", "140"); !ok { // 140 mm is 5½ in
		t.Error("140 mm: not warned")
	}
}
