//go:build unix

package joblog_test

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"bayproof/model/joblog"
)

// A pipe under the name of one of a job's files is not waited for: nobody may ever write into it.
func TestPipes(t *testing.T) {
	for _, name := range []string{"bays.csv", "job.csv", "sections.csv", "cores.csv", "photos/b1.jpg"} {
		dir := t.TempDir()
		if err := os.WriteFile(filepath.Join(dir, "bays.csv"), []byte("bay,width,depth,length,weight,photo\nb1,22.5,5.5,12,30,b1.jpg\n"), 0o644); err != nil {
			t.Fatal(err)
		}
		pipe := filepath.Join(dir, filepath.FromSlash(name))
		_ = os.Remove(pipe)
		if err := os.MkdirAll(filepath.Dir(pipe), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := syscall.Mkfifo(pipe, 0o644); err != nil {
			t.Skipf("NOT RUN: no pipe can be made here: %v", err)
		}
		told := make(chan string, 1)
		go func() {
			folder, err := joblog.Open(dir)
			if err != nil {
				told <- err.Error()
				return
			}
			defer folder.Close()
			text := ""
			job, faults := joblog.Read(folder.FS, folder.Log, joblog.Options{Photos: true})
			for _, f := range faults {
				text += f.What
			}
			if job != nil {
				for _, w := range job.Warnings {
					text += w.Text
				}
			}
			told <- text
		}()
		select {
		case text := <-told:
			if !strings.Contains(text, "not a file") {
				t.Errorf("%s: told %q", name, text)
			}
		case <-time.After(time.Minute):
			t.Errorf("%s: is waited for", name)
			if f, err := os.OpenFile(pipe, os.O_WRONLY|syscall.O_NONBLOCK, 0); err == nil {
				f.Close() // lets the reader go
			}
		}
	}
}
