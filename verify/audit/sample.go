package audit

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"bayproof/verify"
	"bayproof/verify/stat"
)

// Stratum is a class of bays that carry one risk. Within it every bay has the same chance to be drawn.
type Stratum uint8

const (
	OpenHold   Stratum = iota // filled, not closed, not CLOSE: costs nothing to look into now
	ClosedHold                // closed though not CLOSE, or decided by a person
	Doubted                   // CLOSE, in a job that has a plausibility finding
	ByCrew                    // CLOSE with the crew's help
	ByOwn                     // CLOSE by its own count
	strata
)

// weights are the risk weights of a bay by stratum; common practice, as such weights go. Bays on hold that are still open
// have none: they are drawn before all others.
var weights = [strata]float64{ClosedHold: 8, Doubted: 4, ByCrew: 2, ByOwn: 1}

// Sample is a reproducible draw: the same seed and the same jobs give the same bays, so that an inspector can show that
// nobody chose them.
type Sample struct {
	Seed  uint64
	Asked int
	Bays  []Drawn
	Class []Class
	// To prove that fewer than Rate of the bays called CLOSE are bad takes Need of them without a bad one.
	Proofs []Proof
}

// Drawn is one bay to open.
type Drawn struct {
	Job          int // index into Review.Jobs
	Section, Bay string
	Stratum      Stratum
	Verdict      verify.Verdict
	Density      float64
	Prob         float64
}

// Class is one stratum: how many bays there are, how many were drawn, and what finding none bad among these shows.
type Class struct {
	Stratum     Stratum
	Bays, Drawn int
	Left        int // bad ones that could still be there at Level, if none of the drawn is bad
}

// Proof is what it takes to show a rate.
type Proof struct {
	Rate float64
	Bays int // bays called CLOSE
	Need int // of them to open, none bad, for Level
}

// drawn is a bay with its ticket. The lowest tickets of a stratum are drawn, which makes every bay of it equally likely and
// lets jobs be read one after the other: of each only those with the lowest tickets can still be drawn.
type drawn struct {
	ticket uint64
	Drawn
}

// byTicket orders the draw; of one ticket the job that came first.
func byTicket(a, b drawn) int {
	return cmp.Or(cmp.Compare(a.ticket, b.ticket), cmp.Compare(a.Job, b.Job))
}

// perDoubt is how many bays of either kind of CLOSE a job keeps in case it turns out to be doubted. A doubted job has a few
// bays opened, not all of them, so a few are enough.
const perDoubt = 4

// draw keeps the job's candidates: of each stratum those with the lowest tickets, never more than are to be drawn.
func (j *Job) draw(f *verify.Findings, opt Options) {
	var best [strata][]drawn
	for i := range f.Bays {
		b := &f.Bays[i]
		s, ok := stratumOf(b)
		if !ok {
			continue
		}
		d := drawn{ticket(opt.Seed, j.Name, b.Bay.Section.Name, b.Bay.Name), Drawn{
			Section: b.Bay.Section.Name, Bay: b.Bay.Name, Stratum: s, Verdict: b.Verdict, Density: b.Density, Prob: b.ProbAtTarget}}
		best[s] = keepLeast(best[s], d, opt.Inspect, byTicket)
	}
	for _, list := range best {
		for _, d := range list {
			d.Section, d.Bay = strings.Clone(d.Section), strings.Clone(d.Bay)
			j.drawn = append(j.drawn, d)
		}
	}
}

// stratumOf is the stratum of a filled bay; ok is false of one that is withdrawn or not filled.
func stratumOf(b *verify.Bay) (Stratum, bool) {
	closed := b.State == verify.Closed
	switch {
	case b.State != verify.Filled && !closed:
		return 0, false
	case b.IsDecided() || closed && (b.Verdict != verify.Close || closedAs(b) != verify.Close):
		return ClosedHold, true
	case b.Verdict != verify.Close:
		return OpenHold, true
	case b.Basis == verify.Crew:
		return ByCrew, true
	}
	return ByOwn, true
}

// ticket is a bay's place in the draw: the first number of a stream that is seeded with the draw's seed and the bay's names,
// so that neither the order of the inputs nor other jobs move it.
func ticket(seed uint64, names ...string) uint64 {
	return stat.Rand(seed ^ hashOf([]byte(strings.Join(names, "\x00")))).Uint64()
}

// hand takes a job's candidates in: the lowest tickets of each stratum stay in the draw, and the job keeps a few of its
// bays called CLOSE.
func (b *Builder) hand(j *Job, at int) {
	var kept []drawn
	var of [strata]int
	for _, d := range j.drawn {
		d.Job = at
		b.pool[d.Stratum] = keepLeast(b.pool[d.Stratum], d, 2*b.opt.Inspect, byTicket) // twice: some may turn out to be doubted
		if of[d.Stratum]++; of[d.Stratum] <= perDoubt && (d.Stratum == ByCrew || d.Stratum == ByOwn) {
			kept = append(kept, d)
		}
	}
	j.drawn = kept
}

// drawSample draws from all jobs. Which jobs are doubted is known only now, so that the bays called CLOSE of such jobs change
// their stratum here: they come from the few that each job kept.
func drawSample(r *Review, all *[strata][]drawn, opt Options) *Sample {
	doubted := make([]bool, len(r.Jobs))
	for i := range r.Findings {
		for _, j := range r.Findings[i].Jobs {
			doubted[j] = doubted[j] || r.Findings[i].Code != PhotoBays // which speaks against nobody
		}
	}
	var pool [strata][]drawn
	for st, list := range all {
		for _, d := range list {
			if st != int(ByCrew) && st != int(ByOwn) || !doubted[d.Job] {
				pool[st] = append(pool[st], d)
			}
		}
	}
	var sizes [strata]int
	for i, j := range r.Jobs {
		count(&sizes, j, doubted[i])
		for _, d := range j.drawn {
			if doubted[i] {
				d.Job, d.Stratum = i, Doubted
				pool[Doubted] = append(pool[Doubted], d)
			}
		}
	}
	s := &Sample{Seed: opt.Seed, Asked: opt.Inspect}
	for st, n := range allocate(sizes, pool, opt.Inspect) {
		list := pool[st]
		slices.SortFunc(list, byTicket)
		for _, d := range list[:n] {
			s.Bays = append(s.Bays, d.Drawn)
		}
		if sizes[st] > 0 {
			s.Class = append(s.Class, Class{Stratum(st), sizes[st], n, stat.ProvenRate(sizes[st], n, Level)})
		}
	}
	for _, rate := range [...]float64{0.10, 0.05, 0.01} {
		s.Proofs = append(s.Proofs, Proof{rate, int(r.Tally.Close), stat.DetectionSize(int(r.Tally.Close), rate, Level)})
	}
	return s
}

// count adds a job's bays by stratum: how many there are, not how many candidates were kept.
func count(sizes *[strata]int, j *Job, doubted bool) {
	t := &j.Tally
	held, waiting, crew := int(t.ClosedHold+t.Decided), int(t.Waiting()), int(t.byCrew)
	sizes[ClosedHold], sizes[OpenHold] = sizes[ClosedHold]+held, sizes[OpenHold]+waiting
	own := int(t.Filled) - held - waiting - crew
	if doubted {
		sizes[Doubted] += own + crew
		return
	}
	sizes[ByCrew], sizes[ByOwn] = sizes[ByCrew]+crew, sizes[ByOwn]+own
}

// allocate shares a draw of n out among the strata, of which there are sizes bays and in pool so many candidates. Bays on
// hold that are still open come first, but never take more than half of the draw while other bays are there. The rest goes
// by number times weight, one after the other to the stratum with the highest average (D'Hondt):
//
//	weight · bays / (1 + drawn so far)
func allocate(sizes [strata]int, pool [strata][]drawn, n int) [strata]int {
	var out [strata]int
	others := 0
	for s := ClosedHold; s < strata; s++ {
		others += len(pool[s])
	}
	out[OpenHold] = min(len(pool[OpenHold]), max(n-others, (n+1)/2))
	n -= out[OpenHold]
	for n > 0 {
		best, most := strata, 0.0
		for s := ClosedHold; s < strata; s++ {
			want := weights[s] * float64(sizes[s]) / float64(1+out[s])
			if out[s] < len(pool[s]) && want > most {
				best, most = s, want
			}
		}
		if best == strata {
			break
		}
		out[best]++
		n--
	}
	return out
}

// LeftShare is the share of a class that could still be bad.
func (c Class) LeftShare() float64 {
	if c.Bays == 0 {
		return math.NaN()
	}
	return float64(c.Left) / float64(c.Bays)
}
