package cmd

import (
	"errors"
	"testing"
	"time"
)

// TestInOrder holds that results come in the order of the items, whichever is done first, and that an error ends it.
func TestInOrder(t *testing.T) {
	var got []int
	feed := func(give func(int) bool) {
		for i := range 500 {
			if !give(i) {
				return
			}
		}
	}
	work := func(i int) int {
		if i%7 == 0 {
			time.Sleep(time.Millisecond)
		}
		return i * i
	}
	if err := inOrder(feed, work, func(r int) error { got = append(got, r); return nil }); err != nil {
		t.Fatal(err)
	}
	for i, r := range got {
		if r != i*i {
			t.Fatalf("result %d is %d, want %d", i, r, i*i)
		}
	}
	if len(got) != 500 {
		t.Fatalf("%d results, want 500", len(got))
	}

	full := errors.New("disk full")
	for _, last := range []int{1, 100, 499} { // alone, among others, among the last few
		n := 0
		err := inOrder(feed, work, func(int) error {
			if n++; n == last {
				return full
			}
			return nil
		})
		if !errors.Is(err, full) || n != last {
			t.Errorf("an error at result %d: %v, %d results taken", last, err, n)
		}
	}
}
