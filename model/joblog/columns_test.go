package joblog

import (
	"strings"
	"testing"
	"testing/fstest"

	"bayproof/model"
)

// TestAColumnIsOneRow adds a column to a copy of the table and touches nothing else: the reader
// knows its name, its unit and its slips of the pen, its cells are read and refused, and a row
// keeps it.
func TestAColumnIsOneRow(t *testing.T) {
	var tilt float64
	table := append(model.LogColumns(), model.Column[model.Entry]{Name: "tilt", Is: model.ColumnObservation,
		Figure: &model.Figure{Show: model.ShowSize, Max: 1}, Field: func(*model.Entry) any { return &tilt }, Meaning: "how far the bay leans"})
	read := func(log string) (*model.Job, []model.Fault) {
		r := newReader(fstest.MapFS{}, "", bagsOf25())
		r.columns = table
		plan := r.plan(log)
		if plan == nil {
			return nil, r.faults()
		}
		b := newBuilder(r, plan)
		job := b.build("", plan.sheet.lines, 0)
		return job, b.f.list
	}
	job, faults := read("section,bay,width,depth,length,bags,tilt_mm\nn,b1,22.5,5.5,12,2,12.5\n")
	if len(faults) > 0 || tilt != 0.0125 || job.Columns[6] != "tilt" || len(job.Warnings) > 0 {
		t.Errorf("read %v m, columns %v: %v", tilt, job.Columns, faults)
	}
	for log, want := range map[string]string{
		"section,bay,width,depth,length,bags,tilt\nn,b1,22.5,5.5,12,2,50\n": "2:7: tilt 50 is over 3.281 ft",
		"section,bay,width,depth,length,bags,tillt\nn,b1,22.5,5.5,12,2,5\n": "1:7: no column is called tillt",
		"section,bay,width,depth,length,bags,tilt_lb\nn,b1,22.5,5.5,12,2,5": "tilt_lb has lb, a unit of weight, not of length",
	} {
		if _, faults := read(log); !strings.Contains(told(faults), want) {
			t.Errorf("told %s, want %s", told(faults), want)
		}
	}
}
