package cmd_test

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"bayproof/cmd"
)

// obeys are characters in a text that a terminal would do something with.
func obeys(text string) string {
	for _, r := range text {
		if r < ' ' && r != '\n' && r != '\t' && r != '\r' || r >= 0x7f && r <= 0x9f {
			return string(r)
		}
	}
	return ""
}

// Names of folders, sections, bays and people hold what a terminal obeys: no screen and no file
// shows any of it, but for the record's copies of the job's files, which are base64.
func TestNothingIsObeyed(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no such names there")
	}
	dir := filepath.Join(t.TempDir(), "a\x1b[2Jb\ac\u009b")
	files := map[string]string{
		"job.csv":      "name,value\nbag_weight,25 lb\nsite,\x1b]0;x\a\ncrew,＝1+1\n",
		"sections.csv": "section,kind\nn\x1b[31m\a,rafter\n",
		"bays.csv":     "section,bay,width,depth,length,bags,by,note\nn\x1b[31m\a,b\u009b1,22.5,5.5,12,1.75,\x1b[1mab,\a＋cmd\n",
	}
	if err := os.Mkdir(dir, 0o777); err != nil {
		t.Fatal(err)
	}
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	page, todo, sheets := filepath.Join(dir, "review.html"), filepath.Join(dir, "todo.html"), filepath.Join(dir, "sheets.html")
	for _, args := range [][]string{
		{"check", dir}, {"check", dir, "-f", "csv"}, {"check", dir, "-f", "json"}, {"check", dir, "--why"}, {"record", dir}, {"plan", dir}, {"plan", dir, "--sheets"},
		{"plan", dir, "--todo", "-o", todo}, {"review", dir}, {"review", dir, "--html", page}, {"review", dir, "-f", "csv"}, {"recheck", filepath.Join(dir, "record.html")},
		{"fields", dir}, {"log", dir}, {"start", filepath.Join(dir, "x\x1b[2J"), "--yes", "--bag-weight", "25 lb"}, {"start", dir, "--yes"}, {"check", dir + "\x1b[2J"},
	} {
		code, stdout, stderr := runCommand(t, args...)
		if code == 70 {
			t.Errorf("%q: %s", args[0], stderr)
		}
		if bad := obeys(stdout + stderr); bad != "" {
			t.Errorf("%q shows %q:\n%.300q\n%.300q", args, bad, stdout, stderr)
		}
	}
	for _, name := range []string{filepath.Join(dir, "record.html"), page, todo, sheets} {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Error(err)
		}
		if bad := obeys(string(text)); bad != "" {
			t.Errorf("%s holds %q", filepath.Base(name), bad)
		}
	}
	if _, table, _ := runCommand(t, "review", dir, "-f", "csv"); !strings.Contains(table, ",'＝1+1,") {
		t.Errorf("a spreadsheet would compute the crew's name:\n%s", table)
	}
}

// bursting is a stream that breaks the program that writes to it.
type bursting struct{ bytes.Buffer }

func (b *bursting) Write([]byte) (int, error) { panic("a fault of the program") }

// A fault of the program itself has an exit code of its own, and says that the files are not to
// blame.
func TestACrash(t *testing.T) {
	var stderr bytes.Buffer
	code := cmd.Run([]string{"version"}, &cmd.Env{Stdin: strings.NewReader(""), Stdout: &bursting{}, Stderr: &stderr, Now: time.Now, Getenv: func(string) string { return "" }})
	if code != 70 || !strings.HasPrefix(stderr.String(), "bayproof: error: this is a fault of bayproof and not of your files: a fault of the program\nbayproof: hint: ") {
		t.Errorf("exit code %d: %.300s", code, &stderr)
	}
	if !strings.Contains(stderr.String(), "bursting") {
		t.Errorf("no trace of where it was:\n%s", &stderr)
	}
}

// A signal leaves no hidden file where a result was being written, whatever moment it comes at.
func TestASignalLeavesNoFile(t *testing.T) {
	t.Parallel()
	if runtime.GOOS == "windows" {
		t.Skip("no such signals there")
	}
	dir := filepath.Join(t.TempDir(), "out")
	if err := os.Mkdir(dir, 0o777); err != nil {
		t.Fatal(err)
	}
	// Enough jobs that the command is at them for a while.
	pipe := filepath.Join(t.TempDir(), "jobs")
	if err := os.Mkdir(pipe, 0o777); err != nil {
		t.Fatal(err)
	}
	var log strings.Builder
	log.WriteString("job,section,bay,width,depth,length,bags\n")
	for i := range 200_000 {
		fmt.Fprintf(&log, "j%d,n,b%d,22.5,5.5,12,1.75\n", i/5, i)
	}
	if err := os.WriteFile(filepath.Join(pipe, "many.csv"), []byte(log.String()), 0o666); err != nil {
		t.Fatal(err)
	}
	signals := slices.DeleteFunc([]os.Signal{syscall.SIGTERM, os.Interrupt, syscall.SIGHUP}, signal.Ignored)
	if len(signals) == 0 {
		t.Skip("every signal is ignored here: nothing to try")
	}
	if len(signals) < 3 {
		t.Logf("only %v: the others are ignored here, as nohup has it", signals)
	}
	stopped := 0
	for n := range 6 {
		c := exec.Command("bayproof", "check", filepath.Join(pipe, "many.csv"), "-f", "json", "--bag-weight", "25 lb", "-o", filepath.Join(dir, "out.json"))
		c.Stdout, c.Stderr = io.Discard, io.Discard
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		notForever(t, c)
		for entries := []os.DirEntry(nil); len(entries) == 0 && !t.Failed(); entries, _ = os.ReadDir(dir) { // until its file stands there
			time.Sleep(2 * time.Millisecond)
		}
		_ = c.Process.Signal(signals[n%len(signals)])
		_ = c.Wait()
		if status, ok := c.ProcessState.Sys().(syscall.WaitStatus); ok && status.Signaled() {
			stopped++
		}
		entries, err := os.ReadDir(dir)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range entries {
			if strings.HasPrefix(e.Name(), ".") {
				t.Errorf("round %d: %s was left", n, e.Name())
			}
			_ = os.Remove(filepath.Join(dir, e.Name()))
		}
	}
	if stopped < 3 {
		t.Errorf("only %d of 6 were stopped by the signal: the test comes too late to show anything", stopped)
	}
}
