package joblog_test

import (
	"errors"
	"io"
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"bayproof/model"
	"bayproof/model/joblog"
)

// failing is a folder in which one file fails, or changes, while it is read.
type failing struct {
	fs.FS
	name  string
	after int   // bytes that can be read
	err   error // what comes then; io.EOF where the file only changes
	grow  bool  // it is longer than when it was opened
}

func (f failing) Open(name string) (fs.File, error) {
	if name == f.name && f.after < 0 {
		return nil, &fs.PathError{Op: "open", Path: name, Err: f.err}
	}
	file, err := f.FS.Open(name)
	if err != nil || name != f.name {
		return file, err
	}
	return &failingFile{File: file, failing: f, left: f.after}, nil
}

type failingFile struct {
	fs.File
	failing
	left int
	read bool
}

func (f *failingFile) Read(p []byte) (int, error) {
	f.read = true
	if f.grow {
		return f.File.Read(p)
	}
	if f.left == 0 {
		return 0, &fs.PathError{Op: "read", Path: f.name, Err: f.err}
	}
	n, err := f.File.Read(p[:min(len(p), f.left)])
	f.left -= n
	return n, err
}

func (f *failingFile) Stat() (fs.FileInfo, error) {
	info, err := f.File.Stat()
	if f.grow && f.read && err == nil {
		return grown{info}, nil
	}
	return info, err
}

type grown struct{ fs.FileInfo }

func (g grown) Size() int64        { return g.FileInfo.Size() + 40 }
func (g grown) ModTime() time.Time { return g.FileInfo.ModTime() }

func wholeJob(many bool) fstest.MapFS {
	if many {
		return fstest.MapFS{"bays.csv": {Data: []byte("job,section,bay,width,depth,length,weight\nJ1,n,b,22.5,5.5,12,30\nJ2,n,b,22.5,5.5,12,30\nJ3,n,b,22.5,5.5,12,30\n")}}
	}
	return fstest.MapFS{
		"bays.csv":      {Data: []byte("section,bay,width,depth,length,weight\nn,b,22.5,5.5,12,30\n")},
		"job.csv":       {Data: []byte("name,value\ncrew,two\n")},
		"sections.csv":  {Data: []byte("section,kind\nn,rafter\n")},
		"cores.csv":     {Data: []byte("section,bay,kind,diameter,depth,weight\n")},
		"photos/b1.jpg": {Data: []byte("not a picture")},
	}
}

// scanned reads every job of a folder as check does.
func scanned(fsys fs.FS) (jobs int, faults []model.Fault) {
	joblog.Scan(fsys, "", joblog.Options{Name: "j"}, func(u *joblog.Unread) bool {
		job, bad := u.Read()
		if job != nil {
			jobs++
		}
		faults = append(faults, bad...)
		return true
	})
	return jobs, faults
}

// A file that cannot be opened, that breaks off or that vanishes while it is read gives a fault
// that names it; no figure comes from half a file.
func TestFilesThatFail(t *testing.T) {
	broken := errors.New("input/output error")
	for _, name := range []string{"bays.csv", "job.csv", "sections.csv", "cores.csv"} {
		for _, x := range []struct {
			after int
			err   error
			want  string
		}{
			{-1, fs.ErrPermission, "may not be read"},
			{-1, broken, "can't be read: input/output error"},
			{0, fs.ErrNotExist, "no such file"}, // gone between opening and reading, as on a network's disk
			{0, broken, "can't be read: input/output error"},
			{12, broken, "can't be read: input/output error"},
			{12, fs.ErrClosed, "can't be read: file already closed"},
		} {
			fsys := failing{FS: wholeJob(false), name: name, after: x.after, err: x.err}
			if x.after == 0 && x.err == fs.ErrNotExist && name != "bays.csv" {
				continue // a file that need not be there: as if it had never been
			}
			jobs, faults := scanned(fsys)
			read, readFaults := joblog.Read(fsys, "", joblog.Options{Name: "j"})
			if jobs > 0 || read != nil {
				t.Errorf("%s failing after %d bytes (%v): a job came out", name, x.after, x.err)
			}
			for _, list := range [][]model.Fault{faults, readFaults} {
				if len(list) == 0 || list[0].Src.File != name || !strings.Contains(list[0].What, x.want) {
					t.Errorf("%s failing after %d bytes (%v): told %v", name, x.after, x.err, list)
				}
			}
		}
	}
}

// A log of many jobs that breaks off gives the jobs before the break, and a fault.
func TestManyJobsThatFail(t *testing.T) {
	whole, none := scanned(wholeJob(true))
	if whole != 3 || len(none) > 0 {
		t.Fatalf("%d jobs, %v", whole, none)
	}
	size := len(wholeJob(true)["bays.csv"].Data)
	for after := range size {
		jobs, faults := scanned(failing{FS: wholeJob(true), name: "bays.csv", after: after, err: io.ErrUnexpectedEOF})
		if len(faults) == 0 || jobs > 2 {
			t.Errorf("broken off after %d of %d bytes: %d jobs, %v", after, size, jobs, faults)
		}
	}
}

// A log that someone writes to while it is read is no basis for a verdict.
func TestLogThatChanges(t *testing.T) {
	for _, many := range []bool{false, true} {
		jobs, faults := scanned(failing{FS: wholeJob(many), name: "bays.csv", grow: true})
		if len(faults) != 1 || !strings.Contains(faults[0].What, "written to while it was read") || !many && jobs > 0 {
			t.Errorf("many jobs %v: %d jobs, told %v", many, jobs, faults)
		}
	}
}

// The same holds for every file of a job, and for one job read by itself as record and plan do: one
// fault, which names the file.
func TestFilesThatChange(t *testing.T) {
	for _, name := range []string{"bays.csv", "job.csv", "sections.csv", "cores.csv"} {
		fsys := failing{FS: wholeJob(false), name: name, grow: true}
		job, faults := joblog.Read(fsys, "", joblog.Options{Name: "j", KeepRaw: true, Hash: true})
		want := model.Fault{Src: model.Place{Source: model.Source{File: name}}, What: "was written to while it was read", Hint: "type the command again"}
		if job != nil || len(faults) != 1 || faults[0] != want {
			t.Errorf("%s: job %v, told %v", name, job != nil, faults)
		}
		if jobs, faults := scanned(fsys); jobs > 0 || len(faults) != 1 || faults[0] != want {
			t.Errorf("%s: %d jobs, told %v", name, jobs, faults)
		}
	}
	if job, faults := joblog.Read(failing{FS: wholeJob(false), name: "record.html", grow: true}, "", joblog.Options{Name: "j"}); job == nil {
		t.Errorf("a file that is not read: told %v", faults)
	}
}

// A photo that is still being copied in is left out with a warning.
func TestPhotoThatChanges(t *testing.T) {
	job, faults := joblog.Read(failing{FS: wholeJob(false), name: "photos/b1.jpg", grow: true}, "", joblog.Options{Name: "j", Photos: true})
	if job == nil {
		t.Fatal(faults)
	}
	if len(job.Photos) > 0 || len(job.Warnings) != 1 || job.Warnings[0].Text != "was written to while it was read (type the command again)" {
		t.Errorf("photos %v, warned of %v", job.Photos, job.Warnings)
	}
}

// Photos that cannot be listed are worth a warning, not a verdict.
func TestPhotosThatFail(t *testing.T) {
	job, faults := joblog.Read(failing{FS: wholeJob(false), name: "photos", after: -1, err: fs.ErrPermission}, "", joblog.Options{Name: "j", Photos: true})
	if job == nil {
		t.Fatal(faults)
	}
	for _, w := range job.Warnings {
		if w.Code == "photos" && strings.Contains(w.Text, "may not be read") {
			return
		}
	}
	t.Errorf("warned of %v", job.Warnings)
}
