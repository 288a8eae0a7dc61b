package joblog

import (
	"math"
	"strings"
	"testing"

	"bayproof/model"
)

// given makes the rows of a job.csv from lines "name,value".
func given(lines ...string) []Given {
	var out []Given
	for i, line := range lines {
		name, text, _ := strings.Cut(line, ",")
		out = append(out, Given{Name: name, Text: text, Src: model.Place{Source: model.Source{File: "job.csv", Line: i + 2, Col: 2}, Row: i + 2}})
	}
	return out
}

func resolve(t *testing.T, flags map[string]string, lines ...string) (model.Settings, []model.Fault) {
	t.Helper()
	r, faults := NewResolver(flags)
	s, more := r.Job("folder", given(lines...))
	return s, append(faults, more...)
}

// The defaults of the format, turned into SI by hand: 1 lb/ft³ = 16.018463373960138 kg/m³, 1 in =
// 0.0254 m, 1 lb = 0.45359237 kg.
func TestDefaults(t *testing.T) {
	for _, units := range []string{"us", "si"} {
		s, faults := resolve(t, nil, "units,"+units)
		if len(faults) > 0 {
			t.Fatalf("%+v", faults)
		}
		for name, c := range map[string][2]float64{
			"target": {s.Target, 3.5 * 16.018463373960138}, "aim": {s.Aim, 3.85 * 16.018463373960138}, "ceiling": {s.Ceiling, 4.5 * 16.018463373960138},
			"confidence": {s.Confidence, .95}, "bag_within": {s.BagWithin, .015}, "bag_step": {s.BagStep, .25}, "weigh_within": {s.WeighWithin, .45359237},
			"width_within": {s.WidthWithin, .003175}, "depth_within": {s.DepthWithin, .00635}, "length_within": {s.LengthWithin, .0127},
			"throw": {s.Throw, .3048}, "spill": {s.Spill, 0}, "bag_tare": {s.BagTare, 0},
			"bag_weight": {s.BagWeight, math.NaN()}, "bags_loaded": {s.BagsLoaded, math.NaN()}, "bags_left": {s.BagsLeft, math.NaN()},
			"blower_pressure": {s.BlowerPressure, math.NaN()}, "cfm50_before": {s.CFM50Before, math.NaN()},
		} {
			if got, want := c[0], c[1]; math.Abs(got-want) > 1e-13 || math.IsNaN(got) != math.IsNaN(want) {
				t.Errorf("%s, %s: %v, want %v", units, name, got, want)
			}
		}
		if s.Job != "folder" || s.Material != "cellulose" || s.Rule != model.RuleProcess || s.Counting != model.CountingUnsaid || s.Units.String() != units {
			t.Errorf("%+v", s)
		}
	}
}

// An aim that nobody gave is 1.1 of the target, whoever gave that; one that somebody gave stays.
func TestAimFollowsTheTarget(t *testing.T) {
	const pcf = 16.018463373960138
	for _, c := range []struct {
		flags        map[string]string
		job, section string
		want         [2]float64 // lb/ft³, of the job and of the section
	}{
		{nil, "crew,A", "throw,2", [2]float64{3.85, 3.85}},
		{nil, "target,3.6", "throw,2", [2]float64{3.96, 3.96}},
		{nil, "target,3.6", "target,3.8", [2]float64{3.96, 4.18}},
		{nil, "target,3.6", "aim,3.7", [2]float64{3.96, 3.7}},
		{nil, "aim,3.9", "target,3.8", [2]float64{3.9, 3.9}},
		{map[string]string{"target": "3.4"}, "target,3.6", "target,3.8", [2]float64{3.74, 3.74}},
		{map[string]string{"aim": "4"}, "target,3.6", "target,3.8", [2]float64{4, 4}},
	} {
		r, faults := NewResolver(c.flags)
		job, more := r.Job("folder", given(c.job))
		section, last := r.Section(job, given(c.section))
		if n := len(faults) + len(more) + len(last); n > 0 {
			t.Errorf("%v: %v %v %v", c, faults, more, last)
		}
		if math.Abs(job.Aim/pcf-c.want[0]) > 1e-12 || math.Abs(section.Aim/pcf-c.want[1]) > 1e-12 {
			t.Errorf("%v %s, %s: aims %v and %v", c.flags, c.job, c.section, job.Aim/pcf, section.Aim/pcf)
		}
	}
}

func TestPrecedence(t *testing.T) {
	r, faults := NewResolver(map[string]string{"bag-weight": "25 lb", "throw": "2 ft"})
	job, more := r.Job("folder", given("job,boathouse", "bag_weight,30 lb", "target,3.6", "throw,3", "date,2026-03-02"))
	section, evenMore := r.Section(job, given("target,3.65", "throw,4", "bag_step,1/8", "crew,skipped", "aim,"))
	if n := len(faults) + len(more) + len(evenMore); n > 0 {
		t.Fatalf("%v %v %v", faults, more, evenMore)
	}
	near := func(got, want float64) bool { return math.Abs(got-want) < 1e-12 }
	if !near(job.BagWeight, 25*.45359237) || !near(job.Throw, 2*.3048) || !near(section.Throw, 2*.3048) || job.Job != "boathouse" || job.Date != "2026-03-02" {
		t.Errorf("%+v", job)
	}
	if !near(job.Target, 3.6*model.PoundPerCubicFoot) || !near(section.Target, 3.65*model.PoundPerCubicFoot) || section.BagStep != .125 || job.BagStep != .25 {
		t.Errorf("job %v %v, section %v %v", job.Target, job.BagStep, section.Target, section.BagStep)
	}
	for name, want := range map[string]model.Origin{"bag_weight": model.OriginFlag, "target": model.OriginJob, "throw": model.OriginFlag, "aim": model.OriginDefault, "bag_step": model.OriginDefault} {
		if job.From[name] != want {
			t.Errorf("job: %s from %s", name, job.From[name])
		}
	}
	if section.From["target"] != model.OriginSection || section.From["throw"] != model.OriginFlag || section.Raw["target"] != "3.65" || job.Raw["target"] != "3.6" || section.Crew != "" {
		t.Errorf("section: %v %v", section.From, section.Raw)
	}
	other, _ := r.Job("next", nil)
	if other.Raw["target"] != "" || other.From["target"] != model.OriginDefault || other.Job != "next" {
		t.Errorf("a job leaves traces in the next: %+v", other)
	}
}

// The system of units decides what bare numbers mean, in flags too, wherever it stands.
func TestUnitsFirst(t *testing.T) {
	s, faults := resolve(t, map[string]string{"target": "57"}, "aim,60", "ceiling,70", "bag_weight,11.4", "width_within,3", "throw,0.3", "units,si")
	if len(faults) > 0 || s.Target != 57 || s.Aim != 60 || s.BagWeight != 11.4 || s.WidthWithin != .003 || s.Throw != .3 {
		t.Errorf("%+v %v", s, faults)
	}
	r, faults := NewResolver(map[string]string{"units": "si", "target": "57", "aim": "60", "ceiling": "70"})
	s, more := r.Job("folder", given("units,us", "bag_weight,11.4"))
	if len(faults)+len(more) > 0 || s.Units != model.SI || s.BagWeight != 11.4 {
		t.Errorf("%+v %v %v", s, faults, more)
	}
}

func TestLists(t *testing.T) {
	s, faults := resolve(t, nil, "bag_checks,25.3; 25.1; 25.2", "bag_tare,0.3", "bag_weight,25 lb")
	if len(faults) > 0 || len(s.BagChecks) != 3 || math.Abs(s.BagChecks[0]-25.3*.45359237) > 1e-12 || math.Abs(s.BagTare-.3*.45359237) > 1e-12 {
		t.Errorf("%v %v %v", s.BagChecks, s.BagTare, faults)
	}
}

// Resolving must not change what others share.
func TestManyJobsShareNothing(t *testing.T) {
	r, _ := NewResolver(nil)
	a, _ := r.Job("a", given("target,3.6"))
	b, _ := r.Job("b", given("crew,blue"))
	if b.Raw["target"] != "" || a.Raw["crew"] != "" || len(a.Raw) != 1 {
		t.Errorf("a %v, b %v", a.Raw, b.Raw)
	}
}

func BenchmarkJob(b *testing.B) {
	r, _ := NewResolver(map[string]string{"rule": "guarded"})
	rows := given("bag_weight,25 lb", "crew,blue", "date,2026-03-02")
	b.ReportAllocs()
	for b.Loop() {
		if _, faults := r.Job("job", rows); len(faults) > 0 {
			b.Fatal(faults)
		}
	}
}
