package joblog

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"

	"bayproof/model"
)

// manyJobs writes a log of jobs of forty bays each, of eleven columns.
func manyJobs(jobs int) []byte {
	var b bytes.Buffer
	b.WriteString("job,section,bay,entry,width,depth,length,bags,by,note,time\n")
	for j := range jobs {
		b.WriteString(fortyBays(fmt.Sprintf("J%05d,", j)))
	}
	return b.Bytes()
}

// fortyBays are the rows of one job, with what goes before each.
func fortyBays(before string) string {
	var b strings.Builder
	for k := range 40 {
		section := "north"
		if k >= 20 {
			section = "south"
		}
		fmt.Fprintf(&b, "%s%s,b%d,fill,22.5,5.%d,12,1.%d,tk,,2026-05-12 %02d:%02d\n", before, section, k+1, 5+k%3, 5+k%2*25, 7+k/6, k%6*10)
	}
	return b.String()
}

func bagsOf25() Options { return Options{Flags: map[string]string{"bag_weight": "25 lb"}} }

// scanned reads all jobs of a log and writes what they come to.
func scanned(log []byte) (jobs []string) {
	Scan(fstest.MapFS{"bays.csv": {Data: log}}, "", bagsOf25(), func(u *Unread) bool {
		job, faults := u.Read()
		if job == nil {
			jobs = append(jobs, told(faults))
		} else {
			jobs = append(jobs, job.Name+"\n"+standing(job)+gist(job.Log))
		}
		u.Done()
		return true
	})
	return jobs
}

// TestScanIsRead: jobs cut out of a long log are what each is by itself, wherever the blocks end.
func TestScanIsRead(t *testing.T) {
	const n = 300 // some three blocks
	log := manyJobs(n)
	if len(log) < 2*block {
		t.Fatal("the log is too short to be cut")
	}
	got := scanned(log)
	if len(got) != n {
		t.Fatalf("%d jobs, want %d", len(got), n)
	}
	alone := mustRead(t, "section,bay,entry,width,depth,length,bags,by,note,time\n"+fortyBays(""))
	want := standing(alone) + gist(alone.Log)
	for i, g := range got {
		if g != fmt.Sprintf("J%05d\n", i)+want {
			t.Fatalf("job %d is\n%s", i, g)
		}
	}
}

// TestScanLines: places are those of the whole file, whatever stands between.
func TestScanLines(t *testing.T) {
	log := "\ufeffsep=,\r\njob,section,bay,width,depth,length,bags\r\n\r\nA,n,b1,22.5,5.5,12,2\r\nB,n,b1,22.5,x,12,2\r\n" +
		"job,section,bay,width,depth,length,bags\r\nB,n,b2,22.5,5.5,12,2\r\n\"C\",n,b1,22.5,5.5,y,2\r\n"
	got := scanned([]byte(log))
	if len(got) != 3 || !strings.HasPrefix(got[0], "A\n") || !strings.HasPrefix(got[1], "bays.csv:5:5: ") || !strings.HasPrefix(got[2], "bays.csv:8:6: ") {
		t.Errorf("%q", got)
	}
}

// TestJobComesAgain: names the line and the line where the job began; the other jobs are good.
func TestJobComesAgain(t *testing.T) {
	got := scanned([]byte("job,section,bay,width,depth,length,bags\nA,n,b1,22.5,5.5,12,2\nB,n,b1,22.5,5.5,12,2\nA,n,b2,22.5,5.5,12,2\nC,n,b1,22.5,5.5,12,2\n"))
	want := "bays.csv:4:1: job A comes again: it began in row 2, and another job stands in between (put a job's rows together; was the file sorted?)\n"
	if len(got) != 4 || got[2] != want || !strings.HasPrefix(got[3], "C\n") {
		t.Errorf("%q", got)
	}
}

// TestJobsInAnyColumn: the job column may stand anywhere, quoted or not, in any separator.
func TestJobsInAnyColumn(t *testing.T) {
	got := scanned([]byte("section;bay;width;depth;length;bags;job\nn;b1;22,5;5,5;12;2;A\nn;b2;22,5;5,5;12;2;\"A\"\nn;b1;22.5;5.5;12;2;B\n"))
	if len(got) != 2 || !strings.HasPrefix(got[0], "A\n") || !strings.HasPrefix(got[1], "B\n") {
		t.Errorf("%q", got)
	}
}

// TestJobBlank: a row without a job belongs to none.
func TestJobBlank(t *testing.T) {
	got := scanned([]byte("job,section,bay,width,depth,length,bags\nA,n,b1,22.5,5.5,12,2\n,n,b2,22.5,5.5,12,2\n"))
	if len(got) != 1 || got[0] != "bays.csv:3:1: job is blank (fill the name down; delete a row of totals)\n" {
		t.Errorf("%q", got)
	}
}

// TestSettingsInColumns: any name of job.csv as a further column, its value on the job's first row.
func TestSettingsInColumns(t *testing.T) {
	log := "job,crew,bag weight,section,bay,width,depth,length,bags\nA,one,30 lb,n,b1,22.5,5.5,12,2\nA,,,n,b2,22.5,5.5,12,2\nB,two,20 lb,n,b1,22.5,5.5,12,2\nC,one,,n,b1,22.5,5.5,12,2\n" +
		"D,one,30 lb,n,b1,22.5,5.5,12,2\nD,two,30 lb,n,b2,22.5,5.5,12,2\n"
	var got []string
	Scan(fstest.MapFS{"bays.csv": {Data: []byte(log)}, "job.csv": {Data: []byte("name,value\nbag_weight,25 lb\ncrew,nobody\n")}}, "", Options{}, func(u *Unread) bool {
		job, faults := u.Read()
		if job == nil {
			got = append(got, told(faults))
		} else {
			got = append(got, fmt.Sprintf("%s %s %.4g", job.Settings.Job, job.Settings.Crew, job.Settings.BagWeight/model.Pound))
		}
		u.Done()
		return true
	})
	want := []string{"A one 30", "B two 20", "C one 25", "bays.csv:7:2: crew is \"two\" here and \"one\" in the job's first row (write it once, in the job's first row)\n"}
	if strings.Join(got, "|") != strings.Join(want, "|") {
		t.Errorf("%q, want %q", got, want)
	}
}

// TestOneJobAlone: Read takes one job; a log of more is not cut down to the first.
func TestOneJobAlone(t *testing.T) {
	job, faults := readLog("job,section,bay,width,depth,length,bags\nA,n,b1,22.5,5.5,12,2\nB,n,b1,22.5,5.5,12,2\n")
	if job != nil || len(faults) != 1 || faults[0].What != "the log has more than one job: A, and from here B" {
		t.Error(told(faults))
	}
	if job := mustRead(t, "job,section,bay,width,depth,length,bags\nA,n,b1,22.5,5.5,12,2\n"); job.Name != "A" || job.Settings.From["job"] != model.OriginJob {
		t.Errorf("job %q", job.Name)
	}
}

// TestScanStops: early, when nobody wants more.
func TestScanStops(t *testing.T) {
	n := 0
	Scan(fstest.MapFS{"bays.csv": {Data: manyJobs(20)}}, "", bagsOf25(), func(*Unread) bool { n++; return n < 3 })
	if n != 3 {
		t.Errorf("%d jobs were given", n)
	}
}

// TestScanOfOneJob: a log without a column job, one with a bad header and one that is not there
// each give one answer.
func TestScanOfOneJob(t *testing.T) {
	if got := scanned([]byte(head + filled("b1", "bags=2"))); len(got) != 1 || !strings.Contains(got[0], "n/b1 order 1") {
		t.Errorf("%q", got)
	}
	if got := scanned([]byte("job,widht,bay\nA,1,2\n")); len(got) != 1 || !strings.Contains(got[0], "no column is called widht") {
		t.Errorf("%q", got)
	}
	Scan(fstest.MapFS{}, "", Options{}, func(u *Unread) bool {
		if _, faults := u.Read(); len(faults) != 1 || faults[0].What != "there is no such file" {
			t.Error(told(faults))
		}
		return true
	})
}

// TestScanTogether: jobs read by several goroutines at once are the same jobs.
func TestScanTogether(t *testing.T) {
	log := manyJobs(100)
	want := scanned(log)
	got := make([]string, len(want))
	done := make(chan bool)
	todo := make(chan func(), 8)
	for range 4 {
		go func() {
			for work := range todo {
				work()
			}
			done <- true
		}()
	}
	i := 0
	Scan(fstest.MapFS{"bays.csv": {Data: log}}, "", bagsOf25(), func(u *Unread) bool {
		at := i
		i++
		todo <- func() {
			job, _ := u.Read()
			got[at] = job.Name + "\n" + standing(job) + gist(job.Log)
			u.Done()
		}
		return true
	})
	close(todo)
	for range 4 {
		<-done
	}
	for i := range want {
		if got[i] != want[i] {
			t.Fatalf("job %d is\n%s", i, got[i])
		}
	}
}

func BenchmarkScan(b *testing.B) {
	const jobs = 500
	files := fstest.MapFS{"bays.csv": {Data: manyJobs(jobs)}}
	b.ReportAllocs()
	for b.Loop() {
		Scan(files, "", bagsOf25(), func(u *Unread) bool {
			job, faults := u.Read()
			if len(faults) > 0 || len(job.Bays) != 40 {
				b.Fatal(told(faults))
			}
			u.Done()
			return true
		})
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/(jobs*40), "ns/row")
}

// TestManyJobsBeside: sections of many jobs say which job they belong to.
func TestManyJobsBeside(t *testing.T) {
	log := "job,section,bay,width,depth,length,bags\nA,n,b1,22.5,5.5,12,2\nB,n,b1,22.5,5.5,12,2\n"
	scan := func(sections string) (got []string) {
		fsys := fstest.MapFS{"bays.csv": {Data: []byte(log)}, "sections.csv": {Data: []byte(sections)}}
		Scan(fsys, "", bagsOf25(), func(u *Unread) bool {
			job, faults := u.Read()
			if job == nil {
				got = append(got, told(faults))
			} else {
				got = append(got, fmt.Sprintf("%s %d", job.Name, job.Sections[0].Expected))
			}
			u.Done()
			return true
		})
		return got
	}
	if got := scan("section,bays\nn,3\n"); len(got) != 1 || got[0] != "sections.csv:1:0: the log beside it has many jobs, and this file has no column job (add a column job)\n" {
		t.Errorf("%q", got)
	}
	if got := scan("job,section,bays\nA,n,3\nB,n,4\n"); strings.Join(got, "|") != "A 3|B 4" {
		t.Errorf("%q", got)
	}
	log = "job,section,bay,width,depth,length,bags\nA,n,b1,22.5,5.5,12,2\n"
	if got := scan("section,bays\nn,3\n"); strings.Join(got, "|") != "A 3" {
		t.Errorf("%q", got)
	}
}

// TestScanDecimalMarks: each job of a log has its own decimal mark, whatever that of the job before
// it is.
func TestScanDecimalMarks(t *testing.T) {
	var log strings.Builder
	log.WriteString("job;section;bay;width;depth;length;bags\n")
	for i, mark := range []string{".", ",", ",", "."} {
		log.WriteString(strings.ReplaceAll(fmt.Sprintf("J%d;n;b1;22.5;5.5;12.25;1.75\n", i), ".", mark))
	}
	read := 0
	Scan(fstest.MapFS{"bays.csv": {Data: []byte(log.String())}}, "", bagsOf25(), func(u *Unread) bool {
		job, faults := u.Read()
		if job == nil {
			t.Fatal(told(faults))
		}
		p := job.Bays[0].Pieces[0]
		got := [4]float64{p.Width.Mean(), p.Depth.Mean(), p.Length.Mean(), job.Bays[0].Fill.Material.Bags}
		if want := [4]float64{22.5 * model.Inch, 5.5 * model.Inch, 12.25 * model.Foot, 1.75}; got != want {
			t.Errorf("%s: %v, want %v", job.Name, got, want)
		}
		read++
		u.Done()
		return true
	})
	if read != 4 {
		t.Errorf("%d jobs, want 4", read)
	}
}

// TestScanUTF16: a log of many jobs in UTF-16 is cut and read as the same log in UTF-8 is.
func TestScanUTF16(t *testing.T) {
	log := string(manyJobs(300)) // some blocks
	want := scanned([]byte(log))
	for _, e := range []encoding{utf16Little, utf16Big} {
		for _, mark := range []string{bom, ""} {
			coded, err := e.coder().NewEncoder().String(mark + log)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(want, scanned([]byte(coded))); diff != "" {
				t.Errorf("UTF-16 reads otherwise:\n%s", diff)
			}
		}
	}
}

// TestBrokenCellsOfManyJobs: a cell with line breaks cuts no job in two, and the rows of the jobs
// behind it are told by the numbers that a spreadsheet shows, whatever the line end, the encoding
// and where the blocks end in which the log is read.
func TestBrokenCellsOfManyJobs(t *testing.T) {
	rows := func(end string, far int) string {
		note := strings.Repeat("x", far)
		return strings.Join([]string{
			"sep=;", "section;job;bay;width;depth;length;weight;note",
			"n;J1;b1;22.5;5.5;12;30;" + note,
			"n;J1;b2;22.5;5.5;12;30;\"wet", "at the eave", "here\"",
			"n;J1;b3;22.5;0;12;30;",
			"n;J2;b1;22.5;5.5;12;30;12' 6\"",
			"n;J2;b2;22.5;5.5;12;30;\"x", "y\"",
			"n;J3;b1;22.5;5.5;12;30;\"nothing closes it",
			"n;J3;b2;22.5;5.5;12;30;",
			"n;J4;b1;22,5;5.5;12;30;",
			"n;J2;b7;22.5;5.5;12;30;\"z", "z\"",
		}, end)
	}
	want := strings.Join([]string{
		`bays.csv, row 3 (line 4), column H "note": this cell has a line break: its quote closes on line 6 of the file`,
		`bays.csv, row 4 (line 7), column E "depth": depth 0 is zero`,
		`bays.csv, row 6 (line 9), column H "note": this cell has a line break: its quote closes on line 10 of the file`,
		`bays.csv, row 7 (line 11), column H "note": a quote opens this cell and nothing closes it`,
		`bays.csv, row 9 (line 13), column D "width": 22,5 has a decimal comma, and 5.5 in row 9 a decimal point`,
		`bays.csv, row 9 (line 13), column E "depth": depth 5.5 has a decimal point, and this file uses the comma`,
		`bays.csv, row 10 (line 14), column B "job": job J2 comes again: it began in row 5, and another job stands in between`,
	}, "\n")
	var logs []string
	for _, end := range []string{"\n", "\r\n", "\r"} {
		logs = append(logs, rows(end, 0), rows(end, 0)+end, "\xff\xfe"+widely(rows(end, 0)))
	}
	for _, at := range []int{0, 30, 41, 60} { // the break stands on either side of a block's end
		logs = append(logs, rows("\n", block-120+at))
	}
	for i, log := range logs {
		var told []string
		Scan(fstest.MapFS{"bays.csv": {Data: []byte(log)}}, "", Options{}, func(u *Unread) bool {
			_, faults := u.Read()
			for _, f := range faults {
				if !strings.HasPrefix(f.What, "this row has") { // the one that makes the log long
					told = append(told, f.Src.String()+": "+f.What)
				}
			}
			return true
		})
		if got := strings.Join(told, "\n"); got != want {
			t.Errorf("log %d: told\n%s\nwant\n%s", i, got, want)
		}
	}
}
