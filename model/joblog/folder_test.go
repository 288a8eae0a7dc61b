package joblog

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// jobOnDisk writes a job folder and returns it.
func jobOnDisk(t *testing.T, texts map[string]string) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "job")
	if err := os.MkdirAll(filepath.Join(dir, "photos"), 0o777); err != nil {
		t.Fatal(err)
	}
	for name, text := range texts {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func openFolder(t *testing.T, at string) *Folder {
	t.Helper()
	f, err := Open(at)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	return f
}

// TestOneFolderOneJob: the folder and its log are the same job.
func TestOneFolderOneJob(t *testing.T) {
	dir := jobOnDisk(t, map[string]string{"job.csv": "name,value\nbag_weight,25 lb\ncrew,two\n", "bays.csv": head + filled("b1", "bags=2"),
		"sections.csv": "section,bays\nn,3\n"})
	var got []string
	for _, at := range []string{dir, filepath.Join(dir, "bays.csv")} {
		f := openFolder(t, at)
		job, faults := Read(f.FS, f.Log, Options{Name: f.Name})
		if len(faults) > 0 {
			t.Fatal(told(faults))
		}
		if job.Name != "job" || job.Settings.Crew != "two" || job.Sections[0].Expected != 3 {
			t.Errorf("%s: job %s, crew %s", at, job.Name, job.Settings.Crew)
		}
		got = append(got, standing(job)+job.Inputs[0].SHA256)
	}
	if got[0] != got[1] {
		t.Errorf("the folder says\n%s\nits log\n%s", got[0], got[1])
	}
}

// TestLinksOutOfTheFolder: neither a link nor a name leads out of the job folder.
func TestLinksOutOfTheFolder(t *testing.T) {
	dir := jobOnDisk(t, map[string]string{"job.csv": "name,value\nbag_weight,25 lb\n"})
	secret := filepath.Join(filepath.Dir(dir), "secret.csv")
	if err := os.WriteFile(secret, []byte(head+filled("b1", "bags=2")), 0o666); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(secret, filepath.Join(dir, "bays.csv")); err != nil {
		t.Skip("no links here:", err)
	}
	f := openFolder(t, dir)
	for _, log := range []string{"bays.csv", "../secret.csv"} {
		job, faults := Read(f.FS, log, Options{})
		if job != nil || len(faults) == 0 || !strings.Contains(faults[0].What, "can't be read") {
			t.Errorf("%s: %s", log, told(faults))
		}
	}
}

// TestPhotosListed: by name, hash and size, without what is hidden.
func TestPhotosListed(t *testing.T) {
	dir := jobOnDisk(t, map[string]string{"bays.csv": head + filled("b1", "bags=2"), "photos/b1.jpg": "abc", "photos/.hidden": "x"})
	f := openFolder(t, dir)
	job, faults := Read(f.FS, f.Log, Options{Photos: true, Flags: map[string]string{"bag_weight": "25 lb"}})
	if len(faults) > 0 {
		t.Fatal(told(faults))
	}
	// SHA-256 of "abc": FIPS 180-2, appendix B.1.
	const sum = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
	if len(job.Photos) != 1 || job.Photos[0].SHA256 != sum || job.Photos[0].Bytes != 3 {
		t.Errorf("%+v", job.Photos)
	}
}

// TestAllFaultsAtOnce: of all files, in the order job.csv, sections.csv, bays.csv, cores.csv.
func TestAllFaultsAtOnce(t *testing.T) {
	_, faults := Read(files(map[string]string{
		"job.csv": "name,value\ntarget,heavy\nbag_weight,25 lb\ncolour,red\n", "sections.csv": "section,kind\nn,cellar\n",
		"bays.csv": head + filled("b1", "bags=x") + filled("b2"), "cores.csv": "section,bay,diameter,depth,weight\nn,b9,2,3,11\n"}), "", Options{})
	var files []string
	for _, f := range faults {
		if len(files) == 0 || files[len(files)-1] != f.Src.File {
			files = append(files, f.Src.File)
		}
	}
	if got := strings.Join(files, " "); got != "job.csv sections.csv bays.csv cores.csv" {
		t.Errorf("%s\n%s", got, told(faults))
	}
}

// TestManyFaults: of a hopeless file the first hundred are told, and how many there are more.
func TestManyFaults(t *testing.T) {
	_, faults := readLog(head + strings.Repeat(filled("b1", "bags=x"), 5000))
	if n := len(faults); n != maxFaults+1 || faults[n-1].What != "4900 more faults in this file" {
		t.Errorf("%d faults, the last: %s", n, faults[n-1].What)
	}
}
