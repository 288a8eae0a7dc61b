package audit

import (
	"math/rand/v2"
	"slices"
	"testing"
	"testing/fstest"

	"bayproof/model/joblog"
	"bayproof/verify"
)

// TestRowsInUsedRoom: the keys of a job's rows are the same whatever jobs were looked at before in the same room.
func TestRowsInUsedRoom(t *testing.T) {
	r := rand.New(rand.NewPCG(10, 10))
	var room rowRoom
	rows, tell := 0, 0
	for _, p := range mixed() {
		opt := joblog.Options{Flags: map[string]string{"bag_weight": "25 lb", "rule": "guarded"}}
		joblog.Scan(fstest.MapFS{"many.csv": &fstest.MapFile{Data: []byte(p.write(r))}}, "many.csv", opt, func(u *joblog.Unread) bool {
			job, faults := u.Read()
			if job == nil {
				t.Fatal(faults)
			}
			f := verify.Check(job, verify.Options{})
			got, want := room.measuredRows(f), new(rowRoom).measuredRows(f)
			if !slices.Equal(got, want) {
				t.Errorf("%s: %v, want %v", job.Name, got, want)
			}
			for i := range want {
				if rows++; want[i].bits > 0 && want[i].tube > 0 {
					tell++
				}
			}
			u.Done()
			return true
		})
	}
	if rows < 100 || tell < 20 {
		t.Errorf("%d rows, of which %d tell anything by amount and tube: hardly tried", rows, tell)
	}
}

// mixed are programmes of few jobs, unlike each other.
func mixed() []programme {
	var out []programme
	for i, counting := range []string{"ends", "fresh", "running", "shared", "weight"} {
		out = append(out, programme{jobs: 2, bays: 30 - 5*i, crews: []habitOfCrew{
			{counting: counting, spread: 0.031, depth: 5.5, tube: i%2 == 0},
			{counting: counting, spread: 0.031, depth: 9.25, like: true, tube: true},
		}})
	}
	return out
}
