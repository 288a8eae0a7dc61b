package cmd_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"testing"
)

// BenchmarkLongCommands runs what takes long and nothing else: `make profile` takes from it what
// the compiler is told to make fast.
func BenchmarkLongCommands(b *testing.B) {
	dir := b.TempDir()
	many, counter := filepath.Join(dir, "many.csv"), filepath.Join(dir, "counter.csv")
	writeMany(b, many, benchJobs/5)
	writeCounter(b, counter, 48)
	run := func(code int, args ...string) {
		var out bytes.Buffer
		if got, _ := runWatched(&out, append(args, "--bag-weight", "25 lb")...); got != code {
			b.Fatalf("%v: exit code %d, want %d\n%s", args, got, code, out.String())
		}
	}
	for b.Loop() {
		for range 3 { // as long as the next alone
			run(0, "review", "--rule", "guarded", "--figures", many)
		}
		run(0, "review", many)
		run(3, "check", "--rule", "guarded", "--format", "csv", many)
		run(3, "check", counter)
		run(0, "record", counter, "--output", "-")
	}
}

// writeCounter writes a log whose bags are read off a running counter.
func writeCounter(tb testing.TB, file string, bays int) {
	tb.Helper()
	var text bytes.Buffer
	fmt.Fprintln(&text, "section,bay,width,depth,length,counter,stall")
	at := 0.0
	for i := range bays {
		length, packed := 9+3*(i%3), 3.85
		if i%8 == 5 { // so that there is something to advise
			packed = 3.3
		}
		at += packed * 22.5 * 5.5 / 144 * float64(length) / 25
		fmt.Fprintf(&text, "north slope,b%d,22.5,5.5,%d,%v,yes\n", i+1, length, float64(int(at*4+0.5))/4)
	}
	if err := os.WriteFile(file, text.Bytes(), 0o644); err != nil {
		tb.Fatal(err)
	}
}
