package crew

import "sync"

// scratch is room for the numbers of one section, used again for the next: a section needs some hundred thousand bytes
// for microseconds. Nothing that Judge returns lies in it.
type scratch struct {
	room                   []float64
	used                   int
	nodes                  []node
	packs                  []pack
	known, distinct, alone []evidence
	place, of              []int
}

var scratches = sync.Pool{New: func() any { return &scratch{room: make([]float64, 1<<14)} }}

// take returns n numbers of any value.
func (s *scratch) take(n int) []float64 {
	if s.used+n > len(s.room) {
		s.room, s.used = make([]float64, 2*len(s.room)+n), 0 // what was taken before keeps the old room alive
	}
	s.used += n
	return s.room[s.used-n : s.used : s.used]
}

// sized returns a slice of the length n with any content, in the memory of the old one where that has room.
func sized[T any](old []T, n int) []T {
	if cap(old) < n {
		return make([]T, n)
	}
	return old[:n]
}
