package joblog

import (
	"bytes"
	"fmt"
	"testing"
	"testing/fstest"

	"bayproof/model"
)

// manyJobs writes a log of jobs of forty bays each, of eleven columns.
func manyJobs(jobs int) []byte {
	var b bytes.Buffer
	b.WriteString("job,section,bay,entry,width,depth,length,bags,by,note,time\n")
	for j := range jobs {
		for k := range 40 {
			section := "north"
			if k >= 20 {
				section = "south"
			}
			fmt.Fprintf(&b, "J%05d,%s,b%d,fill,22.5,5.%d,12,1.%d,tk,,2026-05-12 %02d:%02d\n", j, section, k+1, 5+k%3, 5+k%2*25, 7+k/6, k%6*10)
		}
	}
	return b.Bytes()
}

func BenchmarkScan(b *testing.B) {
	const jobs = 500
	files := fstest.MapFS{"bays.csv": {Data: manyJobs(jobs)}}
	opt := Options{Flags: map[string]string{"bag_weight": "25 lb"}}
	b.ReportAllocs()
	for b.Loop() {
		Scan(files, "", opt, func(u *Unread) bool {
			job, faults := u.Read()
			if len(faults) > 0 || len(job.Bays) != 40 {
				b.Fatal(faults)
			}
			u.Done()
			return true
		})
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/(jobs*40), "ns/row")
}

var _ model.Job
