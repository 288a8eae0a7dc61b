package joblog

import (
	"strings"
	"testing"
)

// withinJob is a job of two bays, 5 1/2 in deep, with what the files are to say besides.
func withinJob(settings, sections, rows string) string {
	texts := map[string]string{
		"job.csv":  "name,value\n" + settings,
		"bays.csv": "section,bay,entry,shape,width,depth,depth2,length,weight\nA,b1,,,14.5,7,,12,25\nA,b2,,,14.5,5.5,,12,25\n" + rows,
	}
	if sections != "" {
		texts["sections.csv"] = sections
	}
	_, faults := Read(files(texts), "", Options{})
	return told(faults)
}

// A _within setting that leaves nothing sure of a size is refused once a section, as the size's own
// ± is in its cell.
func TestWithinThatReachesZero(t *testing.T) {
	for _, c := range []struct{ settings, sections, rows, want string }{
		{"depth_checks,-6; -6; -6; -6; -6\n", "", "A,b3,,,14.5,5,,12,25\n", "bays.csv:4:6: depth 5 in comes to nothing: depth_checks correct it by -6 in"},
		{"depth_within,6 in\n", "", "A,b3,,,14.5,5,,12,25\n", "bays.csv:3:6: depth 5.5 in is no more than its depth_within, 6 in (job.csv)"},
		{"depth_within,5.5 in\n", "", "", "bays.csv:3:6: depth 5.5 in is no more than its depth_within, 5.5 in (job.csv)"},
		{"width_within,12 in\n", "", "A,b3,,,14.5; 11,5.5,,12,25\n", "bays.csv:4:5: width 11 in is no more than its width_within, 12 in (job.csv)"},
		{"length_within,1 ft\n", "", "A,b3,,,14.5,5.5,,1,25\n", "bays.csv:4:8: length 12 in is no more than its length_within, 12 in (job.csv)"},
		{"", "section,depth_within\nA,6 in\n", "", "bays.csv:3:6: depth 5.5 in is no more than its depth_within, 6 in (sections.csv)"},
		{"depth_within,6 in\n", "section,depth\nA,\nB,5 in\n", "", "sections.csv:3:2: depth 5 in is no more than its depth_within, 6 in (job.csv)"},
		{"depth_within,6 in\n", "", "A,b3,,taper,14.5,5,6,12,25\n", "bays.csv:3:6: depth 5.5 in"},
	} {
		got := withinJob(c.settings, c.sections, c.rows)
		if !strings.Contains(got, c.want) {
			t.Errorf("%q %q %q: told\n%s\nwant\n%s", c.settings, c.sections, c.rows, got, c.want)
		}
	}
	if got := withinJob("depth_within,6 in\n", "", "A,b3,,,14.5,5,,12,25\n"); strings.Count(got, "is no more than") != 1 {
		t.Errorf("two bays of a section: told more than once:\n%s", got)
	}
}

// What the setting does not hold for, or does not empty, is let be.
func TestWithinThatHolds(t *testing.T) {
	for _, c := range []struct{ why, settings, sections, rows string }{
		{"narrower than every size", "depth_within,5 in\nwidth_within,6 in\nlength_within,6 in\n", "", ""},
		{"the cell has a ± of its own", "depth_within,5.2 in\n", "", "A,b3,,,14.5,5 +- 1/2,,12,25\n"},
		{"a ditto", "depth_within,5.2 in\n", "", "A,b3,,,14.5,\"\"\"\",,12,25\n"},
		{"a taper that runs out", "depth_within,3 in\n", "", "A,b3,,taper,14.5,7,1,12,25\nA,b4,,taper,14.5,1,7,12,25\n"},
		{"a strip taken away", "depth_within,1 in\n", "", "A,b2,less,,14.5,1/2,,12,\n"},
		{"a bay withdrawn", "depth_within,5.2 in\n", "", "A,b3,,,14.5,5,,12,25\nA,b3,strike,,,,,,\n"},
		{"a default, and a bay thinner than it", "", "", "A,b3,,,14.5,1/4,,12,1\n"},
		{"another section's", "", "section,depth_within\nB,6 in\nA,\n", ""},
	} {
		if got := withinJob(c.settings, c.sections, c.rows); got != "" {
			t.Errorf("%s: told\n%s", c.why, got)
		}
	}
}
