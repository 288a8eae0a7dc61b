package joblog

import (
	"fmt"
	"strings"
	"testing"
)

// What is wrong with settings, all of it at once, each at its place.
func TestSettingFaults(t *testing.T) {
	const usual = "leave the aim out, or give 10 % over the target, what it takes to show the target by counting: "
	tests := []struct {
		flags map[string]string
		lines string // of job.csv, | between
		want  string // place: what | hint, a line each
	}{
		{nil, "target,56", "job.csv:2: target 56: over 20 lb/ft3 | 56 kg/m3?"},
		{nil, "units,si|target,3.5", "job.csv:3: target 3.5: under 8.009 kg/m3 | 3.5 lb/ft3?"},
		{nil, "target,4|aim,3.9", "job.csv:2: aim 3.9 lb/ft3 (job.csv) is below target 4 lb/ft3 (job.csv) | " + usual + "4.4 lb/ft3"},
		{nil, "target,4.2", "job.csv:2: ceiling 4.5 lb/ft3 (default) is below aim 4.62 lb/ft3 (default) | give a ceiling too; common practice is some 29 % over the target: 5.4 lb/ft3"},
		{map[string]string{"aim": "3"}, "", "--aim:0: aim 3 lb/ft3 (flag) is below target 3.5 lb/ft3 (default) | " + usual + "3.85 lb/ft3"},
		{nil, "aim,5", "job.csv:2: ceiling 4.5 lb/ft3 (default) is below aim 5 lb/ft3 (job.csv) | give a ceiling too; common practice is some 29 % over the target: 4.5 lb/ft3"},
		{nil, "confidence,95", "job.csv:2: confidence 95: over 100 % | 95 %?"},
		{nil, "confidence,0.5", "job.csv:2: confidence 0.5 is not above 0.5 and below 1 | 0.95 is usual"},
		{nil, "confidence,100 %", "job.csv:2: confidence 1 is not above 0.5 and below 1 | 0.95 is usual"},
		{nil, "bag_within,1.5", "job.csv:2: bag_within 1.5: over 20 % | 1.5 %?"},
		{nil, "bag_weight,0", "job.csv:2: bag_weight 0: zero | write what was measured, or leave the cell empty"},
		{nil, "bag_weight,NaN", "job.csv:2: bag_weight NaN: not a number | write what was measured, or leave the cell empty"},
		{nil, "bag_weight,25 in", "job.csv:2: bag_weight 25 in: in is a unit of length, not of weight | known are lb, oz, kg, g"},
		{nil, "bag_step,1/5", "job.csv:2: bag_step 1/5: nobody tells a bag apart by fifths | format the column as text, or write a decimal: 0.2"},
		{nil, "bag_step,2", "job.csv:2: bag_step 2: over 1 | look at the number and its unit again"},
		{nil, "rule,guard", "job.csv:2: rule guard: a word that is not known here | guarded?"},
		{nil, "counting,eyes", "job.csv:2: counting eyes: a word that is not known here | known are ends, fresh, running"},
		{nil, "units,metric", "job.csv:2: units metric: a word that is not known here | known are us, si"},
		{nil, "date,3/2/2026", "job.csv:2: date 3/2/2026: not a day as year-month-day | write 2026-03-02, and format the cell as text"},
		{nil, "bags_loaded,20|bags_left,21", "job.csv:3: bags_left 21 is more than bags_loaded 20 | count both again"},
		{nil, "bag_checks,25; 26|bag_tare,11", "job.csv:2: bag_checks average 14.5 lb and bag_weight says 25 lb | look at their units, lb or kg"},
		{nil, "bag_checks,11.4; 11.5", "job.csv:2: bag_checks average 11.45 lb and bag_weight says 25 lb | look at their units, lb or kg"},
		{nil, "bag_checks,2.5; 2.5|bag_tare,3", "job.csv:3: bag_checks less bag_tare leaves -0.5 lb | weigh an empty wrapper again"},
		{nil, "throw,1|throw,2", "job.csv:3: throw is given twice, first in line 2 | keep one of the two rows"},
		{nil, "width_within,8 ft", "job.csv:2: width_within 8 ft: over 1 ft | 8 mm?"},
		{map[string]string{"target": "wide"}, "", "--target:0: target wide: wide is not a number | write a number as 3.5, or with a unit 3.5 lb/ft3"},
		{map[string]string{"throw": "2"}, "throw,x", "job.csv:2: throw x: not a number | write what was measured, or leave the cell empty"},
		{nil, "target,x|rule,guard", "job.csv:2: target x: not a number | write what was measured, or leave the cell empty\njob.csv:3: rule guard: a word that is not known here | guarded?"},
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

// A flag that is bad in every system is a fault of the flags alone; one that is bad in a job's units is one of the job's.
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

// A section's own bounds are judged with the job's; what is wrong with the job is not said again for every section.
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
