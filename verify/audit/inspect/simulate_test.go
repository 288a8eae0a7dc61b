package inspect

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

var simulate = flag.Bool("simulate", false, "run the simulations of SIMULATION.md in full")

// invented is a programme of houses whose bad bays are known.
func invented(r *rand.Rand, crews, jobs int) []House {
	var out []House
	for c := range crews {
		for j := range 1 + r.IntN(2*jobs) {
			h := House{Name: fmt.Sprintf("job %d-%d", c, j), Crew: fmt.Sprint("crew ", c), Against: r.IntN(10) == 0}
			for i := range 6 + r.IntN(34) {
				c := Candidate{Ticket: r.Uint64(), Bay: fmt.Sprint("b", i), Class: Class(r.IntN(2))}
				if r.IntN(5) == 0 {
					c.Class = OpenHold
				}
				h.Add(c, 100)
			}
			out = append(out, h)
		}
	}
	return out
}

// spoil makes bays bad in one of several ways: each by itself, whole houses, one crew, one class,
// or as many as the bound does not allow, spread as is worst.
func spoil(r *rand.Rand, houses []House, way int) (bad map[string]bool, n int) {
	bad = map[string]bool{}
	share := 0.02 + 0.2*r.Float64()
	crew := houses[r.IntN(len(houses))].Crew
	for i := range houses {
		h := &houses[i]
		whole := r.Float64() < share
		for k := range h.Kept {
			c := &h.Kept[k]
			if c.Class > Doubtful {
				continue
			}
			is := false
			switch way {
			case 0:
				is = r.Float64() < share
			case 1:
				is = whole
			case 2:
				is = h.Crew == crew && r.Float64() < 0.7
			case 3:
				is = c.Class == Sure && !h.Against && r.Float64() < share
			case 4:
				is = whole && r.Float64() < 0.5
			}
			if is {
				bad[h.Name+c.Bay], n = true, n+1
			}
		}
	}
	return bad, n
}

// TestSimulatedBound: in programmes of every kind the statement "none bad would leave at most so
// many" is false, with none found, in no more than one draw of twenty. The worst kind is made of
// the bound itself: one bay more than it allows, spread so that the draw misses it as often as can
// be.
func TestSimulatedBound(t *testing.T) {
	n := 1000
	if *simulate {
		n = 10_000
	}
	r := rand.New(rand.NewPCG(41, 41))
	var wrong, none [6]int
	for i := range n {
		for way := range 6 {
			houses := invented(r, 1+r.IntN(10), 1+r.IntN(6))
			for k := range houses { // all bays are kept, so that they can be spoiled
				houses[k].Kept = houses[k].Kept[:len(houses[k].Kept):len(houses[k].Kept)]
			}
			bays := 0
			for k := range houses {
				bays += houses[k].bays(Sure) + houses[k].bays(Doubtful)
			}
			p := NewPlan(houses, 1+r.IntN(80), uint64(i))
			bad, count := spoil(r, houses, way)
			if way == 5 {
				bad, count = worst(r, p, houses)
			}
			found := false
			for _, d := range p.Bays {
				found = found || bad[houses[d.Job].Name+d.Bay]
			}
			if !found {
				none[way]++
				if count > p.Bound.Most {
					wrong[way]++
				}
			}
		}
	}
	limit := 0.05*float64(n) + 3*math.Sqrt(0.05*0.95*float64(n))
	t.Logf("of %d programmes each the statement was false in %v (none bad found in %v); at most %.0f allowed", n, wrong, none, 0.05*float64(n))
	for way, k := range wrong {
		if float64(k) > limit {
			t.Errorf("way %d: false in %d of %d", way, k, n)
		}
	}
	if wrong[5] < n/50 {
		t.Errorf("the worst case is wrong in %d of %d: it is hardly tried", wrong[5], n)
	}
}

// worst makes one bay more bad than the bound allows, shared out among the strata as the bound has
// it, and within each over its houses by their size, which is where a draw of houses misses most.
func worst(r *rand.Rand, p *Plan, houses []House) (bad map[string]bool, n int) {
	bad = map[string]bool{}
	type from struct {
		*source
		s *Stratum
	}
	var list []from
	for i := range p.Strata {
		for _, src := range p.Strata[i].sources() {
			src.price()
			list = append(list, from{src, &p.Strata[i]})
		}
	}
	of := make([]int, len(list))
	for range p.Bound.Most + 1 {
		best := 0
		for i := range list {
			if list[i].next < list[best].next {
				best = i
			}
		}
		if math.IsInf(list[best].next, 1) {
			break
		}
		list[best].take()
		of[best]++
	}
	at := 0
	for i := range p.Strata {
		s := &p.Strata[i]
		for k := range s.sources() {
			in := s.at
			if s.Visits == len(s.sizes) { // one house a source
				in = s.at[k : k+1]
			}
			n += spread(r, bad, houses, s, in, of[at])
			at++
		}
	}
	return bad, n
}

// spread makes so many of the stratum's bays bad, by turns in its houses, first in those with the
// least share of bad ones.
func spread(r *rand.Rand, bad map[string]bool, houses []House, s *Stratum, in []int, count int) int {
	lists := make([][]Candidate, len(in))
	had := make([]float64, len(in))
	for i, at := range in {
		lists[i] = houses[at].of(s.Class)
		if s.together {
			lists[i] = append(lists[i], houses[at].of(Sure)...)
		}
		r.Shuffle(len(lists[i]), func(a, b int) { lists[i][a], lists[i][b] = lists[i][b], lists[i][a] })
	}
	for done := range count {
		best, least := -1, math.Inf(1)
		for i := range lists {
			if share := (had[i] + 1) / float64(len(lists[i])); int(had[i]) < len(lists[i]) && share < least {
				best, least = i, share
			}
		}
		if best < 0 {
			return done
		}
		bad[houses[in[best]].Name+lists[best][int(had[best])].Bay] = true
		had[best]++
	}
	return count
}
