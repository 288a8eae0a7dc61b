package cmd_test

import (
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"bayproof/cmd/demo"
	"bayproof/model"
	"bayproof/model/joblog"
	"bayproof/verify"
)

// The demo shows everything once: every verdict, every kind of entry and of probe, a bay nobody
// logged, a bay closed though it was not CLOSE, an answered reason.
func TestDemoShowsEverything(t *testing.T) {
	t.Parallel()
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
		if entries[k] == restsOnNothing(k.String()) {
			t.Errorf("row %s: in the demo %v", k, entries[k])
		}
	}
	for p := model.RodFirm; p <= model.IRCold; p++ {
		if probes[p] == restsOnNothing(p.String()) {
			t.Errorf("probe %s: in the demo %v", p, probes[p])
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

// restsOnNothing tells of the words of the log that are read and kept, and that no verdict and no
// total rests on yet: the demo shows what the results show.
func restsOnNothing(word string) bool {
	return slices.Contains([]string{"decided", "leave", "empties", "elsewhere", "hand firm", "hand soft"}, word)
}

// A building inspector would wave the demo through: every roof says how it is ventilated, a vented
// depth is below its channel, an unvented roof has the air-impermeable insulation of IRC Table
// R806.5, a label's R belongs to the depth it stands beside (within the 10 % of the calculated
// one), a face that gives has its bulge, and nothing is blown into a bay with a flue or old wires.
func TestDemoIsSound(t *testing.T) {
	job, _ := joblog.Read(demo.Job(), "", joblog.Options{})
	f := verify.Check(job, verify.All())
	for _, w := range f.Warnings {
		if w.Code == verify.VentInDepth {
			t.Errorf("%s: %s", w.Section, w.Code)
		}
	}
	for _, c := range verify.DesignChecks(f) {
		s := c.Section
		vented, unvented := s.VentSpace == model.Yes, s.Unvented == model.Yes
		if s.Kind != "wall" && vented == unvented {
			t.Errorf("%s: vented %v, unvented %v", s.Name, vented, unvented)
		}
		if unvented && !(s.AirImpermeableR >= c.RequiredImpermeable) {
			t.Errorf("%s: R-%.1f air-impermeable, the table asks for R-%.1f", s.Name, s.AirImpermeableR/model.RValue, c.RequiredImpermeable/model.RValue)
		}
		if math.Abs(s.LabelR/c.R-1) > c.RWithin {
			t.Errorf("%s: the label says R-%.1f, its depth comes to R-%.1f", s.Name, s.LabelR/model.RValue, c.R/model.RValue)
		}
	}
	danger := regexp.MustCompile(`(?i)pipe|flue|chimney|knob|vermiculite|asbestos`)
	looked := 0
	for i := range job.Bays {
		for _, row := range job.Bays[i].Rows {
			if danger.MatchString(strings.Join(row.Cells, " ")) {
				looked++
				if job.Bays[i].Fill != nil {
					t.Errorf("%s is filled: %s", job.Bays[i].Name, row.Cells)
				}
			}
		}
	}
	if looked == 0 {
		t.Error("no bay of the demo is left open for what was found in it")
	}
}
