package plan

import (
	"reflect"
	"slices"
	"testing"
)

func TestHoldIsReproducible(t *testing.T) {
	f := job(12, box(22.5, 5.5, 12), settings())
	a, b := Make(f, Options{Hold: 3, Seed: 7}).Hold, Make(f, Options{Hold: 3, Seed: 7}).Hold
	if !reflect.DeepEqual(a, b) || len(a) != 3 {
		t.Errorf("same seed: %v and %v", a, b)
	}
	if all := Make(f, Options{Hold: 99, Seed: 7}).Hold; len(all) != 12 {
		t.Errorf("99 of 12 bays: %d", len(all))
	}
}

// Every bay is drawn about as often: 3 of 12 over 4000 seeds is 1000 a bay, sd √(4000·¼·¾) = 27; ±5
// sd.
func TestHoldIsFair(t *testing.T) {
	f := job(12, box(22.5, 5.5, 12), settings())
	base := Make(f, Options{})
	count := map[int]int{}
	for seed := range uint64(4000) {
		for _, h := range hold(base, Options{Hold: 3, Seed: seed}) {
			count[h.Place]++
		}
	}
	for place := 1; place <= 12; place++ {
		if n := count[place]; n < 1000-137 || n > 1000+137 {
			t.Errorf("place %d was drawn %d times in 4000, want 1000 ± 137", place, n)
		}
	}
}

func TestNextName(t *testing.T) {
	for _, c := range []struct {
		names []string
		want  string
	}{
		{nil, "b1"},
		{[]string{"b7"}, "b8"},
		{[]string{"b1", "b9"}, "b10"},
		{[]string{"9"}, "10"},
		{[]string{"N-03"}, "N-04"},
		{[]string{"b09"}, "b10"},
		{[]string{"99"}, "100"},
		{[]string{"a"}, "b"},
		{[]string{"hip c"}, "hip d"},
		{[]string{"b3", "B4", "b3"}, "b5"},
		{[]string{"chimney"}, "chimney2"},
		{[]string{"z"}, "z2"},
		{[]string{"b7", "b7a"}, "b8"},
		{[]string{"b2", "b1"}, "b3"},
	} {
		if got := NextName(c.names); got != c.want {
			t.Errorf("after %v: %q, want %q", c.names, got, c.want)
		}
	}
}

// The draw of a seed is the same on every machine and in every version: an inspector may draw it
// again. The places were found by running it once; who changes the generator changes what
// inspectors have in writing.
func TestHoldStays(t *testing.T) {
	f := job(12, box(22.5, 5.5, 12), settings())
	for seed, want := range map[uint64][]int{1: {5, 8, 10}, 7: {1, 2, 5}} {
		var got []int
		for _, h := range Make(f, Options{Hold: 3, Seed: seed}).Hold {
			got = append(got, h.Place)
		}
		if !slices.Equal(got, want) {
			t.Errorf("seed %d: places %v, want %v", seed, got, want)
		}
	}
}
