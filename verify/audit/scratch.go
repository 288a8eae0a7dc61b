package audit

import "sync"

// scratch is what one job is looked at with, used again for the next. Nothing that Summarize returns lies in it.
type scratch struct {
	lots   []lot
	replay replay
	rows   rowRoom
}

var scratches = sync.Pool{New: func() any { return new(scratch) }}
