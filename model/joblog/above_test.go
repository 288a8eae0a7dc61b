package joblog

import (
	"fmt"
	"reflect"
	"strings"
	"testing"
	"testing/fstest"
)

// TestTextOfTheRowAbove: a row whose cells are those of the row above it is read as if it stood alone, in every way of
// writing a size, and nothing is taken from the job before it, whose units may be others.
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
