package cmd

import (
	"runtime"
	"sync"
)

// Handing over a small job costs a part of reading it, so that jobs go together once there are many. A few go alone: they
// keep all cores busy.
const (
	aloneAtFirst = 64
	mostTogether = 8
)

// inOrder calls work for every item that feed gives, on all cores, and done for every result in the order of the items.
// At most some dozens of items are in flight, so memory does not grow with their number; with only a few a core would wait
// for the one that feeds or for the one that takes. An error of done ends it early; feed then gets false and should stop. A
// result that has been done goes back to work as its third argument, so that buffers are used again.
func inOrder[T, R any](feed func(give func(T) bool), work func(T, R) R, done func(R) error) error {
	type slot struct {
		items   [mostTogether]T
		results [mostTogether]R
		n       int
		ready   chan struct{}
	}
	workers := runtime.GOMAXPROCS(0)
	free := make(chan *slot, 8*workers)
	for range cap(free) {
		free <- &slot{ready: make(chan struct{}, 1)}
	}
	todo := make(chan *slot, cap(free))
	queue := make(chan *slot, cap(free)) // the same slots, in order
	stop := make(chan struct{})

	go func() {
		defer close(queue)
		defer close(todo)
		var open *slot
		send := func() {
			todo <- open
			queue <- open
			open = nil
		}
		given := 0
		feed(func(item T) bool {
			if open == nil {
				select {
				case <-stop:
					return false
				case open = <-free:
					open.n = 0
				}
			}
			open.items[open.n] = item
			open.n++
			if given++; given <= aloneAtFirst || open.n == mostTogether {
				send()
			}
			return true
		})
		if open != nil {
			send()
		}
	}()
	var group sync.WaitGroup
	for range workers {
		group.Go(func() {
			for s := range todo {
				for i := range s.n {
					s.results[i] = work(s.items[i], s.results[i])
				}
				s.ready <- struct{}{}
			}
		})
	}
	var failed error
	for s := range queue {
		<-s.ready
		for i := range s.n {
			if failed == nil {
				if failed = done(s.results[i]); failed != nil {
					close(stop)
				}
			}
		}
		free <- s
	}
	group.Wait()
	return failed
}
