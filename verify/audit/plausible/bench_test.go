package plausible

import (
	"math/rand/v2"
	"testing"
	"testing/fstest"

	"bayproof/model"
	"bayproof/model/joblog"
	"bayproof/verify"
)

// BenchmarkOf is what is looked at in a bay, after it was judged: for honest crews, and for one
// that works backwards, which costs most.
func BenchmarkOf(b *testing.B) {
	for _, x := range []struct {
		name string
		p    programme
	}{{"honest", honest("ends")}, {"weighed", honest("weight")}, {"backward", programme{jobs: 6, bays: 24, crews: []habitOfCrew{{counting: "ends", backward: true, depth: 5.5}}}}} {
		b.Run(x.name, func(b *testing.B) {
			var all []*verify.Findings
			opt := joblog.Options{Flags: map[string]string{"bag_weight": "25 lb", "rule": "guarded"}}
			text := x.p.write(rand.New(rand.NewPCG(9, 9)))
			joblog.Scan(fstest.MapFS{"many.csv": &fstest.MapFile{Data: []byte(text)}}, "many.csv", opt, func(u *joblog.Unread) bool {
				var job *model.Job
				if job, _ = u.Read(); job == nil {
					b.Fatal("not read")
				}
				all = append(all, verify.Check(job, verify.Options{}))
				return true
			})
			for b.Loop() {
				for _, f := range all {
					Of(f, nil)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(all)*24), "ns/bay")
		})
	}
}
