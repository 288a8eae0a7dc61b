package cmd

import (
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strings"
	"testing"
	"time"
)

// TestInOrder holds that results come in the order of the items, whichever is done first, and that
// an error ends it.
func TestInOrder(t *testing.T) {
	var got []int
	feed := func(give func(int) bool) {
		for i := range 500 {
			if !give(i) {
				return
			}
		}
	}
	work := func(i int) int {
		if i%7 == 0 {
			time.Sleep(time.Millisecond)
		}
		return i * i
	}
	if err := inOrder(feed, work, func(r int) error { got = append(got, r); return nil }); err != nil {
		t.Fatal(err)
	}
	for i, r := range got {
		if r != i*i {
			t.Fatalf("result %d is %d, want %d", i, r, i*i)
		}
	}
	if len(got) != 500 {
		t.Fatalf("%d results, want 500", len(got))
	}

	full := errors.New("disk full")
	for _, last := range []int{1, 100, 499} { // alone, among others, among the last few
		n := 0
		err := inOrder(feed, work, func(int) error {
			if n++; n == last {
				return full
			}
			return nil
		})
		if !errors.Is(err, full) || n != last {
			t.Errorf("an error at result %d: %v, %d results taken", last, err, n)
		}
	}
}

// A crash on a goroutine that feeds or works is one of the command: exit code 70, where it was,
// nothing of the result.
func TestACrashOfAWorker(t *testing.T) {
	dir := t.TempDir()
	log := "job,section,bay,width,depth,length,bags\n"
	for _, job := range []string{"j1", "j2", "j3"} {
		log += job + ",n,b1,22.5,5.5,12,2\n"
	}
	for name, text := range map[string]string{"bays.csv": log, "job.csv": "name,value\nbag_weight,25 lb\n"} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	var stdout, stderr bytes.Buffer
	code := Run([]string{"check", dir}, &Env{Stdin: strings.NewReader(""), Stdout: &stdout, Stderr: &stderr, Now: time.Now, StdoutTerminal: true,
		Getenv: func(name string) string {
			if name == "NO_COLOR" { // asked for where a job is laid out
				panic("a fault of the program")
			}
			return ""
		}})
	if code != 70 || stdout.Len() > 0 || !strings.HasPrefix(stderr.String(), "bayproof: error: this is a fault of bayproof and not of your files: a fault of the program\n") {
		t.Errorf("exit code %d\n%s\n%.300s", code, &stdout, &stderr)
	}
	if at := stderr.String(); !strings.Contains(at, "(*checkOptions).judge") || strings.Contains(at, "cmd.Run(") {
		t.Errorf("not on a goroutine of its own:\n%s", at)
	}
	for name, at := range map[string]int{"feed": 100, "work": -100} {
		file := filepath.Join(dir, "result.csv")
		if err := os.WriteFile(file, []byte("before"), 0o666); err != nil {
			t.Fatal(err)
		}
		to, _ := (&outputs{}).targetOf(file)
		done := 0
		func() {
			defer func() {
				if _, is := recover().(*crashed); !is {
					t.Errorf("%s: no crash came through", name)
				}
			}()
			_ = to.write(func(w io.Writer) error {
				return inOrder(func(give func(int) bool) {
					for i := range 500 {
						if i == at {
							panic("fed wrongly")
						}
						give(i)
					}
				}, func(i int) int {
					if i == -at {
						panic("worked wrongly")
					}
					return i
				}, func(int) error { done++; _, err := io.WriteString(w, "after"); return err })
			})
		}()
		b, _ := os.ReadFile(file)
		left, _ := filepath.Glob(filepath.Join(dir, ".*"))
		if string(b) != "before" || len(left) > 0 || done > 100 {
			t.Errorf("%s: %q stands there, %v beside it, %d results were taken", name, b, left, done)
		}
	}
}

// TestPileUp holds that garbage is collected when so much memory is in use as was said, which for ten
// times as much is ten to twenty times and some (by Go's own share over a hundred times where little
// lives), that twice what lives may be in use, and that all is as before afterwards.
func TestPileUp(t *testing.T) {
	runtime.GC() // what the tests before left
	defer debug.SetGCPercent(debug.SetGCPercent(100))
	before := debug.SetMemoryLimit(-1)
	done := pileUp(&Env{Getenv: func(string) string { return "" }}, 64<<20)
	collections := func() uint32 {
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return m.NumGC
	}
	first, allowed := collections(), debug.SetMemoryLimit(-1)
	lives := make([][]byte, 1)
	for range 10 * allowed >> 16 {
		lives[0] = make([]byte, 1<<16)
	}
	if n := collections() - first; n < 5 || n > 60 {
		t.Errorf("%d collections while 10 times %d bytes were made", n, allowed)
	}
	lives[0] = make([]byte, 200<<20)
	for start := time.Now(); debug.SetMemoryLimit(-1) < 400<<20; time.Sleep(time.Millisecond) {
		if runtime.GC(); time.Since(start) > time.Minute {
			t.Fatalf("%d bytes are the limit where %d live", debug.SetMemoryLimit(-1), len(lives[0]))
		}
	}
	runtime.KeepAlive(lives)
	if done(); debug.SetGCPercent(100) != 100 || debug.SetMemoryLimit(-1) != before {
		t.Error("what was set before does not hold")
	}
	// Of two runs in one process the second may end last.
	ends := []func(){pileUp(&Env{Getenv: func(string) string { return "" }}, 64<<20), pileUp(&Env{Getenv: func(string) string { return "" }}, 64<<20)}
	for _, end := range ends {
		end()
	}
	if share := debug.SetGCPercent(100); share != 100 || debug.SetMemoryLimit(-1) != before {
		t.Errorf("after two runs side by side %d is the share, and %d bytes the limit", share, debug.SetMemoryLimit(-1))
	}
}
