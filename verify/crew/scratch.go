package crew

import "sync"

// scratch is room for the numbers of one section, used again for the next: a section needs some hundred thousand bytes
// for microseconds. Nothing that Judge returns lies in it.
type scratch struct {
	room  []float64
	used  int
	nodes []node
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
