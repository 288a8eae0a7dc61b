package joblog

import (
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

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

// everything writes everything that putting a log together finds out.
func everything(job *model.Job) string {
	var b strings.Builder
	for _, x := range slices.Concat(job.Bays, job.Left) {
		fmt.Fprint(&b, x.Order, allOf(x))
	}
	for _, s := range job.Sections {
		fmt.Fprint(&b, s.Name, " ")
	}
	for i := range job.Log {
		e := &job.Log[i]
		fmt.Fprint(&b, e.Index, e.Withdrawn, e.Material.Prev, e.Material.PrevAt, e.Material.ReadAt, "; ")
	}
	fmt.Fprintln(&b, job.OrderDoubtful, len(job.Bays), len(job.Left))
	return b.String()
}

// allOf writes all of a bay but its number in the order of filling.
func allOf(x *model.Bay) string {
	var b strings.Builder
	rows := func(what string, of ...*model.Entry) {
		fmt.Fprint(&b, " ", what)
		for _, e := range of {
			if e != nil {
				fmt.Fprint(&b, " ", e.Index)
			}
		}
	}
	bays := func(what string, of ...*model.Bay) {
		for _, x := range of {
			if x != nil {
				fmt.Fprintf(&b, " %s %s/%s", what, x.Section.Name, x.Name)
			}
		}
	}
	bays("", x)
	fmt.Fprint(&b, " ", x.Run, x.Struck, x.Owes, x.Machine)
	bays("from", x.From)
	bays("with", x.SharedWith...)
	rows("fill", x.Fill)
	rows("moves", x.Moves...)
	rows("rows", x.Rows...)
	rows("closed", x.Closed...)
	rows("left", x.Left)
	rows("decided", x.Decided)
	for _, e := range x.Rows {
		if why := x.Dead[e]; why != "" {
			fmt.Fprint(&b, " ", why, e.Index)
		}
		if m := &e.Material; m.Kind == model.MaterialCounter || m.Beside {
			fmt.Fprint(&b, " ", m.Prev, m.PrevAt, m.ReadAt)
		}
	}
	for _, p := range x.Pieces {
		fmt.Fprintf(&b, "\n\t%+v", *p)
	}
	fmt.Fprintln(&b)
	return b.String()
}

// bySection writes all bays of each section with their places in the job and the order among them,
// and which values they are.
func bySection(job *model.Job) map[*model.Section]string {
	out := map[*model.Section]string{}
	filled := slices.Clone(job.Bays)
	slices.SortStableFunc(filled, func(a, b *model.Bay) int { return a.Order - b.Order })
	for i, x := range job.Bays {
		out[x.Section] += fmt.Sprintf("%d %p %s", i, x, allOf(x))
	}
	for _, x := range filled {
		out[x.Section] += x.Name + " "
	}
	for _, x := range job.Left {
		out[x.Section] += "left " + allOf(x)
	}
	return out
}

// TestBeginnings: beginnings that are put together each from the one before, at every row or at
// some, forward and back, are what they are put together anew. Logs are made of any rows that a log
// without faults can have.
func TestBeginnings(t *testing.T) {
	logs := []*model.Job{}
	demo, faults := Read(os.DirFS("../../cmd/demo/job"), "", Options{Name: "demo"})
	if len(faults) > 0 {
		t.Fatal(told(faults))
	}
	logs = append(logs, demo)
	dice := rand.New(rand.NewPCG(17, 4))
	for len(logs) < 60 {
		text, last, minute, counter := strings.Replace(head, "\n", ",machine\n", 1), (*model.Job)(nil), 0, 0.0
		counts, machines := len(logs)%3 == 0, len(logs)%5 == 0
		for range 70 {
			minute += dice.IntN(9)
			if len(logs)%7 == 0 && dice.IntN(9) == 0 {
				minute -= 60
			}
			counter += float64(dice.IntN(9)) / 4
			pick := func(of ...string) string { return of[dice.IntN(len(of))] }
			section, bay := pick("n", "s"), pick("b1", "b2", "b3", "b4", "b5")
			amount := pick("bags=2", "bags=1.75", "bags=shared", "weight=40 lb")
			if counts {
				amount = pick(fmt.Sprint("counter=", counter), fmt.Sprint("counter=", counter), "counter=shared", "bags=2")
			}
			at := "time=" + time.Date(2026, 3, 2, 8, minute, 0, 0, time.UTC).Format("2006-01-02 15:04")
			next := pick(
				row(section, bay, "fill", with(box(), amount, at)...), row(section, bay, "fill", with(box(), amount, at)...), row(section, bay, "fill", amount, "length=9"),
				row(section, bay, "fill", "width=\"\"\"\"", "depth=6", "length=11", amount, at), row(section, bay, "fill", amount, at), row(section, bay, "size", with(box(), at)...),
				row(section, bay, "size", "width=22.75"), row(section, bay, "amend", with(box(), amount)...), row(section, bay, "amend", "width=22.25", "depth=5.5", "length=11.5", amount),
				row(section, bay, "topup", pick("bags=0.25", fmt.Sprint("counter=", counter))), row(section, bay, "lost", "bags=0.25", at), row(section, bay, "seen", "probe=rod soft", "at=3"),
				row(section, bay, "closed", at), row(section, bay, "strike"), row(section, bay, "strike", "note="+pick("fill", "topup", "closed", "amend", "strike", "seen")),
				row(section, bay, "leave", "note=flue"), row(section, bay, "less", "width=4"), row(section, bay, "piece", "length=2"), row("", "", "count", fmt.Sprint("counter=", counter)),
				row("", "", "set", "note=gate"), row("", "", "elsewhere", "bags=1", "note=attic"), row("", "", "strike", "note="+pick("count", "set")), row(section, "", "empties", "bags=3"))
			machine := ","
			if machines {
				machine = pick(",", ",A", ",B")
			}
			next = strings.TrimSuffix(next, "\n") + machine + "\n"
			if job, faults := readLog(text + next); len(faults) == 0 {
				text, last = text+next, job
			}
		}
		if last == nil || len(last.Log) < 20 {
			t.Fatalf("only %d rows\n%s", len(last.Log), text)
		}
		logs = append(logs, last)
	}
	kinds := map[model.EntryKind]bool{}
	same := 0 // sections that are said to be as they were in the beginning before, beside one that changed
	for k, job := range logs {
		every, some, before := job.Beginnings(), job.Beginnings(), everything(job)
		var sections map[*model.Section]string
		for n := range len(job.Log) + 1 {
			anew, _ := job.Upto(n)
			want := everything(anew)
			grown := every.Upto(n)
			if diff := cmp.Diff(want, everything(grown)); diff != "" {
				t.Fatalf("log %d, %d rows (-anew +from the rows before):\n%s", k, n, diff)
			}
			now := bySection(grown)
			for s, is := range now {
				if was := sections[s]; !every.Changed(s) && is != was {
					t.Fatalf("log %d, %d rows, section %s is said to be as before (-before +now):\n%s", k, n, s.Name, cmp.Diff(was, is))
				} else if is == was && !every.Changed(s) {
					same++
				}
			}
			sections = now
			if n < len(job.Log) {
				kinds[job.Log[n].Kind] = true
			}
			if dice.IntN(4) > 0 {
				continue
			}
			if diff := cmp.Diff(want, everything(some.Upto(n))); diff != "" {
				t.Fatalf("log %d, %d rows, not all before (-anew +from the rows before):\n%s", k, n, diff)
			}
			if back := dice.IntN(n + 1); dice.IntN(4) == 0 {
				anew, _ := job.Upto(back)
				if diff := cmp.Diff(everything(anew), everything(some.Upto(back))); diff != "" {
					t.Fatalf("log %d, back from %d rows to %d (-anew +from the rows before):\n%s", k, n, back, diff)
				}
			}
		}
		if everything(job) != before {
			t.Fatalf("log %d: asking for beginnings changed it", k)
		}
	}
	if len(kinds) < 15 || same < 500 {
		t.Errorf("only %d kinds of rows, and %d sections that stayed as they were", len(kinds), same)
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

// TestWithdrawnAndMeasuredAgain: a bay that shared a figure, was withdrawn and is measured again is
// not filled; the others wait.
func TestWithdrawnAndMeasuredAgain(t *testing.T) {
	first := head + filled("b1", "bags=shared") + row("n", "b1", "strike") + row("n", "b1", "size", box()...)
	job := mustRead(t, first)
	if b := bay(t, job, "b1"); b.Fill != nil || b.Owes != model.OwesNothing || len(job.Warnings) != 0 {
		t.Errorf("alone: %+v, %v", b, job.Warnings)
	}
	job = mustRead(t, first+filled("b2", "bags=2")+filled("b3", "bags=2"))
	b1, b2, b3 := bay(t, job, "b1"), bay(t, job, "b2"), bay(t, job, "b3")
	if b1.Fill != nil || b1.Order != 0 || b2.Fill != nil || b2.Owes != model.OwesShare || b3.Order != 1 || len(job.Warnings) != 1 ||
		job.Warnings[0].Text != "n b2 shares a count with n b1, which was withdrawn in row 3: it counts as not filled. Amend it" {
		t.Errorf("%+v\n%+v\n%+v\n%v", b1, b2, b3, job.Warnings)
	}
	bay(t, mustRead(t, head+filled("b1", "bags=2")+row("n", "b1", "strike")+row("n", "b1", "leave", "note=flue")+filled("b2", "bags=2")), "b2")
}
