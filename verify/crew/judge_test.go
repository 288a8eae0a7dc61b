package crew

import (
	"testing"

	"bayproof/verify/measure"
)

// The cost of a section of 24 bays, lots ready: at most 1 ms on one core; the aim without a counter
// is 150 µs.
func BenchmarkJudge(b *testing.B) {
	for _, c := range []struct {
		name string
		w    world
	}{
		{"Ends", quarter()}, {"Running", running(quarter())}, {"Weighed", weighed()},
		{"Fresh", mod(quarter(), fresh)}, {"PartBagsWeighed", mod(quarter(), func(w *world) { w.weighed, w.weighFirst = 0.5, 12 })},
	} {
		var sections [8][]measure.Lot // no two cost the same
		for i := range sections {
			sections[i], _ = c.w.fillSeeded(uint64(i + 1))
		}
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ {
				Judge(sections[i%len(sections)], target*lb, Seen{})
			}
		})
	}
}
