package cmd_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// meansLoop is the least that many jobs need: encoding/csv, ParseFloat, one density a row, means
// per crew.
func meansLoop(tb testing.TB, file string) int {
	tb.Helper()
	type mean struct {
		sum float64
		n   int
	}
	crews := map[string]*mean{}
	rows := bareRows(tb, file, func(row []string, density float64) {
		m := crews[row[9]]
		if m == nil {
			m = &mean{}
			crews[strings.Clone(row[9])] = m
		}
		m.sum, m.n = m.sum+density, m.n+1
	})
	if len(crews) == 0 {
		tb.Fatal("no crew")
	}
	return rows
}

// reviewOf reviews the file and returns the most heap in use meanwhile.
func reviewOf(tb testing.TB, args ...string) uint64 {
	tb.Helper()
	var out lineCounter // kept nowhere: a table of a million bays is 270 MB
	code, peak := runWatched(&out, append([]string{"review", "--bag-weight", "25 lb"}, args...)...)
	if code != 0 || out.n == 0 {
		tb.Fatalf("exit code %d, %d lines", code, out.n)
	}
	return peak
}

// benchReview reports how many times as long a review takes as the bare loop on the same file in
// the same run, by turns.
func benchReview(b *testing.B, jobs int, args ...string) {
	file := filepath.Join(b.TempDir(), "many.csv")
	writeMany(b, file, jobs)
	args = append(args, file)
	var bare, review time.Duration
	var peak uint64
	for b.Loop() {
		start := time.Now()
		if n := meansLoop(b, file); n != jobs*benchBays {
			b.Fatalf("%d rows in the bare loop", n)
		}
		bare += time.Since(start)
		start = time.Now()
		peak = max(peak, reviewOf(b, args...))
		review += time.Since(start)
	}
	rows := float64(b.N * jobs * benchBays)
	b.ReportMetric(review.Seconds()/bare.Seconds(), "×bare")
	b.ReportMetric(float64(bare.Nanoseconds())/rows, "bare-ns/row")
	b.ReportMetric(float64(review.Nanoseconds())/rows, "review-ns/row")
	b.ReportMetric(float64(peak)/1e6, "peak-MB")
}

// BenchmarkReviewGuarded: a million bays, rule guarded, all figures per bay, job and crew. At most
// 1.5 × bare.
func BenchmarkReviewGuarded(b *testing.B) {
	benchReview(b, benchJobs, "--rule", "guarded", "--figures")
}

// BenchmarkReviewProcess: the same with rule process, suspicion and plausibility. At most 6 × bare.
func BenchmarkReviewProcess(b *testing.B) { benchReview(b, benchJobs) }

// BenchmarkReviewBays: every bay of a million as a row of CSV, with rule process and without
// plausibility.
func BenchmarkReviewBays(b *testing.B) { benchReview(b, benchJobs, "--figures", "--table", "bays") }

// BenchmarkReviewHalf is half the work: twice of it takes at most 2.2 times as long.
func BenchmarkReviewHalf(b *testing.B) { benchReview(b, benchJobs/2) }

// BenchmarkReviewFolders reviews separate job folders and reports the time of each.
func BenchmarkReviewFolders(b *testing.B) {
	dir := b.TempDir()
	const folders = 5000
	var text bytes.Buffer
	text.WriteString("bay,width,depth,length,bags\n")
	for i := range benchBays {
		fmt.Fprintf(&text, "b%d,22.5,5.5,%d,%v\n", i+1, 9+3*(i%3), 1.5+0.25*float64(i%4))
	}
	for i := range folders {
		job := filepath.Join(dir, fmt.Sprintf("%02d", i%100), fmt.Sprintf("job-%05d", i))
		if err := os.MkdirAll(job, 0o755); err != nil {
			b.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(job, "bays.csv"), text.Bytes(), 0o644); err != nil {
			b.Fatal(err)
		}
	}
	for b.Loop() {
		reviewOf(b, dir)
	}
	b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N)/folders, "µs/job")
}
