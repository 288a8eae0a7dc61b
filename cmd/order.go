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
	all := func(items []T, results []R) []R {
		for len(results) < len(items) {
			results = append(results, *new(R))
		}
		for i, item := range items {
			results[i] = work(item, results[i])
		}
		return results[:len(items)]
	}
	return bunchesInOrder(bunched(feed), all, func(results []R) error {
		for _, r := range results {
			if err := done(r); err != nil {
				return err
			}
		}
		return nil
	})
}

// bunched gives items together, the first ones alone.
func bunched[T any](feed func(give func(T) bool)) func(give func([]T) bool) {
	return func(give func([]T) bool) {
		var open []T
		given := 0
		feed(func(item T) bool {
			if given++; given <= aloneAtFirst {
				return give([]T{item})
			}
			if open = append(open, item); len(open) < mostTogether {
				return true
			}
			full := open
			open = make([]T, 0, mostTogether)
			return give(full)
		})
		if len(open) > 0 {
			give(open)
		}
	}
}

// bunchesInOrder is inOrder for items that are each worth handing over.
func bunchesInOrder[T, R any](feed func(give func(T) bool), work func(T, R) R, done func(R) error) error {
	type slot struct {
		item   T
		result R
		ready  chan struct{}
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
		feed(func(item T) bool {
			select {
			case <-stop:
				return false
			case s := <-free:
				s.item = item
				todo <- s
				queue <- s
				return true
			}
		})
	}()
	var group sync.WaitGroup
	for range workers {
		group.Go(func() {
			for s := range todo {
				s.result = work(s.item, s.result)
				s.ready <- struct{}{}
			}
		})
	}
	var failed error
	for s := range queue {
		<-s.ready
		if failed == nil {
			if failed = done(s.result); failed != nil {
				close(stop)
			}
		}
		free <- s
	}
	group.Wait()
	return failed
}
