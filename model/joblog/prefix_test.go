package joblog

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"bayproof/model"
)

// gist writes what rows say, without where they say it and how it was written.
func gist(log []model.Entry) string {
	var b strings.Builder
	for i := range log {
		e := &log[i]
		fmt.Fprintf(&b, "%s/%s %v %v %q", e.Section, e.Bay, e.Kind, e.Time, e.Note)
		for k, r := range e.Size.Readings() {
			if r.State == model.Measured {
				fmt.Fprintf(&b, " %s=%.9g", model.SizeNames()[k], r.Values)
			}
		}
		fmt.Fprintf(&b, " %v %g %g\n", e.Material.Kind, e.Material.Bags, e.Material.Mass)
	}
	return b.String()
}

// standing writes what a job comes to.
func standing(job *model.Job) string {
	var b strings.Builder
	for _, x := range job.Bays {
		fmt.Fprintf(&b, "%s/%s order %d run %d struck %v owes %v volume %.12g rows %d dead %d closed %d shared %d:", x.Section.Name, x.Name,
			x.Order, x.Run, x.Struck, x.Owes, x.Volume(), len(x.Rows), len(x.Dead), len(x.Closed), len(x.SharedWith))
		for _, m := range x.Moves {
			fmt.Fprintf(&b, " %d %v %g-%g @%d-%d;", m.Index, m.Kind, m.Material.Bags, m.Material.Prev, m.Material.PrevAt, m.Material.ReadAt)
		}
		b.WriteByte('\n')
	}
	for _, s := range job.Sections {
		b.WriteString(s.Name + " ")
	}
	fmt.Fprintf(&b, "doubt %v\n", job.OrderDoubtful)
	return b.String()
}

// TestUpto: the job as it stood after n rows is the job that those rows alone make.
func TestUpto(t *testing.T) {
	rows := []string{
		filled("b1", "counter=2", "time=2026-03-02 10:00"), filled("b2", "counter=shared"), filled("b3", "counter=5"),
		row("s", "w1", "size", "shape=wedge", "width=20", "depth=27", "length=4.5"), row("n", "b1", "topup", "counter=5.5"),
		row("n", "b1", "closed"), row("", "", "set", "note=gate"), row("s", "w1", "fill", "bags=1", "reach=3"),
		row("n", "b3", "less", "length=1"), row("", "", "count", "counter=0"), filled("b4", "counter=2"),
		row("n", "b1", "amend", with(box(), "counter=1.5")...), row("s", "w1", "strike"), row("n", "b4", "lost", "bags=1/2"),
		row("s", "w2", "fill", "shape=wedge", "width=20", "depth=26", "length=4", "bags=shared", "time=2026-03-01 10:00"),
	}
	whole := mustRead(t, head+strings.Join(rows, ""))
	before := standing(whole)
	for n := range len(rows) + 1 {
		part, faults := whole.Upto(n)
		if len(faults) > 0 {
			t.Fatalf("after %d rows: %s", n, told(faults))
		}
		alone := mustRead(t, head+strings.Join(rows[:n], ""))
		if diff := cmp.Diff(standing(alone), standing(part)); diff != "" {
			t.Errorf("after %d rows (-alone +part):\n%s", n, diff)
		}
		if n > 0 && &part.Log[0] == &whole.Log[0] {
			t.Fatal("a part shares rows with the whole")
		}
	}
	if diff := cmp.Diff(before, standing(whole)); diff != "" {
		t.Errorf("asking for parts changed the whole:\n%s", diff)
	}
	again, _ := whole.Upto(len(rows))
	for i, s := range again.Sections {
		if s != whole.Sections[i] {
			t.Errorf("section %s is not the same object in a part", s.Name)
		}
	}
}

// TestUptoOfAMendedLog: a log that a later row mended has the fault that it had then.
func TestUptoOfAMendedLog(t *testing.T) {
	job := mustRead(t, head+filled("b1", "counter=6")+filled("b2", "counter=4")+row("n", "b1", "amend", with(box(), "counter=2")...))
	if _, faults := job.Upto(2); len(faults) != 1 {
		t.Errorf("told %s", told(faults))
	}
	if b2 := bay(t, job, "b2"); b2.Fill.Material.Prev != 2 {
		t.Errorf("b2 goes on from %v", b2.Fill.Material.Prev)
	}
}

// TestDemoJob: the demonstration job reads without a fault, and every part of it too.
func TestDemoJob(t *testing.T) {
	job, faults := Read(os.DirFS("../../cmd/demo/job"), "", Options{Name: "demo"})
	if len(faults) > 0 {
		t.Fatal(told(faults))
	}
	if len(job.Bays) < 30 || len(job.Cores) == 0 || len(job.Inputs) != 4 {
		t.Fatalf("%d bays, %d cores, %d inputs", len(job.Bays), len(job.Cores), len(job.Inputs))
	}
	for n := range job.Log {
		if _, faults := job.Upto(n); len(faults) > 0 {
			t.Fatalf("after %d rows: %s", n, told(faults))
		}
	}
}
