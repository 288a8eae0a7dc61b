package cmd_test

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"testing"
	"time"

	"bayproof/cmd"
)

const (
	benchJobs = 25_000
	benchBays = 40 // a job
)

// BenchmarkMillionRows checks one file of 25,000 jobs of 40 bays, eleven columns, under rule
// guarded, and reports how many times as long it takes as a bare loop over the same rows in the
// same run: encoding/csv, ParseFloat, one density a row and a row written for each. It also reports
// the most memory that the check held.
func BenchmarkMillionRows(b *testing.B) {
	file := filepath.Join(b.TempDir(), "many.csv")
	writeMany(b, file, benchJobs)
	var bare, check time.Duration
	var peak uint64
	for b.Loop() {
		start := time.Now()
		if n := bareLoop(b, file); n != benchJobs*benchBays {
			b.Fatalf("%d rows in the bare loop", n)
		}
		bare += time.Since(start)
		start = time.Now()
		peak = max(peak, checkMany(b, file, benchJobs*benchBays+1))
		check += time.Since(start)
	}
	b.ReportMetric(check.Seconds()/bare.Seconds(), "×bare")
	b.ReportMetric(float64(bare.Nanoseconds())/float64(b.N*benchJobs*benchBays), "bare-ns/row")
	b.ReportMetric(float64(check.Nanoseconds())/float64(b.N*benchJobs*benchBays), "check-ns/row")
	b.ReportMetric(float64(peak)/1e6, "peak-MB")
}

// BenchmarkMemoryOfJobs reports what a tenth of those jobs hold: the same, if memory is flat.
func BenchmarkMemoryOfJobs(b *testing.B) {
	file := filepath.Join(b.TempDir(), "many.csv")
	writeMany(b, file, benchJobs/10)
	var peak uint64
	for b.Loop() {
		peak = max(peak, checkMany(b, file, benchJobs/10*benchBays+1))
	}
	b.ReportMetric(float64(peak)/1e6, "peak-MB")
}

// writeMany writes a log of many jobs, as crews read bags and tapes.
func writeMany(tb testing.TB, file string, jobs int) {
	tb.Helper()
	f, err := os.Create(file)
	if err != nil {
		tb.Fatal(err)
	}
	w := bufio.NewWriter(f)
	r := rand.New(rand.NewPCG(1, 2))
	fmt.Fprintln(w, "job,section,bay,width,depth,length,bags,reach,stall,by,time")
	for j := range jobs {
		for i := range benchBays {
			length := 9 + 3*r.IntN(3)
			bags := float64(int(3.85*22.5*5.5/144*float64(length)/25*4+r.NormFloat64()*0.4+0.5)) / 4
			fmt.Fprintf(w, "job %d,north slope,b%d,22.5,5.5,%d,%v,%d,yes,RE,2026-05-12T%02d:%02d:00Z\n", j+1, i+1, length, bags, length-1, 8+i/8, i%8*7)
		}
	}
	if err := w.Flush(); err != nil {
		tb.Fatal(err)
	}
	if err := f.Close(); err != nil {
		tb.Fatal(err)
	}
}

// bareLoop is the least that such a file needs: a row written for each.
func bareLoop(tb testing.TB, file string) int {
	tb.Helper()
	out := bufio.NewWriterSize(io.Discard, 1<<16)
	var line []byte
	rows := bareRows(tb, file, func(row []string, density float64) {
		line = append(append(append(append(line[:0], row[0]...), ','), row[2]...), ',')
		line = append(strconv.AppendFloat(line, density, 'g', -1, 64), '\n')
		if _, err := out.Write(line); err != nil {
			tb.Fatal(err)
		}
	})
	if err := out.Flush(); err != nil {
		tb.Fatal(err)
	}
	return rows
}

// bareRows reads every row below the header with nothing but encoding/csv and ParseFloat, and gives
// it with its density.
func bareRows(tb testing.TB, file string, each func(row []string, density float64)) (rows int) {
	tb.Helper()
	f, err := os.Open(file)
	if err != nil {
		tb.Fatal(err)
	}
	defer f.Close()
	in := csv.NewReader(bufio.NewReaderSize(f, 1<<16))
	in.ReuseRecord = true
	for rows = -1; ; {
		row, err := in.Read()
		if err == io.EOF {
			return rows
		}
		if err != nil {
			tb.Fatal(err)
		}
		if rows++; rows == 0 {
			continue
		}
		var x [4]float64
		for k := range x {
			if x[k], err = strconv.ParseFloat(row[3+k], 64); err != nil {
				tb.Fatal(err)
			}
		}
		each(row, x[3]*25/(x[0]/12*x[1]/12*x[2]))
	}
}

// lineCounter counts what is written to it.
type lineCounter struct{ n int }

func (c *lineCounter) Write(p []byte) (int, error) {
	c.n += bytes.Count(p, []byte{'\n'})
	return len(p), nil
}

// checkMany checks the file and returns the most heap that was in use meanwhile.
func checkMany(tb testing.TB, file string, lines int) uint64 {
	tb.Helper()
	out := &lineCounter{}
	code, peak := runWatched(out, "check", "--format", "csv", "--rule", "guarded", "--bag-weight", "25 lb", file)
	if code != 3 || out.n != lines {
		tb.Fatalf("exit code %d and %d lines, want 3 and %d", code, out.n, lines)
	}
	return peak
}

// runWatched runs bayproof in this process and returns the most heap that was in use meanwhile.
func runWatched(out io.Writer, args ...string) (code int, most uint64) {
	runtime.GC()
	stop, done := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(done)
		look := time.NewTicker(50 * time.Millisecond)
		defer look.Stop()
		for {
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			most = max(most, m.HeapInuse)
			select {
			case <-stop:
				return
			case <-look.C:
			}
		}
	}()
	env := &cmd.Env{Stdin: bytes.NewReader(nil), Stdout: out, Stderr: os.Stderr, Now: time.Now, Getenv: func(string) string { return "" }}
	code = cmd.Run(args, env)
	close(stop)
	<-done
	return code, most
}

// BenchmarkFortyBays starts bayproof on one job of 40 bays and an empty Go program, by turns, and
// reports how much longer the check takes (median of each).
func BenchmarkFortyBays(b *testing.B) {
	dir := b.TempDir()
	empty, bayproof := filepath.Join(dir, "empty"), filepath.Join(dir, "bayproof")
	source := filepath.Join(dir, "empty.go")
	if err := os.WriteFile(source, []byte("package main\n\nfunc main() {}\n"), 0o644); err != nil {
		b.Fatal(err)
	}
	for _, args := range [][]string{{"build", "-o", empty, source}, {"build", "-o", bayproof, "./bayproof"}} {
		build := exec.Command("go", args...)
		build.Env = append(os.Environ(), "CGO_ENABLED=0") // as releases are
		if out, err := build.CombinedOutput(); err != nil {
			b.Fatalf("go %v: %v\n%s", args, err, out)
		}
	}
	job := filepath.Join(dir, "bays.csv")
	writeMany(b, job, 1)
	var without, with []time.Duration
	for b.Loop() {
		without = append(without, runtimeOf(b, 0, empty))
		with = append(with, runtimeOf(b, 3, bayproof, "check", job, "--bag-weight", "25 lb"))
	}
	slices.Sort(without)
	slices.Sort(with)
	b.ReportMetric(float64((with[len(with)/2]-without[len(without)/2]).Microseconds())/1000, "ms-above-empty")
	b.ReportMetric(float64(with[len(with)/2].Microseconds())/1000, "ms-check")
}

func runtimeOf(tb testing.TB, code int, name string, args ...string) time.Duration {
	tb.Helper()
	c := exec.Command(name, args...)
	start := time.Now()
	err := c.Run()
	took := time.Since(start)
	if c.ProcessState == nil || c.ProcessState.ExitCode() != code {
		tb.Fatalf("%s: %v", name, err)
	}
	return took
}
