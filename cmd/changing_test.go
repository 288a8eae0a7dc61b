package cmd_test

import (
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"
)

// While a file of the job is written to, a record is made of the whole file or not at all: never of a part, and never is
// half a record left.
func TestRecordWhileWrittenTo(t *testing.T) {
	for _, name := range []string{"bays.csv", "job.csv"} {
		dir := t.TempDir()
		makeFile(t, filepath.Join(dir, "bays.csv"), "section,bay,width,depth,length,weight\nA,b1,14.5,5.5,12,25\n")
		makeFile(t, filepath.Join(dir, "job.csv"), "name,value\ncrew,two\n")
		stop := make(chan struct{})
		var busy sync.WaitGroup
		busy.Go(func() {
			at := time.Now()
			for {
				select {
				case <-stop:
					return
				default:
					at = at.Add(time.Millisecond)
					_ = os.Chtimes(filepath.Join(dir, name), at, at) // as every write does
				}
			}
		})
		record := filepath.Join(dir, "record.html")
		refused := 0
		for until := time.Now().Add(20 * time.Second); refused == 0 && time.Now().Before(until); {
			os.Remove(record)
			code, _, stderr := runCommand(t, "record", dir)
			page, err := os.ReadFile(record)
			switch {
			case code == 0 && err == nil && strings.HasSuffix(strings.TrimSpace(string(page)), "</html>"):
			case code == 1 && os.IsNotExist(err):
				want := "bayproof: error: " + filepath.Join(dir, name) + ": was written to while it was read\nbayproof: hint: type the command again\n"
				if refused++; stderr != want {
					t.Errorf("%s: told\n%s\nwant\n%s", name, stderr, want)
				}
			default:
				t.Fatalf("%s: exit code %d, record of %d bytes (%v)\n%s", name, code, len(page), err, stderr)
			}
		}
		close(stop)
		busy.Wait()
		if refused == 0 {
			t.Errorf("%s was written to all the time, and nobody noticed", name)
		}
		left, _ := filepath.Glob(filepath.Join(dir, ".*"))
		if len(left) > 0 {
			t.Errorf("left behind: %v", left)
		}
	}
}
