package verify_test

import (
	"fmt"
	"math"
	"testing"
	"testing/fstest"

	"bayproof/model"
	"bayproof/model/joblog"
)

// readJob reads a job as the command does: settings as the text of job.csv, bays as that of
// bays.csv.
func readJob(t testing.TB, files map[string]string) *model.Job {
	t.Helper()
	fsys := fstest.MapFS{}
	for name, text := range files {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	job, faults := joblog.Read(fsys, "bays.csv", joblog.Options{})
	for _, f := range faults {
		t.Errorf("%s:%d:%d: %s (%s)", f.Src.File, f.Src.Line, f.Src.Col, f.What, f.Hint)
	}
	if len(faults) > 0 {
		t.FailNow()
	}
	return job
}

// guardedJob is a job of these rows under rule guarded, 25 lb bags.
func guardedJob(t testing.TB, settings, rows string) *model.Job {
	t.Helper()
	return readJob(t, map[string]string{
		"job.csv":  "name,value\nrule,guarded\nbag_weight,25 lb\nto_stall,yes\n" + settings,
		"bays.csv": rows,
	})
}

// plainRows are n bays of 22½ × 5½ in with counts that suit their volumes at 3.85 lb/ft³.
func plainRows(n int) string {
	rows := "section,bay,width,depth,length,bags,reach,stall,hole,by,note\n"
	for i := range n {
		length := []float64{9, 12, 12, 15}[i%4]
		bags := math.Round(3.85*22.5*5.5*length/144/25*4+0.3*float64(i%5-2)) / 4
		rows += fmt.Sprintf("north,b%d,22.5,5.5,%g,%g,%g,yes,0,jd,\n", i+1, length, bags, length-0.5)
	}
	return rows
}

// faultsOf reads files that are at fault, and returns what is told.
func faultsOf(files map[string]string) (told []string) {
	fsys := fstest.MapFS{}
	for name, text := range files {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	_, faults := joblog.Read(fsys, "bays.csv", joblog.Options{})
	for _, f := range faults {
		told = append(told, f.What)
	}
	return told
}
