package model

import "hash/maphash"

// bayTable finds the bays of a job by section and folded name. A map would hash every new name twice, to look for it and
// to put it in; a review reads millions. Open addressing, at most half full.
type bayTable struct {
	seed  maphash.Seed
	slots []*gathered // as many as a power of two
}

// reset empties the table and makes room for n bays.
func (t *bayTable) reset(n int) {
	if t.seed == (maphash.Seed{}) {
		t.seed = maphash.MakeSeed()
	}
	size := 8
	for size < 2*n {
		size *= 2
	}
	t.slots = zeroed(t.slots, size)
}

// slot returns where the bay stands, or where it is to be put: the slot holds nil then.
func (t *bayTable) slot(section *Section, folded string) **gathered {
	last := uint64(len(t.slots) - 1)
	for i := maphash.String(t.seed, folded) & last; ; i = (i + 1) & last {
		if g := t.slots[i]; g == nil || g.folded == folded && g.bay.Section == section {
			return &t.slots[i]
		}
	}
}
