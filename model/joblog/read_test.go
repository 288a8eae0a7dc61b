package joblog

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"bayproof/model"
)

// files makes a job folder of texts.
func files(texts map[string]string) fstest.MapFS {
	fsys := fstest.MapFS{}
	for name, text := range texts {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	return fsys
}

// readLog reads a log by itself, with bags of 25 lb.
func readLog(log string) (*model.Job, []model.Fault) {
	return Read(files(map[string]string{"bays.csv": log}), "", Options{Name: "test", Flags: map[string]string{"bag_weight": "25 lb"}})
}

// mustRead reads a log that has no faults.
func mustRead(t *testing.T, log string) *model.Job {
	t.Helper()
	job, faults := readLog(log)
	if len(faults) > 0 {
		t.Fatalf("faults in\n%s\n%s", log, told(faults))
	}
	return job
}

// told writes faults as they are shown.
func told(faults []model.Fault) string {
	var b strings.Builder
	for _, f := range faults {
		fmt.Fprintf(&b, "%s:%d:%d: %s (%s)\n", f.Src.File, f.Src.Line, f.Src.Col, f.What, f.Hint)
	}
	return b.String()
}

// bay finds a bay of a job.
func bay(t *testing.T, job *model.Job, name string) *model.Bay {
	t.Helper()
	for _, b := range job.Bays {
		if b.Name == name {
			return b
		}
	}
	t.Fatalf("no bay %s", name)
	return nil
}

const head = "section,bay,entry,shape,width,width2,depth,depth2,length,length2,bulge,bags,counter,weight,reach,stall,probe,at,note,time\n"

// row writes a row of head: the first four cells, then name=value pairs.
func row(section, bay, entry string, pairs ...string) string {
	columns := strings.Split(strings.TrimSpace(head), ",")
	cells := make([]string, len(columns))
	cells[0], cells[1], cells[2] = section, bay, entry
	for _, p := range pairs {
		name, value, _ := strings.Cut(p, "=")
		found := false
		for i, c := range columns {
			if c == name {
				cells[i], found = value, true
			}
		}
		if !found {
			panic("no column " + name)
		}
	}
	return strings.Join(cells, ",") + "\n"
}

// box is the sizes of an ordinary bay.
func box() []string { return []string{"width=22.5", "depth=5.5", "length=12"} }

func with(pairs []string, more ...string) []string { return append(pairs, more...) }

// filled is a fill row of an ordinary bay.
func filled(name string, more ...string) string {
	return row("n", name, "fill", with(box(), more...)...)
}
