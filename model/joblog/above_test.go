package joblog

import (
	"fmt"
	"reflect"
	"strings"
	"testing"
	"testing/fstest"
)

// TestTextOfTheRowAbove: a row whose cells are those of the row above it is read as if it stood
// alone, in every way of writing a size, and nothing is taken from the job before it, whose units
// may be others.
func TestTextOfTheRowAbove(t *testing.T) {
	sizes := []string{"22.5", "22 1/2", "22.5; 22.75", "22.5 ± 1/8", "571 mm", `"`, " ", "", "22.5"}
	var log strings.Builder
	log.WriteString("job,units,section,bay,entry,width,depth,length,bags\n")
	n := 0
	for _, units := range []string{"us", "si"} {
		fmt.Fprintf(&log, "%s,%s,n,b0,,22.5,140 mm,3 m,1/4\n", units, units)
		for range 2 {
			for _, s := range sizes {
				for range 3 {
					n++
					fmt.Fprintf(&log, "%s,,n,b%d,,%s,140 mm,3 m,1/4\n", units, n, s)
				}
			}
		}
	}
	read := 0
	Scan(fstest.MapFS{"bays.csv": {Data: []byte(log.String())}}, "", bagsOf25(), func(u *Unread) bool {
		job, faults := u.Read()
		if job == nil {
			t.Fatal(told(faults))
		}
		b := newBuilder(u.shared.reader, u.shared.plan)
		for i := range job.Log {
			b.mem.again(1)
			b.rows.begin(&job.Settings, false)
			b.rows.next(job.Log[i].Cells, job.Log[i].Src.Line)
			alone := b.mem.entries[0]
			alone.Index = i
			alone.Under, alone.Material.Within = 0, 0 // NaN is not NaN
			e := job.Log[i]
			e.Under, e.Material.Within = 0, 0
			for k, r := range e.Size.Readings() {
				if a := alone.Size.Readings()[k]; r.Within != r.Within && a.Within != a.Within {
					r.Within, a.Within = 0, 0
				}
			}
			if !reflect.DeepEqual(e, alone) {
				t.Errorf("%s: line %d is %+v, alone %+v", job.Name, e.Src.Line, e, alone)
			}
			read++
		}
		u.Done()
		return true
	})
	if read != n+2 {
		t.Errorf("%d rows read, want %d", read, n+2)
	}
}

// TestJobsInOneMemory: a job put together where another one stood is as if it stood alone. The
// first one has all that a bay can have besides its sizes: nothing of it may be left in the bays of
// the second.
func TestJobsInOneMemory(t *testing.T) {
	log := "job,section,bay,entry,width,depth,length,bags,machine,stall,note,by\n" +
		"a,n,b1,,22.5,5.5,12,2,A,yes,,\na,n,b1,closed,,,,,,,,RE\na,n,b1,decided,,,,,,,seen,RE\na,n,b2,,22.5,5.5,12,shared,A,,,\na,n,b3,,22.5,5.5,12,4,A,,,\n" +
		"a,n,b3,topup,,,,1/4,,,,\na,n,b4,,22.5,5.5,12,2,A,,,\na,n,b4,strike,,,,,,,,\na,n,b5,leave,,,,,,,a flue,\na,n,b6,,22.5,5.5,12,2,A,,,\n" +
		"a,n,b6,amend,22.5,5.5,12,2 1/4,A,,,\na,n,b6,less,,,1,,,,,\n" +
		"z,n,b1,,22.5,5.5,12,2,,,,\nz,s,b2,,22.5,5.5,12,2,,,,\nz,s,b3,,,,,2,,,,\nz,s,b4,,22.5,5.5,12,2,,,,\n"
	var told []string
	tell := func(b *builder, u *Unread) {
		text, _ := decode("bays.csv", u.Line, u.text, &b.f)
		job := b.build(u.Name, newLines(text, u.Line-1), u.hidden)
		if len(b.f.list) > 0 {
			t.Fatal(b.f.list)
		}
		var out strings.Builder
		for _, x := range append(job.Bays, job.Left...) {
			fmt.Fprintln(&out, x.Section.Name, x.Name, len(x.Pieces), x.Volume(), x.Fill != nil, len(x.Moves), x.From != nil, len(x.Rows), x.Dead, x.Closed, x.Struck,
				x.Left != nil, x.Decided != nil, x.Order, x.Machine, x.Run, len(x.SharedWith), x.Owes)
		}
		told = append(told, out.String())
	}
	var again *builder
	Scan(fstest.MapFS{"bays.csv": {Data: []byte(log)}}, "", bagsOf25(), func(u *Unread) bool {
		if again == nil {
			again = newBuilder(u.shared.reader, u.shared.plan)
		}
		tell(again, u)
		tell(newBuilder(u.shared.reader, u.shared.plan), u)
		return true
	})
	if len(told) != 4 || strings.Count(told[0], "\n") != 6 || told[2] != told[3] {
		t.Fatalf("%d jobs: %q", len(told)/2, told)
	}
}
