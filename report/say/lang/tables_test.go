package lang

import (
	"maps"
	"slices"
	"testing"
)

// TestOneTableEach: a sentence stands in one table alone, or one of two translations would be
// nobody's.
func TestOneTableEach(t *testing.T) {
	seen := map[string]bool{}
	for _, table := range tables() {
		for key := range table {
			if seen[key] {
				t.Errorf("%q stands in two tables", key)
			}
			seen[key] = true
		}
	}
	if len(seen) == 0 {
		t.Error("no tables")
	}
}

// Keys are the English of all sentences that have a Spanish one, sorted.
func Keys() []string { return slices.Sorted(maps.Keys(spanish())) }

// LeftOut tells whether the phone's checker has no Spanish of a sentence.
func LeftOut(english string) bool { _, ok := sheets[english]; return ok }
