package model

import (
	"fmt"
	"time"
)

// checkTimes warns where times run backward. Clocks are compared as they hang on the wall: a log may hold times with a
// zone and times without.
func (a *Assembler) checkTimes() {
	var last time.Time
	var first *Entry
	back := 0
	for i := range a.job.Log {
		e := &a.job.Log[i]
		if e.Time.IsZero() {
			continue
		}
		now := wall(e.Time)
		if now.Before(last) {
			if back++; first == nil {
				first = e
			}
		}
		last = now
	}
	if first != nil {
		a.job.OrderDoubtful = true
		a.warn(first, "order", "times run backward in %s, here first: nothing is concluded from the order of filling; "+
			"was the file sorted, or is the date missing?", places(back))
	}
}

// wall is the time without its zone.
func wall(t time.Time) time.Time {
	if t.Location() == time.UTC {
		return t
	}
	_, offset := t.Zone()
	return t.Add(time.Duration(offset) * time.Second)
}

func places(n int) string {
	if n == 1 {
		return "one place"
	}
	return fmt.Sprintf("%d places", n)
}
