// Which bays to open: a stratified random draw that anybody can repeat.
//
// Every house and every bay has a ticket, a random number that follows from the seed and their
// names alone (permanent random numbers: whoever has the lowest are drawn). Bays called CLOSE are
// stratified by crew and by whether they are doubtful. A stratum's houses are drawn first, all
// equally likely, then a bay in each: bays of one house are alike, so that a second one there says
// little. The bound of bound.go holds for this design.

package inspect

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"slices"
	"strconv"
	"strings"

	"bayproof/verify"
	"bayproof/verify/stat"
)

// Class is what a bay is to a draw.
type Class uint8

const (
	Sure       Class = iota // CLOSE, by its own count and at sureStated or more, in a job that nothing speaks against
	Doubtful                // CLOSE otherwise
	ClosedHold              // closed though not CLOSE, or decided by a person: known already, and to be mended or asked about
	OpenHold                // filled, not closed and not CLOSE: costs nothing to look into now
	Classes    = 4
)

// sureStated is the stated sureness from which on a bay that is CLOSE by its own count is not
// doubtful.
const sureStated = 0.98

// Of returns the class of a filled bay by its own figures; the findings against its job are left
// out (House.Against). ok is false of a bay that is withdrawn or not filled. closedAs is its
// verdict when it was closed.
func Of(b *verify.Bay, closedAs verify.Verdict) (c Class, ok bool) {
	closed := b.State == verify.Closed
	switch {
	case !b.Judged():
		return 0, false
	case b.IsDecided() || closed && (b.Verdict != verify.Close || closedAs != verify.Close):
		return ClosedHold, true
	case b.Verdict != verify.Close:
		return OpenHold, true
	case b.Basis != verify.Own || b.ProbAtTarget < sureStated:
		return Doubtful, true
	}
	return Sure, true
}

// Candidate is a bay that may be drawn. Of a class those with the lowest tickets are.
type Candidate struct {
	Ticket       uint64
	Class        Class
	Section, Bay string
	Verdict      verify.Verdict
	Density      float64 // kg/m³
	Prob         float64 // stated, that it reaches the target
}

// byTicket orders candidates by ticket, and by name where two are equal.
func byTicket(a, b Candidate) int {
	return cmp.Or(cmp.Compare(a.Ticket, b.Ticket), cmp.Compare(a.Section, b.Section), cmp.Compare(a.Bay, b.Bay))
}

// House is what a draw needs of one job.
type House struct {
	Name, Crew string
	Against    bool         // a finding speaks against the job: all its bays that are CLOSE are doubtful
	Bays       [Classes]int // how many there are
	Kept       []Candidate  // of each class those with the lowest tickets
}

// Add counts a bay and keeps it if it is among the `most` of its class with the lowest tickets.
func (h *House) Add(c Candidate, most int) {
	h.Bays[c.Class]++
	n := 0
	worst := -1
	for i := range h.Kept {
		if h.Kept[i].Class == c.Class {
			if n++; worst < 0 || byTicket(h.Kept[i], h.Kept[worst]) > 0 {
				worst = i
			}
		}
	}
	switch {
	case n < most:
		h.Kept = append(h.Kept, c)
	case worst >= 0 && byTicket(c, h.Kept[worst]) < 0:
		h.Kept[worst] = c
	}
}

// Keep leaves of each class only so many candidates.
func (h *House) Keep(most int) {
	slices.SortFunc(h.Kept, byTicket)
	var n [Classes]int
	h.Kept = slices.DeleteFunc(h.Kept, func(c Candidate) bool { n[c.Class]++; return n[c.Class] > most })
}

// class is that of a candidate in this house: where a finding speaks against the job, none is sure.
func (h *House) class(c Class) Class {
	if c == Sure && h.Against {
		return Doubtful
	}
	return c
}

// bays returns the number of bays of a class, with the same rule.
func (h *House) bays(c Class) int {
	switch {
	case !h.Against:
	case c == Sure:
		return 0
	case c == Doubtful:
		return h.Bays[Sure] + h.Bays[Doubtful]
	}
	return h.Bays[c]
}

// of returns the candidates of a class by ticket. Those that are kept of two classes together still
// hold the lowest of both.
func (h *House) of(c Class) (out []Candidate) {
	for _, k := range h.Kept {
		if h.class(k.Class) == c {
			out = append(out, k)
		}
	}
	slices.SortFunc(out, byTicket)
	return out
}

// Ticket returns a bay's or a house's place in the draw: the first number of a stream that is
// seeded with the draw's seed and the names, so that neither the order of the inputs nor other jobs
// move it.
func Ticket(seed uint64, names ...string) uint64 {
	return stat.Rand(seed ^ stat.Hash([]byte(strings.Join(names, "\x00")))).Uint64()
}

// Digest returns what is published of a seed before the jobs are in, so that nobody can choose the
// seed afterwards: SHA-256 of its decimal figures behind a fixed text, in hexadecimal. A short seed
// can be guessed from it.
func Digest(seed uint64) string {
	sum := sha256.Sum256([]byte("bayproof inspect " + strconv.FormatUint(seed, 10)))
	return hex.EncodeToString(sum[:])
}

// Plan is a reproducible draw: the same seed and the same jobs give the same bays.
type Plan struct {
	Seed   uint64
	Digest string
	Asked  int     // bays asked for
	Bays   []Drawn // house by house
	Strata []Stratum
	Few    bool // fewer bays were asked for than there are crews: crews were not set apart
	Short  Why  // why fewer are given than were asked for
	Bound  Bound
	Crews  []Bound  // what none bad would prove of each crew by itself
	Houses int      // that are visited
	Open   [2]int   // ClosedHold and OpenHold bays that there are
	Proofs [3]Proof // what it takes to show a rate, one bay a house
}

// Why says why fewer bays are given than were asked for.
type Why uint8

const (
	Enough   Why = iota // as many as asked for
	NoMore              // there are no more filled bays
	FewHouse            // few houses: of a house only so many bays are kept for a draw
)

// Drawn is one bay to open.
type Drawn struct {
	Job int // place of the house
	Candidate
	Crew string
}

// Stratum is a crew's bays of one class: its houses are drawn first, all equally likely, and in
// each of them its bays.
type Stratum struct {
	Crew          string
	Class         Class
	Houses, Bays  int   // that there are
	Visits, Drawn int   // houses that are visited, and bays drawn in them
	sizes         []int // bays by house
	take          []int // bays that are drawn, by house; 0 where it is not visited
	at            []int // places of the houses, by ticket
	together      bool  // doubtful and sure bays alike
}

// Proof is what it takes to show that less than a share Rate of the Bays called CLOSE are bad: Need
// of them, none bad, drawn all equally likely (stat.DetectionSize at Level).
type Proof struct {
	Rate       float64 // share of bad bays
	Bays, Need int     // called CLOSE, and to be opened
}

// doubtWeight is how much more often a doubtful bay is drawn than a sure one (this tool's own).
// More would prove less: what none bad proves depends on the class that is looked at least.
const doubtWeight = 1.5

// NewPlan draws n bays from houses, those called CLOSE before all others. Every crew has a floor:
// two bays where there are twice as many to draw as crews, else one. What is left goes by number
// times weight, one after the other to the stratum with the highest bays·weight/(drawn + 1)
// (D'Hondt). A stratum draws its houses first and in each of them one bay; more than one only where
// it has fewer houses than bays to draw. Where fewer bays are called CLOSE than were asked for,
// bays that are not CLOSE follow. Short says why fewer than n are given.
func NewPlan(houses []House, n int, seed uint64) *Plan {
	p := &Plan{Seed: seed, Digest: Digest(seed), Asked: n}
	crews := map[string]bool{}
	for i := range houses {
		h := &houses[i]
		if h.bays(Sure)+h.bays(Doubtful) > 0 {
			crews[h.Crew] = true
		}
		p.Open[0], p.Open[1] = p.Open[0]+h.bays(ClosedHold), p.Open[1]+h.bays(OpenHold)
	}
	p.Few = n < len(crews)
	p.strata(houses, n < 2*len(crews), seed)
	given := p.allot(n, len(crews))
	for i := range p.Strata {
		p.draw(&p.Strata[i], houses)
	}
	if drawn := len(p.Bays); drawn < given {
		p.Short = FewHouse
	}
	if len(p.Bays) < n && p.Short == Enough {
		p.others(houses, n-len(p.Bays))
	}
	if len(p.Bays) < n && p.Short == Enough {
		p.Short = NoMore
	}
	slices.SortStableFunc(p.Bays, func(a, b Drawn) int {
		return cmp.Or(cmp.Compare(a.Crew, b.Crew), cmp.Compare(a.Job, b.Job), cmp.Compare(a.Class, b.Class), byTicket(a.Candidate, b.Candidate))
	})
	visited := map[int]bool{}
	for _, b := range p.Bays {
		visited[b.Job] = true
	}
	p.Houses = len(visited)
	p.bounds()
	for i, rate := range [...]float64{0.10, 0.05, 0.01} {
		p.Proofs[i] = Proof{rate, p.Bound.Bays, stat.DetectionSize(p.Bound.Bays, rate, Level)}
	}
	return p
}

// strata sorts the houses into strata, each with its houses by ticket. together leaves sure and
// doubtful bays in one, where few are drawn; Few leaves all crews in one.
func (p *Plan) strata(houses []House, together bool, seed uint64) {
	type key struct {
		crew  string
		class Class
	}
	at := map[key]int{}
	for i := range houses {
		h := &houses[i]
		for _, class := range []Class{Doubtful, Sure} {
			bays, crew := h.bays(class), h.Crew
			if together {
				if class == Sure {
					continue
				}
				bays += h.bays(Sure)
			}
			if p.Few {
				crew = ""
			}
			if bays == 0 {
				continue
			}
			k := key{crew, class}
			if _, known := at[k]; !known {
				at[k], p.Strata = len(p.Strata), append(p.Strata, Stratum{Crew: crew, Class: class})
			}
			s := &p.Strata[at[k]]
			s.Houses, s.Bays = s.Houses+1, s.Bays+bays
			s.sizes, s.at = append(s.sizes, bays), append(s.at, i)
		}
	}
	for i := range p.Strata {
		s := &p.Strata[i]
		s.take = make([]int, len(s.at))
		order := make([]int, len(s.at)) // houses by ticket
		tickets := make([]uint64, len(s.at))
		for k, house := range s.at {
			order[k], tickets[k] = k, Ticket(seed, houses[house].Name, s.Crew, strconv.Itoa(int(s.Class)))
		}
		slices.SortFunc(order, func(a, b int) int { return cmp.Or(cmp.Compare(tickets[a], tickets[b]), cmp.Compare(a, b)) })
		sizes, at := make([]int, len(order)), make([]int, len(order))
		for k, o := range order {
			sizes[k], at[k] = s.sizes[o], s.at[o]
		}
		s.sizes, s.at = sizes, at
		s.together = together
	}
	slices.SortFunc(p.Strata, func(a, b Stratum) int { return cmp.Or(cmp.Compare(a.Crew, b.Crew), cmp.Compare(a.Class, b.Class)) })
}

// allot shares n bays out among the strata, setting Drawn of each, and returns how many found a
// place.
func (p *Plan) allot(n, crews int) int {
	floor := 1
	if n >= 2*crews {
		floor = 2
	}
	drawn := map[string]int{}
	given := 0
	for given < n {
		best, most := -1, 0.0
		for i := range p.Strata {
			s := &p.Strata[i]
			if s.Drawn == s.Bays {
				continue
			}
			weight := 1.0
			if s.Class == Doubtful && !s.together {
				weight = doubtWeight
			}
			want := weight * float64(s.Bays) / float64(1+s.Drawn)
			if drawn[s.Crew] < floor {
				want += 1e12 // the floor first
			}
			if want > most {
				best, most = i, want
			}
		}
		if best < 0 {
			break
		}
		p.Strata[best].Drawn++
		drawn[p.Strata[best].Crew]++
		given++
	}
	return given
}

// draw takes a stratum's bays: one a house in the order of the houses' tickets, then a second,
// until all are drawn or no house has more that were kept.
func (p *Plan) draw(s *Stratum, houses []House) {
	left := s.Drawn
	s.Drawn = 0
	lists := make([][]Candidate, len(s.at))
	for round := 0; left > 0; round++ {
		before := left
		for k := range s.at {
			if left == 0 {
				break
			}
			h := &houses[s.at[k]]
			if lists[k] == nil {
				lists[k] = h.of(s.Class)
				if s.together {
					lists[k] = append(lists[k], h.of(Sure)...)
					slices.SortFunc(lists[k], byTicket)
				}
			}
			if round >= len(lists[k]) {
				continue
			}
			c := lists[k][round]
			c.Class = h.class(c.Class)
			p.Bays = append(p.Bays, Drawn{s.at[k], c, h.Crew})
			if s.take[k]++; s.take[k] == 1 {
				s.Visits++
			}
			s.Drawn, left = s.Drawn+1, left-1
		}
		if left == before {
			return // no house has more that were kept
		}
	}
}

// others draws n bays that are not CLOSE by ticket, those that were closed first.
func (p *Plan) others(houses []House, n int) {
	for _, class := range []Class{ClosedHold, OpenHold} {
		var list []Drawn
		for i := range houses {
			for _, c := range houses[i].of(class) {
				list = append(list, Drawn{i, c, houses[i].Crew})
			}
		}
		slices.SortFunc(list, func(a, b Drawn) int { return byTicket(a.Candidate, b.Candidate) })
		list = list[:min(n, len(list))]
		p.Bays, n = append(p.Bays, list...), n-len(list)
	}
}
