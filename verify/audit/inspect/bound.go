// What a draw of bays proves if none of them is bad.
//
// Unknown is how many of the bays called CLOSE are bad, and where. The statement "at most K are
// bad" must hold, in a share Level of all draws, whatever bays are bad: so K is the largest number
// of bad bays that, placed as they would be missed most easily, are all missed with a chance above
// 1 − Level. Two things are needed: the chance that a draw finds none, and the worst placing.
//
// Let b of the n bays of each house be bad. A stratum of J houses of which h were drawn, all
// equally likely, and in each a bay or more, finds none with chance
//
//	e(q)/C(J, h) ≤ (1 − β)^h,   q ≤ 1 − b/n,   β the mean of b/n over its houses
//
// where e is the sum of the products of all h of the q: the inequality is Maclaurin's, and an
// equation where all q are equal. Where all houses were drawn it is Π C(n − b, m)/C(n, m), m bays
// drawn of each (hypergeometric). Strata are drawn independently of each other, so that their
// chances multiply.
//
// The cost of a bad bay is −ln of the factor by which it lowers the chance. The cost of a stratum's
// first b bays is least where its largest houses are bad first, and each further bay costs at least
// as much as the one before. So taking the cheapest bay that is left, again and again, gives the
// most bad bays for any cost: that is most's search. Derived here; TestSimulatedBound counts how
// often the statement is false where the bad bays are placed by this very search.

package inspect

import (
	"container/heap"
	"math"
	"slices"

	"bayproof/verify/audit/compare"
)

// Level is how sure a bound is.
const Level = 0.95

// Bound is what finding none bad would prove: of the Bays called CLOSE at most Most are bad. It
// holds in a share Level of all draws, whatever bays are bad.
type Bound struct {
	Crew        string // empty of all together
	Bays, Drawn int    // called CLOSE; of them drawn
	Most        int    // bad bays, at most, among them
}

// Share is Most of Bays; NaN of none.
func (b Bound) Share() float64 { return float64(b.Most) / float64(b.Bays) }

// source is where bad bays may lie: a stratum of which some houses were drawn (visits > 0), one
// house of which some bays were drawn (drawn > 0), or neither, where they cost nothing.
type source struct {
	sizes       []int   // bays by house, largest first; of one house that was drawn for sure one
	visits      int     // houses drawn of a stratum; 0 with drawn > 0: one house
	drawn       int     // of one house
	bad, filled int     // bad bays so far, in the house at filled
	beta        float64 // Σ b/n over the houses so far
	next        float64 // cost of one bay more; +Inf where there is none
}

// price sets the cost of one bad bay more: in one house −ln((n − b − m)/(n − b)); in a stratum
// h·(ln(1 − β/J) − ln(1 − (β + 1/n)/J)) with β the sum so far and n the house at hand; +Inf where
// every bay is bad already, or one more would be found for certain.
func (s *source) price() {
	s.next = math.Inf(1)
	if s.filled == len(s.sizes) {
		return
	}
	n := float64(s.sizes[s.filled])
	if s.visits == 0 && s.drawn > 0 { // C(n−b−1, m)/C(n−b, m) = (n − b − m)/(n − b)
		left := n - float64(s.bad)
		s.next = -math.Log(math.Max(0, left-float64(s.drawn)) / left)
		return
	}
	if s.visits == 0 {
		s.next = 0
		return
	}
	houses := float64(len(s.sizes))
	s.next = float64(s.visits) * (math.Log1p(-s.beta/houses) - math.Log1p(-math.Min(1, (s.beta+1/n)/houses)))
}

// take makes one bay more bad.
func (s *source) take() {
	s.beta += 1 / float64(s.sizes[s.filled])
	if s.bad++; s.bad == s.sizes[s.filled] {
		s.filled, s.bad = s.filled+1, 0
	}
	s.price()
}

// sources is a heap, the cheapest bay first.
type sources []*source

func (s sources) Len() int           { return len(s) }
func (s sources) Less(a, b int) bool { return s[a].next < s[b].next }
func (s sources) Swap(a, b int)      { s[a], s[b] = s[b], s[a] }
func (s *sources) Push(x any)        { *s = append(*s, x.(*source)) }
func (s *sources) Pop() any          { x := (*s)[len(*s)-1]; *s = (*s)[:len(*s)-1]; return x }

// most returns how many bays may be bad, at most, where a draw of these strata found none, at
// Level. Every bay where nothing was drawn.
func most(strata []*Stratum) int {
	var list sources
	for _, s := range strata {
		list = append(list, s.sources()...)
	}
	for _, s := range list {
		s.price()
	}
	heap.Init(&list)
	count, left := 0, -math.Log(1-Level)
	for len(list) > 0 {
		s := list[0]
		if !(s.next < left) { // a chance of 1 − Level is not above it
			return count
		}
		left -= s.next
		count++
		s.take()
		heap.Fix(&list, 0)
	}
	return count
}

// sources returns where bad bays of a stratum may lie: each house by itself where all were visited,
// else the stratum.
func (s *Stratum) sources() (out []*source) {
	if s.Visits == len(s.sizes) {
		for k, n := range s.sizes {
			out = append(out, &source{sizes: []int{n}, drawn: s.take[k]})
		}
		return out
	}
	sizes := slices.SortedFunc(slices.Values(s.sizes), func(a, b int) int { return b - a })
	return []*source{{sizes: sizes, visits: s.Visits}}
}

// bounds sets what none bad would prove, of all bays called CLOSE and, where crews were set apart
// and there are several, of each crew's.
func (p *Plan) bounds() {
	all := make([]*Stratum, len(p.Strata))
	for i := range p.Strata {
		all[i] = &p.Strata[i]
	}
	bound := func(crew string, strata []*Stratum) Bound {
		b := Bound{Crew: crew, Most: most(strata)}
		for _, s := range strata {
			b.Bays, b.Drawn = b.Bays+s.Bays, b.Drawn+s.Drawn
		}
		return b
	}
	p.Bound = bound("", all)
	crews, of := compare.ByGroup(all, func(s **Stratum) (string, bool) { return (*s).Crew, true })
	if p.Few || len(crews) < 2 {
		return
	}
	for i, crew := range crews {
		p.Crews = append(p.Crews, bound(crew, of[i]))
	}
}
