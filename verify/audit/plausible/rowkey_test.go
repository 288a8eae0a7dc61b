package plausible

import (
	"math/rand/v2"
	"slices"
	"testing"
	"testing/fstest"

	"bayproof/model/joblog"
	"bayproof/verify"
)

// TestRowsTell: the keys of a job's rows hang on that job alone, and tell something by amount and
// by the tube.
func TestRowsTell(t *testing.T) {
	r := rand.New(rand.NewPCG(10, 10))
	rows, tell := 0, 0
	for _, p := range mixed() {
		opt := joblog.Options{Flags: map[string]string{"bag_weight": "25 lb", "rule": "guarded"}}
		joblog.Scan(fstest.MapFS{"many.csv": &fstest.MapFile{Data: []byte(p.write(r))}}, "many.csv", opt, func(u *joblog.Unread) bool {
			job, faults := u.Read()
			if job == nil {
				t.Fatal(faults)
			}
			f := verify.Check(job, verify.Options{})
			keys := measuredRows(f)
			if again := measuredRows(f); !slices.Equal(keys, again) {
				t.Errorf("%s: %v, then %v", job.Name, keys, again)
			}
			for _, k := range keys {
				if rows++; k.bits > 0 && k.wayBits > 0 {
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
