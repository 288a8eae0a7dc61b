package verify_test

import (
	"fmt"
	"strings"
	"testing"

	"bayproof/model"
	"bayproof/verify"
)

// What a checker says about a job does not depend on the jobs that it checked before: its memory is taken again, what
// stood in it is not.
func TestCheckerForgets(t *testing.T) {
	short := "section,bay,entry,width,depth,length,bags,reach,stall,probe\n" +
		"north,b1,fill,22.5,5.5,12,1,9,no,\nnorth,b2,fill,22.5,5.5,12,3,11,yes,\nnorth,b2,closed,,,,,,,\nnorth,b1,strike,,,,,,,\n" +
		"south,b1,size,22.5,5.5,12,,,,\nsouth,b2,fill,22.5,\"\"\"\",12,shared,11,yes,\nsouth,b3,fill,22.5,5.5,9,4,8,yes,rod soft\n"
	jobs := []*model.Job{
		guardedJob(t, "", short),
		readJob(t, map[string]string{"job.csv": "name,value\nbag_weight,25 lb\nbags_loaded,40\nbags_left,2\n", "bays.csv": short}), // rule process
		guardedJob(t, "", plainRows(40)),
		guardedJob(t, "", plainRows(3)),
	}
	var used verify.Checker
	for _, k := range []int{0, 1, 2, 0, 3, 1, 3, 2, 0} {
		for _, opts := range []verify.Options{verify.All(), {}, {Closings: true}} {
			want, got := told(verify.Check(jobs[k], opts)), told(used.Check(jobs[k], opts))
			if got != want {
				t.Fatalf("job %d, %+v: used again\n%s\nfresh\n%s", k, opts, got, want)
			}
			if !strings.Contains(want, "Density") {
				t.Fatal("no findings to compare")
			}
		}
	}
}

// told writes findings out: their numbers in full, and the rows and bays that they point at by address.
func told(f *verify.Findings) string { return fmt.Sprintf("%+v", *f) }
