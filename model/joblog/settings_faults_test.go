package joblog

import (
	"fmt"
	"strings"
	"testing"
)

// What is wrong with settings, all of it at once, each at its place.
func TestSettingFaults(t *testing.T) {
	const usual, why = "leave the aim out, or write ", ": by counting it takes 10 % over the target to prove it"
	tests := []struct {
		flags map[string]string
		lines string // of job.csv, | between
		want  string // place: what | hint, a line each
	}{
		{nil, "target,56", "job.csv:2: target 56 is over 20 lb/ft3 | write 56 kg/m3 if you meant that"},
		{nil, "units,si|target,3.5", "job.csv:3: target 3.5 is under 8.009 kg/m3 | write 3.5 lb/ft3 if you meant that"},
		{nil, "target,4|aim,3.9", "job.csv:2: aim 3.9 lb/ft3 (job.csv) is below target 4 lb/ft3 (job.csv) | " + usual + "4.4 lb/ft3" + why},
		{nil, "target,4.2", "job.csv:2: ceiling 4.5 lb/ft3 (default) is below aim 4.62 lb/ft3 (default) | write a ceiling too: 5.4 lb/ft3, some 29 % over the target, is common practice"},
		{map[string]string{"aim": "3"}, "", "--aim:0: aim 3 lb/ft3 (flag) is below target 3.5 lb/ft3 (default) | " + usual + "3.85 lb/ft3" + why},
		{nil, "aim,5", "job.csv:2: ceiling 4.5 lb/ft3 (default) is below aim 5 lb/ft3 (job.csv) | write a ceiling too: 4.5 lb/ft3, some 29 % over the target, is common practice"},
		{nil, "confidence,95", "job.csv:2: confidence 95 is over 100 % | write 95 % if you meant that"},
		{nil, "confidence,0.5", "job.csv:2: confidence 0.5 is not above 0.5 and below 1 | write 0.95, as is usual"},
		{nil, "confidence,100 %", "job.csv:2: confidence 1 is not above 0.5 and below 1 | write 0.95, as is usual"},
		{nil, "bag_within,1.5", "job.csv:2: bag_within 1.5 is over 20 % | write 1.5 % if you meant that"},
		{nil, "bag_weight,0", "job.csv:2: bag_weight 0 is zero | write what you measured, or leave the cell empty"},
		{nil, "bag_weight,NaN", "job.csv:2: bag_weight NaN is not a number | write what you measured, or leave the cell empty"},
		{nil, "bag_weight,25 in", "job.csv:2: bag_weight 25 in has in, a unit of length, not of weight | write lb, oz, kg or g"},
		{nil, "bag_step,1/5", "job.csv:2: bag_step 1/5 is in fifths, and nobody can tell those apart on a bag | format the column as text, or write a decimal: 0.2"},
		{nil, "bag_step,2", "job.csv:2: bag_step 2 is over 1 | check the number and its unit"},
		{nil, "rule,guard", "job.csv:2: rule guard is not one of its words | write guarded"},
		{nil, "counting,eyes", "job.csv:2: counting eyes is not one of its words | write ends, fresh or running"},
		{nil, "units,metric", "job.csv:2: units metric is not one of its words | write us or si"},
		{nil, "date,3/2/2026", "job.csv:2: date 3/2/2026 is not a day as year-month-day | write 2026-03-02, and format the cell as text"},
		{nil, "bags_loaded,20|bags_left,21", "job.csv:3: bags_left 21 is more than bags_loaded 20 | count both again"},
		{nil, "bag_checks,25; 26|bag_tare,11", "job.csv:2: bag_checks average 14.5 lb and bag_weight says 25 lb | check their units, lb or kg"},
		{nil, "bag_checks,11.4; 11.5", "job.csv:2: bag_checks average 11.45 lb and bag_weight says 25 lb | check their units, lb or kg"},
		{nil, "bag_checks,2.5; 2.5|bag_tare,3", "job.csv:3: bag_checks less bag_tare leaves -0.5 lb | weigh an empty wrapper again"},
		{nil, "throw,1|throw,2", "job.csv:3: throw is given twice, first in row 2 | keep one of the two rows"},
		{nil, "width_within,8 ft", "job.csv:2: width_within 8 ft is over 1 ft | write 8 mm if you meant that"},
		{map[string]string{"target": "wide"}, "", "--target:0: target wide is not a number | write a number as 3.5, or with a unit 3.5 lb/ft3"},
		{map[string]string{"throw": "2"}, "throw,x", "job.csv:2: throw x is not a number | write what you measured, or leave the cell empty"},
		{nil, "target,x|rule,guard", "job.csv:2: target x is not a number | write what you measured, or leave the cell empty\njob.csv:3: rule guard is not one of its words | write guarded"},
	}
	for _, test := range tests {
		lines := strings.Split(test.lines, "|")
		if strings.HasPrefix(test.lines, "bag_checks") {
			lines = append(lines, "bag_weight,25")
		}
		_, faults := resolve(t, test.flags, lines...)
		var got []string
		for _, f := range faults {
			got = append(got, fmt.Sprintf("%s:%d: %s | %s", f.Src.File, f.Src.Line, f.What, f.Hint))
		}
		if joined := strings.Join(got, "\n"); joined != test.want {
			t.Errorf("%v %q\n got %s\nwant %s", test.flags, test.lines, joined, test.want)
		}
	}
}

// A flag that is bad in every system is a fault of the flags alone; one that is bad in a job's
// units is one of the job's.
func TestFlagFaultsAreSaidOnce(t *testing.T) {
	r, faults := NewResolver(map[string]string{"target": "56 lb", "aim": "60"})
	if len(faults) != 1 || faults[0].Src.File != "--target" {
		t.Errorf("%+v", faults)
	}
	_, us := r.Job("a", nil)
	if len(us) != 1 || us[0].Src.File != "--aim" {
		t.Errorf("%+v", us)
	}
	_, si := r.Job("b", given("units,si", "ceiling,70"))
	if len(si) != 0 {
		t.Errorf("%+v", si)
	}
}

func TestMaterialNeedsTarget(t *testing.T) {
	for material, refused := range map[string]bool{
		"cellulose": false, "": false, "loose-fill cellulose": false, "wood fibre": false,
		"mineral wool": true, "Stone Wool": true, "blown fiberglass": true, "damp-sprayed cellulose": true, "Cellulose, wet spray": true,
	} {
		_, faults := resolve(t, nil, "material,"+material)
		if (len(faults) == 1 && strings.Contains(faults[0].What, "has no default target")) != refused || len(faults) > 1 {
			t.Errorf("%s: %+v", material, faults)
		}
		if _, faults = resolve(t, nil, "material,"+material, "target,3.5"); len(faults) > 0 {
			t.Errorf("%s with a target: %+v", material, faults)
		}
	}
}

// A section's own bounds are judged with the job's; what is wrong with the job is not said again
// for every section.
func TestSectionBounds(t *testing.T) {
	r, _ := NewResolver(nil)
	job, _ := r.Job("folder", given("aim,3.9"))
	if _, faults := r.Section(job, given("target,4")); len(faults) != 1 || !strings.Contains(faults[0].What, "is below target 4 lb/ft3 (sections.csv)") {
		t.Errorf("%+v", faults)
	}
	job, faults := r.Job("folder", given("target,4.2"))
	if len(faults) != 1 {
		t.Errorf("an aim of a tenth over 4.2 is above the ceiling: %+v", faults)
	}
	if _, faults := r.Section(job, given("throw,2")); len(faults) != 0 {
		t.Errorf("the job's fault is repeated: %+v", faults)
	}
}
