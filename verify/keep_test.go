package verify_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"bayproof/model"
	"bayproof/verify"
)

// TestFindingsAreKept: findings are the caller's. What was found out about a job stays as it is
// whatever is checked after it, and what is found out does not depend on the jobs before.
func TestFindingsAreKept(t *testing.T) {
	short := "section,bay,entry,width,depth,length,bags,reach,stall,probe\n" +
		"north,b1,fill,22.5,5.5,12,1,9,no,\nnorth,b2,fill,22.5,5.5,12,3,11,yes,\nnorth,b2,closed,,,,,,,\nnorth,b1,strike,,,,,,,\n" +
		"south,b1,size,22.5,5.5,12,,,,\nsouth,b2,fill,22.5,\"\"\"\",12,shared,11,yes,\nsouth,b3,fill,22.5,5.5,9,4,8,yes,rod soft\n"
	jobs := []*model.Job{
		guardedJob(t, "", short),
		readJob(t, map[string]string{"job.csv": "name,value\nbag_weight,25 lb\nto_stall,yes\nbags_loaded,40\nbags_left,2\n", "bays.csv": short}), // rule process
		guardedJob(t, "", plainRows(40)),
		guardedJob(t, "", plainRows(3)),
	}
	var kept []*verify.Findings
	var said []string
	first := map[string]string{} // by job and options
	for _, k := range []int{0, 1, 2, 0, 3, 1, 3, 2, 0} {
		for _, opts := range []verify.Options{verify.All(), {}, {Closings: true}, {Closings: true, Codes: true}} {
			f := verify.Check(jobs[k], opts)
			kept, said = append(kept, f), append(said, told(f))
			key := fmt.Sprint(k, opts)
			if before, again := first[key]; again && told(f) != before {
				t.Errorf("job %s: at first\n%s\nthen\n%s", key, before, told(f))
			}
			first[key] = told(f)
		}
	}
	for i, f := range kept {
		if got := told(f); got != said[i] {
			t.Errorf("findings %d changed after they were given out\n%s\nthen\n%s", i, said[i], got)
		}
		if !strings.Contains(said[i], "Density") {
			t.Fatal("no findings to compare")
		}
	}
}

// told writes findings out: their numbers and advice in full, and the rows and bays that they point
// at by address.
func told(f *verify.Findings) string {
	all, further, advice := *f, make([]verify.Further, len(f.Bays)), make([]verify.Advice, len(f.Bays))
	all.Bays = slices.Clone(f.Bays)
	for i := range all.Bays {
		further[i], all.Bays[i].Further = *all.Bays[i].Further, nil
		if next := further[i].NextBay; next != nil {
			advice[i], further[i].NextBay = *next, nil
		}
	}
	return fmt.Sprintf("%+v %+v %+v", all, further, advice)
}
