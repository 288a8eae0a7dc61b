package verify_test

import (
	"testing"

	"bayproof/verify"
)

// BenchmarkCheckGuarded measures the plain case: a job of 40 bays, rule guarded, verdicts only.
func BenchmarkCheckGuarded(b *testing.B) {
	job := guardedJob(b, "", plainRows(40))
	b.ReportAllocs()
	for b.Loop() {
		if f := verify.Check(job, verify.Options{}); f.Totals.Bays != 40 {
			b.Fatal(f.Totals)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/40, "ns/bay")
}

// BenchmarkCheckGuardedAll is the same with budget, advice and closings.
func BenchmarkCheckGuardedAll(b *testing.B) {
	job := guardedJob(b, "", plainRows(40))
	b.ReportAllocs()
	for b.Loop() {
		verify.Check(job, verify.All())
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/40, "ns/bay")
}
