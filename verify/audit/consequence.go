// Which bays need somebody, and which jobs come first: by consequence, not by the order of the log.
// What was closed and is short comes before all, then what can still be mended.

package audit

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"time"

	"bayproof/verify"
)

// Plight is how a bay stands that somebody has to see to, the gravest first.
type Plight uint8

const (
	ShortClosed  Plight = iota // closed, and shown to be short
	Contradicted               // closed, and the empties say that less went in than the log has
	Decided                    // closed as it stands by a person, by name and reason, short or not
	ClosedDoubt                // closed though not CLOSE then or now, and not shown to be short
	ShortOpen                  // shown to be short, or empty, and still open
	OpenProbe                  // open; something speaks for a void
	OpenMeasure                // open; neither shown to hold nor to be short
	NotFilled                  // in the log, and not filled
	NotLogged                  // counted from outside, and not in the log: has no name
	Plights      = 9
)

// Queue is what is to be done about it.
type Queue uint8

const (
	Mend    Queue = iota // material is missing, and where is known
	Inspect              // somebody has to look
	Ask                  // somebody has to say something
	Queues  = 3
)

// Queue returns the queue that a plight stands in.
func (p Plight) Queue() Queue {
	switch p {
	case ShortClosed, ShortOpen, NotFilled:
		return Mend
	case ClosedDoubt, OpenProbe, OpenMeasure:
		return Inspect
	}
	return Ask
}

// Stands returns how a bay stands; ok is false of one that needs nobody. contradicted says that
// empties contradict its section's counts.
func Stands(b *verify.Bay, contradicted bool) (p Plight, ok bool) {
	closed := b.State == verify.Closed
	switch {
	case b.State == verify.NotFilled:
		return NotFilled, true
	case !b.Judged():
		return 0, false
	case b.IsDecided():
		return Decided, true
	case closed && (b.Verdict == verify.Add || b.VerdictToday == verify.Add):
		return ShortClosed, true
	case closed && contradicted:
		return Contradicted, true
	case closed && (b.Verdict != verify.Close || closedAs(b) != verify.Close):
		return ClosedDoubt, true
	case closed || b.Verdict == verify.Close:
		return 0, false
	case b.Verdict == verify.Add:
		return ShortOpen, true
	case b.Verdict == verify.Probe:
		return OpenProbe, true
	}
	return OpenMeasure, true
}

// BayOf is a bay that somebody has to see to.
type BayOf struct {
	Bay      string
	Section  int32 // place in the job's sections
	Plight   Plight
	Verdict  verify.Verdict
	ClosedAs verify.Verdict // where it was closed
	Code     verify.Code    // the first reason that nothing answered
	Density  float64        // kg/m³
	Prob     float64        // that it reaches the target, today
	Area     float64        // m² of its face: volume over depth; NaN where it has no depth
	By       string         // who closed it, or decided to, and filled it where the log says no more; empty of an open one
	day      int32          // of that, since 1970; 0 where no time is known
}

// Day returns the day on which a bay was closed or decided, 2006-01-02; empty where no time is
// known.
func (b *BayOf) Day() string {
	if b.day == 0 {
		return ""
	}
	return time.Unix(int64(b.day)*86400, 0).UTC().Format("2006-01-02")
}

// ShortBy returns by how much a bay of the job reads below the target, kg/m³; 0 where it does not.
func (j *Job) ShortBy(b *BayOf) float64 { return math.Max(0, j.Target-b.Density) }

// SectionOf is the name of a bay's section.
func (j *Job) SectionOf(b *BayOf) string { return j.Sections[b.Section].Name }

// How many bays of a job are kept by name, for each plight that cannot be mended any more or that a
// person took on himself, and of all that are still open together; the numbers count all.
const (
	mostNamed = 40
	mostOpen  = 10
)

// Needs are the bays of a job, or of all jobs, that somebody has to see to.
type Needs struct {
	Bays [Plights]int32   // how many
	Area [Plights]float64 // m² of face; bays that are not in the log have none
}

// add adds another job's.
func (n *Needs) add(o *Needs) {
	for p := range n.Bays {
		n.Bays[p], n.Area[p] = n.Bays[p]+o.Bays[p], n.Area[p]+o.Area[p]
	}
}

// In returns how many bays stand in a queue.
func (n *Needs) In(q Queue) (bays int32) {
	for p, k := range n.Bays {
		if Plight(p).Queue() == q {
			bays += k
		}
	}
	return bays
}

// Any tells whether anybody is needed.
func (n *Needs) Any() bool { return n.Bays != [Plights]int32{} }

// needs sorts a job's bays by how they stand and keeps the gravest by name. The area that is
// expected to be short is
//
//	ShortArea = Σ area·(1 − P(density ≥ target)) over all bays with a verdict
//
// in m², whatever their verdicts are.
func (j *Job) needs(f *verify.Findings) {
	contradicted := contradictedSections(f)
	type standing struct {
		Plight
		bay  int     // its place
		area float64 // of its face, m²
	}
	list := make([]standing, 0, len(f.Bays))
	for i := range f.Bays {
		b := &f.Bays[i]
		if b.State == verify.Struck {
			continue
		}
		area := b.Bay.Face()
		if area > 0 && b.Judged() {
			j.ShortArea += area * (1 - chance(b))
		}
		p, ok := Stands(b, contradicted != nil && contradicted[f.SectionAt(b.Bay.Section)])
		if !ok {
			continue
		}
		j.Needs.Bays[p]++
		if area > 0 {
			j.Needs.Area[p] += area
		}
		list = append(list, standing{p, i, area})
	}
	j.Needs.Bays[NotLogged] += j.Tally.NotInLog
	slices.SortStableFunc(list, func(a, b standing) int {
		if a.Plight == b.Plight && (a.Plight == ShortClosed || a.Plight == ShortOpen) { // those that are short of most
			return cmp.Compare(shortOf(&f.Bays[b.bay]), shortOf(&f.Bays[a.bay]))
		}
		return cmp.Compare(a.Plight, b.Plight)
	})
	var named [Plights]int // by plight; all that can still be mended count as the first of them
	list = slices.DeleteFunc(list, func(s standing) bool {
		p, most := s.Plight, mostNamed
		if p >= ClosedDoubt {
			p, most = ClosedDoubt, mostOpen
		}
		named[p]++
		return named[p] > most
	})
	j.Open = slices.Grow(j.Open, len(list))
	for _, s := range list {
		b := &f.Bays[s.bay]
		j.Open = append(j.Open, bayOf(b, s.Plight, f.SectionAt(b.Bay.Section), s.area))
	}
}

// shortOf returns by how much a bay reads below its target, kg/m³; 0 where it does not.
func shortOf(b *verify.Bay) float64 { return math.Max(0, b.Bay.Section.Settings.Target-b.Density) }

// bayOf is what is kept of a bay by name; area is that of its face in m².
func bayOf(b *verify.Bay, p Plight, section int, area float64) BayOf {
	out := BayOf{Section: int32(section), Plight: p, Area: area, Density: b.Density, Prob: chance(b), Bay: strings.Clone(b.Bay.Name),
		Verdict: b.Verdict, Code: leading(b), ClosedAs: closedAs(b)}
	if p <= ClosedDoubt {
		out.By, out.day = whoAndWhen(b)
		out.By = strings.Clone(out.By)
	}
	return out
}

// contradictedSections are the sections whose counts the empties contradict; nil where none is.
func contradictedSections(f *verify.Findings) []bool {
	var out []bool
	says := func(reasons []verify.Reason) bool {
		return slices.ContainsFunc(reasons, func(r verify.Reason) bool { return r.Code == verify.TotalsShort && !r.IsAnswered() })
	}
	all := says(f.Totals.Reasons)
	for s := range f.Sections {
		if all || says(f.Sections[s].Reasons) {
			if out == nil {
				out = make([]bool, len(f.Sections))
			}
			out[s] = true
		}
	}
	return out
}

// chance returns the probability that a bay reaches the target by what is known today; that of its
// verdict where today's was not found.
func chance(b *verify.Bay) float64 {
	if p := b.ProbToday; !math.IsNaN(p) && p != 0 {
		return p
	}
	return b.ProbAtTarget
}

// leading is the first reason of a bay that nothing answered.
func leading(b *verify.Bay) verify.Code {
	for i := range b.Reasons {
		if r := &b.Reasons[i]; !r.IsAnswered() {
			return r.Code
		}
	}
	return ""
}

// whoAndWhen returns who closed a bay, or decided to, and on which day since 1970; "" and 0 where
// that is not known.
func whoAndWhen(b *verify.Bay) (by string, day int32) {
	e := b.Bay.Fill
	if n := len(b.Bay.Closed); n > 0 {
		e = b.Bay.Closed[n-1]
	}
	if b.IsDecided() {
		e = b.Bay.Decided
	}
	if e == nil {
		return "", 0
	}
	if by = e.By; by == "" && b.Bay.Fill != nil {
		by = b.Bay.Fill.By
	}
	if t := e.Time; t.Year() > 1970 { // the day where it was written
		day = int32(time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, time.UTC).Unix() / 86400)
	}
	return by, day
}

// Ranked returns the places of the jobs that need someone, by the area that is expected to be short
// among their bays, the largest first; of equal ones those with more findings against them before
// the others.
func (r *Review) Ranked() []int {
	against := r.against()
	var out []int
	for i, j := range r.Jobs {
		if j.Needs.Any() || against[i] > 0 {
			out = append(out, i)
		}
	}
	slices.SortStableFunc(out, func(a, b int) int {
		ja, jb := r.Jobs[a], r.Jobs[b]
		return cmp.Or(cmp.Compare(jb.ShortArea, ja.ShortArea), cmp.Compare(against[b], against[a]))
	})
	return out
}
