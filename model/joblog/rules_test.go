package joblog

import (
	"math"
	"strings"
	"testing"
	"time"

	"bayproof/model"
)

// near compares lengths and masses that went through one unit and back.
func near(a, b float64) bool { return math.Abs(a-b) <= 1e-12*math.Abs(b) }

// TestDittos: a blank and a ditto mark take the size of the bay above in the section, over bays
// without one.
func TestDittos(t *testing.T) {
	job := mustRead(t, head+
		row("n", "b1", "fill", "width=22.5; 22.25", "depth=5.5", "length=12", "bags=2")+
		row("s", "b1", "fill", "width=14.5", "depth=3.5", "length=8", "bags=1")+
		row("n", "b2", "fill", `width="`, "length=11", "bags=2")+
		row("n", "b3", "fill", "depth=6", "bags=2"))
	b2, b3 := bay(t, job, "b2").Pieces[0], bay(t, job, "b3").Pieces[0]
	if b2.Width.State != model.Ditto || b2.Depth.State != model.Ditto || b2.Length.State != model.Measured {
		t.Errorf("b2: states %v %v %v", b2.Width.State, b2.Depth.State, b2.Length.State)
	}
	if len(b2.Width.Values) != 1 || !near(b2.Width.Mean(), 22.375*model.Inch) {
		t.Errorf("b2 takes over width %v, not the mean of b1's readings", b2.Width.Values)
	}
	if !near(b3.Width.Mean(), 22.375*model.Inch) || !near(b3.Length.Mean(), 11*model.Foot) || !near(b3.Depth.Mean(), 6*model.Inch) {
		t.Errorf("b3: %v × %v × %v", b3.Width.Mean(), b3.Depth.Mean(), b3.Length.Mean())
	}
	if v := bay(t, job, "b2").Volume(); !near(v, 22.375*5.5/144*11*model.CubicFoot) {
		t.Errorf("b2 holds %v m³", v)
	}
}

// TestSizesAdd: further size rows are further readings; a fill may add what was not measured; a
// measured size takes the place of a ditto.
func TestSizesAdd(t *testing.T) {
	job := mustRead(t, head+
		row("n", "b1", "size", "width=22.5", "depth=5.5; 5.25 +- 1/8", "length=12")+
		row("n", "b1", "", "depth=5.75 +- 1/4")+
		row("n", "b2", "size", "width=22", "length=12")+
		row("n", "b1", "fill", "bags=2", "bulge=1/2")+
		row("n", "b2", "fill", "depth=6", "bags=2"))
	b1, b2 := bay(t, job, "b1").Pieces[0], bay(t, job, "b2").Pieces[0]
	if len(b1.Depth.Values) != 3 || !near(b1.Depth.Within, 0.25*model.Inch) || b1.Depth.Raw != "5.5; 5.25 +- 1/8; 5.75 +- 1/4" {
		t.Errorf("b1's depth: %+v", b1.Depth)
	}
	if b1.Bulge.State != model.Measured {
		t.Error("the bulge, measured after filling, is lost")
	}
	if b2.Depth.State != model.Measured || !near(b2.Depth.Mean(), 6*model.Inch) {
		t.Errorf("b2's depth is measured at the fill: %+v", b2.Depth)
	}
	if job.Log[0].Size.Depth.Raw != "5.5; 5.25 +- 1/8" || len(job.Log[0].Size.Depth.Values) != 2 {
		t.Error("putting the log together changed a row of it")
	}
}

// TestShapes: another end makes a taper; a piece takes a blank size from its bay; less takes away.
func TestShapes(t *testing.T) {
	job := mustRead(t, head+
		row("n", "b1", "fill", "width=22", "width2=18", "depth=5", "length=12", "bags=2")+
		row("n", "b1", "piece", "length=2")+
		row("n", "b1", "less", "shape=round", "width=4", "length=1")+
		row("n", "b2", "fill", "shape=round", "width=10", "length=3", "bags=1"))
	b1 := bay(t, job, "b1")
	if b1.Pieces[0].Shape != model.ShapeTaper || len(b1.Pieces) != 3 || !b1.Pieces[2].Less {
		t.Fatalf("b1: %+v", b1.Pieces)
	}
	want := (20*5/144.0*12 + 22*5/144.0*2 - math.Pi/4*16/144*1) * model.CubicFoot
	if !near(b1.Volume(), want) {
		t.Errorf("b1 holds %v m³, want %v", b1.Volume(), want)
	}
	if p := b1.Pieces[1]; p.Width.State != model.Ditto || p.Src.Line != 3 {
		t.Errorf("the piece's width is the bay's: %+v", p.Width)
	}
	if p := bay(t, job, "b2").Pieces[0]; p.Depth.State != model.Absent {
		t.Errorf("a round has no depth: %+v", p.Depth)
	}
}

// TestDefaultEntry: a blank entry is fill with material, size without.
func TestDefaultEntry(t *testing.T) {
	job := mustRead(t, head+row("n", "b1", "", box()...)+row("n", "b1", "", "bags=2"))
	if job.Log[0].Kind != model.EntrySize || job.Log[1].Kind != model.EntryFill || job.Bays[0].Order != 1 {
		t.Errorf("%v, %v", job.Log[0].Kind, job.Log[1].Kind)
	}
}

// TestAmend: an amend inherits nothing, keeps its place in fill order and in the counter, and
// leaves the rest struck through.
func TestAmend(t *testing.T) {
	job := mustRead(t, head+
		filled("b1", "counter=2")+
		filled("b2", "counter=4")+
		row("n", "b2", "topup", "counter=4 1/4")+
		row("n", "b2", "closed")+
		filled("b3", "counter=6")+
		row("n", "b2", "amend", with(box(), "counter=4 1/2")...))
	b2, b3 := bay(t, job, "b2"), bay(t, job, "b3")
	if b2.Order != 2 || b3.Order != 3 || b2.Fill != &job.Log[5] || len(b2.Moves) != 1 {
		t.Fatalf("orders %d, %d; moves %d", b2.Order, b3.Order, len(b2.Moves))
	}
	if b2.Dead[&job.Log[1]] != "amended" || b2.Dead[&job.Log[2]] != "amended" || b2.Dead[&job.Log[3]] != "" || len(b2.Closed) != 1 {
		t.Errorf("dead rows: %v", b2.Dead)
	}
	if m := b2.Fill.Material; m.Prev != 2 || m.Bags-m.Prev != 2.5 {
		t.Errorf("b2 took %v from %v", m.Bags-m.Prev, m.Prev)
	}
	if m := b3.Fill.Material; m.Prev != 4.5 || m.PrevAt != b2.Fill.Material.ReadAt {
		t.Errorf("b3 goes on from %v (reading %d), not from the amended %v", m.Prev, m.PrevAt, b2.Fill.Material.Bags)
	}
}

// TestAmendOfADitto: a blank in an amend is a ditto where it was one before, and in its own place.
func TestAmendOfADitto(t *testing.T) {
	job := mustRead(t, head+filled("b1", "bags=2")+row("n", "b2", "fill", "bags=2")+
		row("n", "b3", "fill", "width=10", "depth=10", "length=10", "bags=2")+row("n", "b2", "amend", "bags=3"))
	if w := bay(t, job, "b2").Pieces[0].Width; w.State != model.Ditto || !near(w.Mean(), 22.5*model.Inch) {
		t.Errorf("b2's width: %+v", w)
	}
}

// TestStrike: a withdrawn bay is out of the fill order; what was blown then belongs to no other
// bay, unless the counter never stood there.
func TestStrike(t *testing.T) {
	job := mustRead(t, head+filled("b1", "counter=2")+filled("b2", "counter=4")+row("n", "b2", "strike")+filled("b3", "counter=6")+
		filled("b4", "counter=60")+row("n", "b4", "strike")+filled("b5", "counter=8"))
	b2, b3, b5 := bay(t, job, "b2"), bay(t, job, "b3"), bay(t, job, "b5")
	if !b2.Struck || b2.Fill != nil || b2.Order != 0 || b3.Order != 2 || b2.Dead[&job.Log[1]] != "struck" {
		t.Errorf("b2 %+v", b2)
	}
	if b3.Fill.Material.Prev != 4 || b5.Fill.Material.Prev != 6 {
		t.Errorf("b3 goes on from %v, b5 from %v", b3.Fill.Material.Prev, b5.Fill.Material.Prev)
	}
}

// TestRowTakenBack: a strike whose note is the word of an entry takes that row alone back, and all
// that follows is read as if it had never been written: the bay's place, the counter, what an amend
// had put out of force.
func TestRowTakenBack(t *testing.T) {
	b := func(name, counter string) string { return filled(name, "counter="+counter) }
	job := mustRead(t, head+b("b1", "2")+b("b2", "3")+row("n", "b2", "strike", "note=fill")+b("b3", "4")+b("b2", "6")+
		row("n", "b3", "topup", "counter=6 1/2")+row("n", "b3", "strike", "note=topup")+
		row("n", "b1", "closed")+row("n", "b1", "strike", "note=closed")+
		row("n", "b1", "amend", with(box(), "counter=1")...)+row("n", "b1", "strike", "note=amend")+
		row("", "", "count", "counter=40")+row("", "", "strike", "note=count")+
		row("", "", "set", "note=gate 4")+row("", "", "strike", "note=Set")+b("b4", "8"))
	for name, want := range map[string][3]float64{"b1": {0, 2, 1}, "b2": {4, 6, 3}, "b3": {2, 4, 2}, "b4": {6, 8, 4}} {
		x := bay(t, job, name)
		if m := x.Fill.Material; m.Prev != want[0] || m.Bags != want[1] || x.Order != int(want[2]) || x.Run != 0 || len(x.Moves) != 1 || len(x.Closed) != 0 {
			t.Errorf("%s: from %v to %v, order %d, run %d, %d moves, %d closings", name, m.Prev, m.Bags, x.Order, x.Run, len(x.Moves), len(x.Closed))
		}
	}
	if x := bay(t, job, "b2"); x.Dead[&job.Log[1]] != "struck" || len(x.Rows) != 3 {
		t.Errorf("the row taken back is gone: %v", x.Dead)
	}
	if before, _ := job.Upto(2); bay(t, before, "b2").Fill == nil || before.Log[1].Withdrawn {
		t.Error("a row is taken back before the strike was written")
	}
}

// TestEitherSheetFirst: sizes and what was seen may stand before the fill or after it; a bay of
// which one sheet is owed waits.
func TestEitherSheetFirst(t *testing.T) {
	roof := row("n", "b1", "size", with(box(), "reach=11", "stall=yes")...) + row("n", "b2", "size", with(box(), "reach=11")...)
	truck := row("n", "b1", "fill", "counter=2") + row("n", "b2", "fill", "counter=4")
	for _, log := range []string{roof + truck, truck + roof} {
		job := mustRead(t, head+log)
		for i, b := range job.Bays {
			if b.Fill == nil || b.Owes != model.OwesNothing || b.Order != i+1 || b.Pieces[0].Width.State != model.Measured || b.Fill.Material.Bags-b.Fill.Material.Prev != 2 {
				t.Errorf("%s: %+v", b.Name, b)
			}
		}
	}
	if b := bay(t, mustRead(t, head+roof), "b1"); b.Owes != model.OwesCount || b.Fill != nil {
		t.Errorf("roof sheet alone: owes %v", b.Owes)
	}
	if b := bay(t, mustRead(t, head+truck), "b1"); b.Owes != model.OwesSizes || b.Fill != nil || b.Order != 0 {
		t.Errorf("truck sheet alone: owes %v", b.Owes)
	}
	b := bay(t, mustRead(t, head+truck+row("n", "b1", "size", with(box(), "stall=yes")...)), "b2")
	if b.Owes != model.OwesSizes {
		t.Errorf("b2 takes over sizes that were measured after it was filled: owes %v", b.Owes)
	}
}

// TestBackAgain: a withdrawn bay that is filled again stands where it is filled now, and its old
// reading is gone.
func TestBackAgain(t *testing.T) {
	job := mustRead(t, head+filled("b1", "counter=2")+filled("b2", "counter=5")+row("n", "b2", "strike")+filled("b2", "counter=4")+filled("b3", "counter=6"))
	b2, b3 := bay(t, job, "b2"), bay(t, job, "b3")
	if b2.Struck || b2.Order != 2 || b2.Fill != &job.Log[3] || b2.Fill.Material.Prev != 2 || b3.Fill.Material.Prev != 4 {
		t.Errorf("b2 %v from %v, b3 from %v", b2.Order, b2.Fill.Material.Prev, b3.Fill.Material.Prev)
	}
	job = mustRead(t, head+filled("b1", "counter=2")+filled("b2", "counter=3")+row("n", "b2", "strike")+filled("b3", "counter=4")+filled("b2", "counter=6"))
	if b2, b3 := bay(t, job, "b2"), bay(t, job, "b3"); b2.Order != 3 || b2.Fill.Material.Prev != 4 || b3.Fill.Material.Prev != 2 {
		t.Errorf("b2 %v from %v, b3 from %v", b2.Order, b2.Fill.Material.Prev, b3.Fill.Material.Prev)
	}
}

// TestNameAgain: a bay that was withdrawn before it was filled is another bay when its name is
// taken again: filled in the order of its fill, with nothing of the old sizes.
func TestNameAgain(t *testing.T) {
	job := mustRead(t, head+row("n", "b2", "size", box()...)+row("n", "b2", "strike")+filled("b1", "bags=2")+
		row("n", "b2", "fill", "width=16", "depth=5.5", "length=8", "bags=1"))
	b2 := bay(t, job, "b2")
	if b2.Struck || b2.Order != 2 || b2.Fill != &job.Log[3] || b2.Dead[&job.Log[0]] != "struck" || len(b2.Pieces) != 1 {
		t.Errorf("b2 %+v", b2)
	}
	if w := b2.Pieces[0].Width; len(w.Values) != 1 || !near(w.Mean(), 16*model.Inch) {
		t.Errorf("b2's width: %+v", w)
	}
	job = mustRead(t, head+row("n", "b2", "size", box()...)+row("n", "b2", "strike")+row("n", "b2", "size", "width=16", "depth=5.5", "length=8"))
	if b2 := bay(t, job, "b2"); b2.Struck || b2.Fill != nil || !near(b2.Pieces[0].Width.Mean(), 16*model.Inch) {
		t.Errorf("b2 %+v", b2)
	}
}

// TestPlacesInTheBay: what a tape or a second piece explains is no slip, and a row that is out of
// force holds up nothing.
func TestPlacesInTheBay(t *testing.T) {
	for _, x := range []struct {
		name, rows string
		warned     bool
	}{
		{"a little past the end", filled("b1", "bags=2") + row("n", "b1", "seen", "probe=rod soft", "at=12' 6"), true},
		{"at the end", filled("b1", "bags=2") + row("n", "b1", "seen", "probe=rod soft", "at=12"), false},
		{"in the piece that goes on", filled("b1", "bags=2") + row("n", "b1", "piece", "length=6") + row("n", "b1", "seen", "probe=rod soft", "at=17"), false},
		{"amended", filled("b1", "bags=2") + row("n", "b1", "seen", "probe=rod soft", "at=11") +
			row("n", "b1", "amend", "width=22.5", "depth=5.5", "length=8", "bags=1"), false},
		{"two ways", filled("b1", "bags=2", "reach=9; 9"), false},
	} {
		if got := warned(mustRead(t, head+x.rows), "beyond-bay"); got != x.warned {
			t.Errorf("%s: warned %v, want %v", x.name, got, x.warned)
		}
	}
}

// TestRestatedTopup: a top-up that an amend took out of force and that is said again stands where
// it stood.
func TestRestatedTopup(t *testing.T) {
	job := mustRead(t, head+filled("b1", "counter=2")+row("n", "b1", "topup", "counter=2.5")+filled("b2", "counter=4")+
		row("n", "b1", "amend", with(box(), "counter=2")...)+row("n", "b1", "topup", "counter=2.5"))
	if b2 := bay(t, job, "b2"); b2.Fill.Material.Prev != 2.5 || len(bay(t, job, "b1").Moves) != 2 {
		t.Errorf("b2 goes on from %v", b2.Fill.Material.Prev)
	}
}

// TestCounter: count rows set the counter, an exact zero is reading 0, and rows of one reading are
// numbered through the job.
func TestCounter(t *testing.T) {
	job := mustRead(t, head+filled("b1", "counter=2")+row("s", "b1", "fill", with(box(), "counter=4")...)+
		row("", "", "count", "counter=0")+filled("b2", "counter=1.5")+row("", "", "count", "counter=7")+filled("b3", "counter=9"))
	type chained struct {
		prev           float64
		prevAt, readAt int
	}
	want := []chained{{0, 0, 1}, {2, 1, 2}, {4, 2, 0}, {0, 0, 4}, {1.5, 4, 5}, {7, 5, 6}}
	for i, w := range want {
		if m := job.Log[i].Material; m.Prev != w.prev || m.PrevAt != w.prevAt || m.ReadAt != w.readAt {
			t.Errorf("line %d: %v, reading %d after reading %d; want %+v", i+2, m.Prev, m.ReadAt, m.PrevAt, w)
		}
	}
}

// TestBagsBesideCounters: what is not fed by the counter's machine, or is nothing, or another
// section's, may stand between.
func TestBagsBesideCounters(t *testing.T) {
	mustRead(t, head+filled("b1", "counter=2")+row("n", "b1", "topup", "bags=0", "stall=yes")+row("n", "b1", "lost", "bags=1/4")+
		row("s", "b1", "fill", with(box(), "bags=2")...)+filled("b2", "counter=4"))
	mustRead(t, head+filled("b1", "counter=2")+filled("b2", "bags=2")+row("", "", "count", "counter=4")+filled("b3", "counter=6"))
}

// TestShared: bays that share a count know each other; one whose figure is not there yet waits.
func TestShared(t *testing.T) {
	rows := filled("b1", "bags=shared") + filled("b2", "bags=shared") + filled("b3", "bags=2") + filled("b4", "bags=1")
	job := mustRead(t, head+rows+filled("b5", "bags=shared"))
	b1, b3, b5 := bay(t, job, "b1"), bay(t, job, "b3"), bay(t, job, "b5")
	if len(b1.SharedWith) != 2 || b1.SharedWith[1] != b3 || len(b3.SharedWith) != 2 || len(bay(t, job, "b4").SharedWith) != 0 {
		t.Errorf("b1 shares with %d, b3 with %d", len(b1.SharedWith), len(b3.SharedWith))
	}
	if b5.Owes != model.OwesShare || b5.Fill != nil || b5.Order != 0 || !warned(job, "shared-open") {
		t.Errorf("b5 does not wait: %+v", b5)
	}
	job = mustRead(t, head+rows+row("n", "b2", "strike"))
	if b1, b4 := bay(t, job, "b1"), bay(t, job, "b4"); b1.Owes != model.OwesShare || bay(t, job, "b3").Owes != model.OwesShare || b4.Owes != 0 || b4.Order != 1 {
		t.Error("what is left of a shared count is not known once one of its bays is withdrawn")
	}
}

func warned(job *model.Job, code string) bool {
	for _, w := range job.Warnings {
		if w.Code == code {
			return true
		}
	}
	return false
}

// TestRuns: set rows are counted; losses and top-ups are moves.
func TestRuns(t *testing.T) {
	job := mustRead(t, head+filled("b1", "bags=2")+row("", "", "set", "note=gate up")+filled("b2", "bags=2")+
		row("n", "b2", "topup", "weight=5", "stall=yes")+row("n", "b2", "lost", "weight=1"))
	b2 := bay(t, job, "b2")
	if bay(t, job, "b1").Run != 0 || b2.Run != 1 || len(b2.Moves) != 3 || b2.Moves[2].Kind != model.EntryLost {
		t.Errorf("run %d, moves %d", b2.Run, len(b2.Moves))
	}
}

// TestTimes: times that run back put the order in doubt; clocks are compared as they hang on the
// wall.
func TestTimes(t *testing.T) {
	job := mustRead(t, head+filled("b1", "bags=2", "time=2026-03-02 14:20")+filled("b2", "bags=2", "time=2026-03-02T14:30:00-05:00")+
		filled("b3", "bags=2", "time=2026-03-02 14:40"))
	if job.OrderDoubtful || warned(job, "order") {
		t.Error("a zone beside times without one puts the order in doubt")
	}
	if _, offset := job.Log[1].Time.Zone(); offset != -5*3600 {
		t.Error("the zone is lost")
	}
	job = mustRead(t, head+filled("b1", "bags=2", "time=2026-03-02 14:20")+filled("b2", "bags=2", "time=2026-03-02 14:10"))
	if !job.OrderDoubtful || !warned(job, "order") {
		t.Error("times run back, and nobody says so")
	}
}

// TestTimeTakesTheJobsDate: 14:20 is on the day of the job.
func TestTimeTakesTheJobsDate(t *testing.T) {
	job, faults := Read(files(map[string]string{"job.csv": "name,value\ndate,2026-03-02\nbag_weight,25 lb\n",
		"bays.csv": head + filled("b1", "bags=2", "time=14:20")}), "", Options{})
	if len(faults) > 0 || !job.Log[0].Time.Equal(time.Date(2026, 3, 2, 14, 20, 0, 0, time.UTC)) {
		t.Errorf("%v %s", job, told(faults))
	}
}

// TestNames: trimmed, collapsed, composed; the same bay name in two sections is two bays; without
// sections there is one.
func TestNames(t *testing.T) {
	job := mustRead(t, head+row(" n  slope ", "cafe\u0301", "fill", with(box(), "bags=2")...)+row("n slope", "caf\u00e9", "closed")+
		row("s", "caf\u00e9", "fill", with(box(), "bags=2")...))
	if len(job.Bays) != 2 || job.Bays[0].Section.Name != "n slope" || job.Bays[0].Name != "café" {
		t.Errorf("%d bays, %q", len(job.Bays), job.Bays[0].Name)
	}
	job = mustRead(t, head+strings.ReplaceAll(filled("b1", "bags=2"), "n,b1", ",b1"))
	if len(job.Sections) != 1 || job.Sections[0].Name != "" {
		t.Errorf("sections %v", job.Sections)
	}
}

// TestAmountsThatCanBe: an honest log is never refused for what went in: a bag weighed back whole,
// a small bay counted to a step, a loss that a top-up came before, figures that several bays share,
// and slips that were mended.
func TestAmountsThatCanBe(t *testing.T) {
	tiny := []string{"width=14.5", "depth=3.5", "length=9 in"} // 0.26 ft³: a step of 1/4 bag is 24 lb/ft³
	for _, x := range []struct{ name, rows string }{
		{"all but a bag back", filled("b1", "bags=2 - 25 lb")},
		{"a heavy bag back, to the scale's ± and a tenth", filled("b1", "bags=3 - 28 lb")},
		{"a whole bag by weight", filled("b1", "bags=1 + 25.6 lb")},
		{"a step in a tiny bay", row("n", "b1", "fill", with(tiny, "bags=1/4")...)},
		{"a step of the counter in a tiny bay", row("", "", "count", "counter=3") + row("n", "b1", "fill", with(tiny, "counter=3 1/4")...)},
		{"dense, and a suspicion", filled("b1", "bags=7")},
		{"all of it lost", filled("b1", "bags=2") + row("n", "b1", "lost", "bags=2")},
		{"all of it lost, weighed", filled("b1", "bags=2") + row("n", "b1", "lost", "weight=50 lb")},
		{"lost after a top-up", filled("b1", "bags=1") + row("n", "b1", "topup", "bags=1") + row("n", "b1", "lost", "weight=30")},
		{"two bays share", filled("b1", "bags=shared") + filled("b2", "bags=3") + row("n", "b1", "lost", "weight=60")},
		{"a counter that starts late", row("", "", "count", "counter=9000") + filled("b1", "counter=9002")},
		{"a slip that was mended", filled("b1", "bags=200") + row("n", "b1", "amend", with(box(), "bags=2")...)},
		{"a slip that was struck", filled("b1", "bags=1 + 60 lb") + row("n", "b1", "strike")},
		{"run off, and taken off", filled("b1", "bags=12") + row("n", "b1", "lost", "bags=10")},
	} {
		if _, faults := readLog(head + x.rows); len(faults) > 0 {
			t.Errorf("%s: %s", x.name, told(faults))
		}
	}
	for _, x := range []struct{ name, rows, want string }{
		{"more than was in by then", filled("b1", "bags=1") + row("n", "b1", "lost", "weight=30") + row("n", "b1", "topup", "bags=1"),
			"n b1 lost 5 lb more than went in"},
		{"more than two bays share", filled("b1", "bags=shared") + filled("b2", "bags=3") + row("n", "b1", "lost", "weight=80"), "n b2 lost 5 lb more than went in"},
		{"two bays share too much", filled("b1", "bags=shared") + filled("b2", "bags=30"), "bags 30 puts 750 lb into n b2, which holds 20.63 ft3: no loose fill packs past 20 lb/ft3"},
		{"a top-up too much", filled("b1", "bags=1") + row("n", "b1", "topup", "weight=800 lb"), "3:14: weight 800 lb puts 825 lb into n b1, which holds 10.31 ft3: no loose fill packs past 20 lb/ft3"},
	} {
		if _, faults := readLog(head + x.rows); len(faults) != 1 || !strings.Contains(told(faults), x.want) {
			t.Errorf("%s: told %s, want %s", x.name, told(faults), x.want)
		}
	}
}

// TestMachines: counters, set rows, shared figures and times are each machine's own; a row that
// names none is of the machine that filled its bay.
func TestMachines(t *testing.T) {
	fill := func(name, machine string, more ...string) map[string]string {
		return cellsOfRow("n", name, "fill", with(box(), append(more, "machine="+machine)...)...)
	}
	job := mustRead(t, wide(
		fill("a1", "A", "counter=2", "time=2026-03-02 08:00"), fill("b1", "B", "counter=1 3/4", "time=2026-03-02 07:50"),
		fill("a2", "A", "counter=4", "time=2026-03-02 08:20"), cellsOfRow("n", "b1", "topup", "counter=2"),
		cellsOfRow("", "", "set", "machine=B", "note=gate up"), cellsOfRow("", "", "count", "machine=A", "counter=10"),
		fill("a3", "a", "counter=12"), fill("b2", "B", "counter=3 3/4"), cellsOfRow("", "", "set", "note=new lot"), fill("a4", "A", "counter=14")))
	for name, want := range map[string]struct {
		bags float64
		run  int
	}{"a1": {2, 0}, "a2": {2, 0}, "a3": {2, 0}, "a4": {2, 1}, "b1": {1.75, 0}, "b2": {1.75, 1}} {
		b := bay(t, job, name)
		if m := b.Fill.Material; m.Bags-m.Prev != want.bags || b.Run != want.run {
			t.Errorf("%s: %g bags in run %d, want %g in %d", name, m.Bags-m.Prev, b.Run, want.bags, want.run)
		}
	}
	if m := bay(t, job, "b1").Moves[1].Material; m.Bags-m.Prev != 0.25 {
		t.Errorf("b1's top-up by machine B is %g bags", m.Bags-m.Prev)
	}
	if job.OrderDoubtful {
		t.Error("clocks of two machines are compared")
	}
	job = mustRead(t, wide(fill("a1", "A", "bags=shared"), fill("b1", "B", "bags=2"), fill("a2", "A", "bags=3")))
	if a1 := bay(t, job, "a1"); len(a1.SharedWith) != 1 || a1.SharedWith[0].Name != "a2" || bay(t, job, "b1").SharedWith != nil {
		t.Errorf("a1 shares with %v", a1.SharedWith)
	}
	if job := mustRead(t, wide(fill("a1", "A", "bags=2", "time=2026-03-02 08:00"), fill("a2", "A", "bags=2", "time=2026-03-02 07:00"))); !job.OrderDoubtful {
		t.Error("one machine's clock runs back and nobody says so")
	}
}

// TestCounterBesideWeight: the weight is the mass, and the counter goes on from there; nothing in
// between is counted twice.
func TestCounterBesideWeight(t *testing.T) {
	job := mustRead(t, head+filled("b1", "counter=2")+row("n", "b1", "topup", "counter=2.3", "weight=6 lb")+
		row("n", "b1", "lost", "weight=1 lb", "counter=2.3")+filled("b2", "counter=4.3")+
		row("", "", "elsewhere", "weight=5 lb", "counter=4.5", "note=attic")+filled("b3", "counter=6"))
	b1 := bay(t, job, "b1")
	if m := b1.Moves[1].Material; m.Kind != model.MaterialWeight || !near(m.Mass, 6*model.Pound) || !m.Beside {
		t.Errorf("the top-up is %+v", m)
	}
	for name, want := range map[string]float64{"b1": 2, "b2": 2, "b3": 1.5} {
		if m := bay(t, job, name).Fill.Material; !near(m.Bags-m.Prev, want) {
			t.Errorf("%s: %g bags, want %g", name, m.Bags-m.Prev, want)
		}
	}
	for name, rows := range map[string]string{
		"bays.csv:3:13: counter 1.5 runs back: it stood at 2 in row 2":  filled("b1", "counter=2") + row("n", "b1", "topup", "counter=1.5", "weight=6 lb"),
		"bays.csv:2:13: this row says the material twice: 2 and 40 lb":  filled("b1", "counter=2", "weight=40 lb"),
		"bays.csv:3:13: this row says the material twice: 1 and 2":      filled("b1", "counter=2") + row("n", "b1", "topup", "counter=2", "bags=1"),
		"bays.csv:2:14: this row says the material twice: shared and 9": filled("b1", "counter=shared", "weight=9"),
	} {
		_, faults := readLog(head + rows)
		if text := told(faults); !strings.Contains(text, name) {
			t.Errorf("want %s, told\n%s", name, text)
		}
	}
}

// TestSeenBeforeTheFill: what is seen of a bay that is only measured yet is kept.
func TestSeenBeforeTheFill(t *testing.T) {
	job := mustRead(t, head+row("n", "b1", "size", box()...)+row("n", "b1", "seen", "probe=rod empty", "at=6")+row("n", "b1", "fill", "bags=1 3/4"))
	if b := bay(t, job, "b1"); len(b.Rows) != 3 || b.Fill == nil {
		t.Errorf("b1 has %d rows", len(b.Rows))
	}
}
