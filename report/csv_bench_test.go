package report

import "testing"

// BenchmarkAppendCSV reports what one row of the CSV output costs.
func BenchmarkAppendCSV(b *testing.B) {
	f := inventedFindings()
	var dst []byte
	for b.Loop() {
		dst = AppendCSV(dst[:0], f)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(f.Bays)), "ns/row")
}
