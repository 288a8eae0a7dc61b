package audit

import "math/bits"

// keyCounts counts how often keys come: a table with open addressing that is emptied and used again for every job.
type keyCounts struct {
	slots []keyCount
	shift int
}

type keyCount struct {
	key uint64
	n   int32 // 0 where the slot is free
}

// start empties the table and makes room for so many different keys.
func (c *keyCounts) start(keys int) {
	size := bits.Len(uint(2 * keys)) // half of the slots stay free at least
	if cap(c.slots) < 1<<size {
		c.slots = make([]keyCount, 1<<size)
	}
	c.slots, c.shift = c.slots[:1<<size], 64-size
	clear(c.slots)
}

// at is the count of a key.
func (c *keyCounts) at(key uint64) *int32 {
	i := key * 0x9e3779b97f4a7c15 >> c.shift // Fibonacci hashing (Knuth, The Art of Computer Programming, 6.4)
	for c.slots[i].n > 0 && c.slots[i].key != key {
		i = (i + 1) & uint64(len(c.slots)-1)
	}
	c.slots[i].key = key
	return &c.slots[i].n
}
