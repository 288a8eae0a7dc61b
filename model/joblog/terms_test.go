package joblog_test

import (
	"fmt"
	"testing"
	"testing/fstest"

	"bayproof/model"
	"bayproof/model/joblog"
)

// readUnder reads a job of one bay with these settings under terms.
func readUnder(t *testing.T, settings, sections string, terms *joblog.Terms) (*model.Job, []model.Fault) {
	t.Helper()
	files := fstest.MapFS{"job.csv": {Data: []byte("name,value\nbag_weight,25 lb\n" + settings)},
		"bays.csv": {Data: []byte("section,bay,width,depth,length,bags\nslope,b1,22.5,5.5,12,2\n")}}
	if sections != "" {
		files["sections.csv"] = &fstest.MapFile{Data: []byte(sections)}
	}
	return joblog.Read(files, "", joblog.Options{Terms: terms})
}

// TestTermsGovern: what the terms say holds against the job's own and the section's own, which are
// kept to be shown; an aim that does not go with them follows; a material without a published
// target keeps its own under defaults and not under a programme.
func TestTermsGovern(t *testing.T) {
	usual := (&joblog.Terms{}).Complete()
	programme, faults := joblog.ReadTerms("programme.csv", []byte("name,value\ntarget,3.6\nconfidence,0.9\nceiling,4.5\nrule,guarded\nask_photos,20 %\n"))
	if len(faults) > 0 || programme.Asks.Photos != 0.2 {
		t.Fatal(programme, faults)
	}
	const pcf = model.PoundPerCubicFoot
	for _, x := range []struct {
		name, settings, sections string
		terms                    *joblog.Terms
		target, confidence       float64
		overruled                []string // of the job and its section
		fault                    bool
	}{
		{"nothing said", "", "", usual, 3.5, 0.95, nil, false},
		{"the same said", "target,3.5\n", "", usual, 3.5, 0.95, nil, false},
		{"own mark", "target,3.0\naim,3.2\nconfidence,0.6\n", "", usual, 3.5, 0.95, []string{"target", "confidence"}, false},
		{"own mark of a section", "", "section,target\nslope,3.0\n", usual, 3.5, 0.95, []string{"target"}, false},
		{"a programme's", "target,3.0\nrule,process\n", "", programme, 3.6, 0.9, []string{"target", "rule"}, false},
		{"mineral fiber, own target", "material,mineral fibre\ntarget,2.5\naim,2.8\nceiling,4\n", "", usual, 2.5, 0.95, []string{"ceiling"}, false},
		{"mineral fiber, none", "material,mineral fibre\n", "", usual, 0, 0, nil, true},
		{"mineral fiber under a programme", "target,2.5\nmaterial,mineral fibre\n", "", programme, 3.6, 0.9, []string{"target"}, false},
		{"no number", "target,thick\n", "", usual, 0, 0, nil, true},
	} {
		job, faults := readUnder(t, x.settings, x.sections, x.terms)
		if (job == nil) != x.fault {
			t.Errorf("%s: %v", x.name, faults)
			continue
		}
		if job == nil {
			continue
		}
		s := &job.Sections[0].Settings
		if d := s.Target/pcf - x.target; d > 1e-9 || d < -1e-9 || s.Confidence != x.confidence || !(s.Aim >= s.Target && s.Aim <= s.Ceiling) {
			t.Errorf("%s: target %v, confidence %v, aim %v", x.name, s.Target/pcf, s.Confidence, s.Aim/pcf)
		}
		var names []string
		for _, o := range s.Overruled {
			names = append(names, o.Name)
		}
		if len(names) != len(x.overruled) {
			t.Errorf("%s: overruled %v, want %v", x.name, s.Overruled, x.overruled)
		}
		for i := range min(len(names), len(x.overruled)) {
			if names[i] != x.overruled[i] {
				t.Errorf("%s: overruled %v, want %v", x.name, names, x.overruled)
			}
		}
	}
}

// TestTermsInTheFolder: terms beside the log govern by themselves, in their own units whatever the
// job's; where others govern, they are the job's own word, as flags of its record are, and hold in
// what the others do not say.
func TestTermsInTheFolder(t *testing.T) {
	usual := (&joblog.Terms{}).Complete()
	const pcf = model.PoundPerCubicFoot
	for _, x := range []struct {
		name, settings, own string
		opt                 joblog.Options
		target, within      float64
		overruled           string
	}{
		{"by themselves", "target,3.0\n", "target,3.6\n", joblog.Options{}, 3.6, 0.015, "target 3 lb/ft³ for 3.6 lb/ft³"},
		{"in a metric job", "units,si\n", "target,3.6\n", joblog.Options{}, 3.6, 0.015, ""},
		{"metric themselves", "", "units,si\ntarget,60\n", joblog.Options{}, 60 / pcf, 0.015, ""},
		{"under others", "target,3.2\n", "target,3.0\nbag_within,3 %\n", joblog.Options{Terms: usual}, 3.5, 0.03, "target 3 lb/ft³ for 3.5 lb/ft³"},
		{"a record's flag under others", "", "target,3.0\n", joblog.Options{Terms: usual, Own: map[string]string{"target": "2.9"}}, 3.5, 0.015, "target 2.9 lb/ft³ for 3.5 lb/ft³"},
		{"a flag", "", "target,3.6\n", joblog.Options{Flags: map[string]string{"target": "3.7"}}, 3.7, 0.015, ""},
	} {
		files := fstest.MapFS{"job.csv": {Data: []byte("name,value\nbag_weight,25 lb\n" + x.settings)}, "programme.csv": {Data: []byte("name,value\n" + x.own)},
			"bays.csv": {Data: []byte("bay,width,depth,length,bags\nb1,22.5 in,5.5 in,12 ft,2\n")}}
		job, faults := joblog.Read(files, "", x.opt)
		if job == nil {
			t.Errorf("%s: %v", x.name, faults)
			continue
		}
		s, said := &job.Settings, ""
		for _, o := range s.Overruled {
			said += o.Name + " " + o.Own + " for " + o.Used
		}
		if d := s.Target/pcf - x.target; d > 1e-9 || d < -1e-9 || s.BagWithin != x.within || said != x.overruled || job.Terms == nil || len(job.Terms.SHA256) != 64 {
			t.Errorf("%s: target %v, within %v, %q, %+v", x.name, s.Target/pcf, s.BagWithin, said, job.Terms)
		}
	}
}

// TestTermsRefused: what a programme's file cannot mean is told with its place; nothing in it
// governs silently or not at all.
func TestTermsRefused(t *testing.T) {
	for text, want := range map[string]string{
		"name,value\ntraget,3.5\n":             "p.csv:2:1 no setting or ask is called traget",
		"name,value\ntarget,3.5\ntarget,3.6\n": "p.csv:3:1 target is given twice, first in row 2",
		"name,value\nask_photos,many\n":        "p.csv:2:2 ask_photos many is not a share",
		"name,value\nunits,ells\n":             "p.csv:2:2 units ells is not one of its words",
		"name,value\nbags_loaded,40\n":         "p.csv:2:1 bags_loaded is of one job alone: no program says it",
		"target,3.5\n":                         "p.csv:1:0 the first row names no column of p.csv",
	} {
		_, faults := joblog.ReadTerms("p.csv", []byte(text))
		got := ""
		for _, f := range faults {
			got += fmt.Sprintf("%s:%d:%d %s", f.Src.File, f.Src.Line, f.Src.Col, f.What)
		}
		if got != want {
			t.Errorf("%q: %q", text, got)
		}
	}
}

// TestFlagBeatsTerms: who types a flag means it.
func TestFlagBeatsTerms(t *testing.T) {
	st, faults := joblog.TermsOf(map[string]string{"target": "3"}, (&joblog.Terms{}).Complete())
	if d := st.Target - 3*model.PoundPerCubicFoot; len(faults) > 0 || d > 1e-9 || d < -1e-9 { // read in pounds a cubic foot
		t.Errorf("%v, target %v", faults, st.Target/model.PoundPerCubicFoot)
	}
}

// TestInspections reads an inspectors' file and refuses what says nothing.
func TestInspections(t *testing.T) {
	file := func(text string) ([]model.Inspection, []model.Fault) {
		return joblog.Inspections(fstest.MapFS{"inspections.csv": {Data: []byte(text)}}, "inspections.csv", false)
	}
	rows, faults := file("job,section,bay,inspector,date,method,found,density,empty\nmill,slope,b1,Kay,2026-06-01,opened,Not Opened,,\nmill,slope,b2,Kay,,core,,56 kg/m3,2'\n")
	if len(faults) > 0 || len(rows) != 2 {
		t.Fatalf("%v, %v", rows, faults)
	}
	if r := rows[0]; r.Found != model.FoundNotOpened || r.Found.Tells() || r.Job != "mill" || r.Bay != "b1" {
		t.Errorf("%+v", r)
	}
	if r := rows[1]; r.Density != 56 || r.Empty != 2*model.Foot || r.Found.Bad() || !r.Found.Tells() {
		t.Errorf("%+v", r)
	}
	for _, bad := range []string{
		"job,bay,found\nmill,b1,fine\n", "job,bay,found\nmill,b1,\n", "job,bay,found\n,b1,full\n", "job,bay,found\nmill,,full\n", "job,bay,date,found\nmill,b1,soon,full\n",
	} {
		if _, faults := file(bad); len(faults) == 0 {
			t.Errorf("%q is taken", bad)
		}
	}
	if rows, faults := joblog.Inspections(fstest.MapFS{}, "inspections.csv", false); rows != nil || faults != nil {
		t.Errorf("no file: %v, %v", rows, faults)
	}
}
