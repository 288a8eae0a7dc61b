package cmd_test

import (
	"testing"

	"bayproof/cmd/demo"
	"bayproof/model"
	"bayproof/model/joblog"
	"bayproof/verify"
)

// The demo shows everything once: every verdict, every kind of entry and of probe, a bay nobody logged, a bay closed
// though it was not CLOSE, an answered reason.
func TestDemoShowsEverything(t *testing.T) {
	job, faults := joblog.Read(demo.Job(), "", joblog.Options{})
	if len(faults) > 0 {
		t.Fatalf("the demo job has faults: %+v", faults)
	}
	f := verify.Check(job, verify.All())
	n := f.Totals
	for what, count := range map[string]int{"ADD": n.Add, "PROBE": n.Probe, "MEASURE": n.Measure, "CLOSE": n.Close, "not filled": n.NotFilled,
		"not in the log": n.NotInLog, "closed though not CLOSE": n.ClosedNotClose, "CLOSE with the crew's help": n.CloseCrew, "CLOSE by its own count": n.CloseOwn} {
		if count == 0 {
			t.Errorf("the demo has no bay that is %s", what)
		}
	}
	if n.Bays < 35 || n.Bays > 45 {
		t.Errorf("the demo has %d bays, want about 40", n.Bays)
	}
	entries, probes := map[model.EntryKind]bool{}, map[model.Probe]bool{}
	for i := range job.Log {
		entries[job.Log[i].Kind], probes[job.Log[i].Probe] = true, true
	}
	for k := model.EntrySize; k <= model.EntrySet; k++ {
		if !entries[k] {
			t.Errorf("the demo has no row %s", k)
		}
	}
	for p := model.RodFirm; p <= model.IRCold; p++ {
		if !probes[p] {
			t.Errorf("the demo has no probe %s", p)
		}
	}
	answered := false
	for i := range f.Bays {
		for _, r := range f.Bays[i].Reasons {
			answered = answered || r.IsAnswered()
		}
	}
	if !answered {
		t.Error("nothing in the demo answers a reason")
	}
}
