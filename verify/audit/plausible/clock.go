// Clocks, bag weights and terms: what stands in the files and is no matter of chance.
//
// Times say when rows were typed, and where they were typed as the bays were filled also how long
// that took. Two things cannot be: a day whose material no machine feeds in the time between its
// first and its last bay, and a crew in two houses at once. Neither has a probability, so neither
// is held down with what has one. Both have one innocent cause, rows typed in afterwards; where
// many days of a program look so it is how its logs are kept, and no day is named.

package plausible

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"bayproof/model"
	"bayproof/verify"
	"bayproof/verify/stat"
)

const (
	// mostFeed is what no portable machine feeds, in kg/s: 50 lb a minute, 3,000 lb an hour.
	// Source: from memory, what makers state for large machines with an open hose is a half to two
	// thirds of it; dense packing through a tube takes a third.
	mostFeed     = 50 * model.Pound / 60
	leastTimed   = 5    // bays of a day with a time, below which it says nothing
	typedDays    = 0.20 // share of impossible days above which times are those of typing
	leastOverlap = 900  // s that two jobs' days must overlap
	feedSlack    = 60   // s by which feed may run over what the clock allows
)

// day is what the times of one job, one day and one machine say.
type day struct {
	first, last int64   // s since 1970
	bays        int     // with a time
	mass        float64 // kg, of the bays after the first
	feed        float64 // s, of the bays after the first; 0 where any of them does not say
	machine     uint32  // hash of the machine's name
}

// daysOf gathers the times of a job's fills by day and machine, in the log's order: fills less than
// ten hours apart are of one day. Days with fewer than leastTimed times are left out. The first
// bay's material is not counted, as its time says when it was done, not when it was begun.
func daysOf(f *verify.Findings) []day {
	var out []day
	for i := range f.Bays {
		b := &f.Bays[i]
		if !b.Judged() || b.Bay.Fill == nil || b.Bay.Fill.Time.IsZero() || b.Bay.Fill.Time.Year() <= 1 {
			continue
		}
		at, machine := b.Bay.Fill.Time, uint32(0)
		if b.Bay.Machine != "" {
			machine = uint32(stat.Hash([]byte(strings.ToLower(b.Bay.Machine))))
		}
		t := at.Unix()
		k := slices.IndexFunc(out, func(d day) bool { return d.machine == machine && t-d.last < 10*3600 && d.first-t < 10*3600 })
		if k < 0 {
			out = append(out, day{first: t, last: t, bays: 1, machine: machine})
			continue
		}
		d := &out[k]
		if t < d.first {
			d.first = t
		} else if t > d.last {
			d.last = t
		}
		d.feed += b.Bay.Fill.Feed.Seconds
		d.bays++
		d.mass += b.Mass
	}
	return slices.DeleteFunc(out, func(d day) bool { return d.bays < leastTimed })
}

// impossible tells whether a machine cannot have fed a day's material between its first time and
// its last, and returns how long it takes at least, in seconds: the larger of mass/mostFeed and the
// feed times that were logged, less feedSlack.
func (d *day) impossible() (bool, float64) {
	needs := math.Max(d.mass/mostFeed, d.feed-feedSlack)
	return float64(d.last-d.first) < needs, needs
}

// clocks finds days that no machine fits into, and crews in two houses at once. Where more than a
// share typedDays of all days look impossible (and more than one), times are those of typing and
// none is named.
func clocks(jobs []*Job) []Finding {
	var out []Finding
	days, wrong := 0, 0
	for i, j := range jobs {
		for k := range j.days {
			d := &j.days[k]
			days++
			if bad, needs := d.impossible(); bad {
				wrong++
				out = append(out, standing(TooFast, []int{i}, number("bays", float64(d.bays)), minutes("minutes", float64(d.last-d.first)),
					minutes("needs", needs), verify.Datum{Key: "mass", Value: d.mass, Dim: verify.Mass}))
			}
		}
	}
	if wrong > 1 && float64(wrong) > typedDays*float64(days) {
		out = nil
	}
	return append(out, overlaps(jobs)...)
}

// minutes is a time in seconds, said in whole minutes.
func minutes(key string, s float64) verify.Datum { return number(key, math.Round(s/60)) }

// span is a day of a job of a crew.
type span struct {
	*day
	job int // its place
}

// overlaps finds, crew by crew, days of two jobs that lie one upon the other by leastOverlap or
// more at one machine. A crew of which more than half of the days (and more than two) do so has two
// trucks, and is not named.
func overlaps(jobs []*Job) []Finding {
	of := map[string][]span{}
	var crews []string
	for i, j := range jobs {
		if j.Crew == "" {
			continue
		}
		for k := range j.days {
			if of[j.Crew] == nil {
				crews = append(crews, j.Crew)
			}
			of[j.Crew] = append(of[j.Crew], span{&j.days[k], i})
		}
	}
	var out []Finding
	for _, crew := range crews {
		spans := of[crew]
		slices.SortStableFunc(spans, func(a, b span) int { return cmp.Compare(a.first, b.first) })
		in := map[int]bool{}
		var found []Finding
		for a := range spans {
			for b := a + 1; b < len(spans) && spans[b].first < spans[a].last; b++ {
				both := min(spans[a].last, spans[b].last) - spans[b].first
				if spans[a].job == spans[b].job || spans[a].machine != spans[b].machine || both < leastOverlap {
					continue
				}
				in[a], in[b] = true, true
				f := standing(TwoPlaces, []int{spans[b].job, spans[a].job}, minutes("minutes", float64(both)), name("other", jobs[spans[a].job].Name))
				found = append(found, f)
			}
		}
		if len(in) > 2 && 2*len(in) > len(spans) {
			continue
		}
		out = append(out, found...)
	}
	return out
}

// bagGroup is the jobs of one product by the bag weight that they state.
type bagGroup struct {
	jobs  int           // that state a bag weight
	of    map[int][]int // by weight in tenths of a pound
	order []int         // the weights as they came
}

const (
	leastBagJobs = 5    // jobs of a product, below which none of its bag weights is usual
	usualBags    = 0.60 // share of its jobs that state one weight for it to be usual
	oddBags      = 0.03 // by how much a bag weight differs from the usual one: twice the ± of a label
)

// bagWeights finds jobs whose stated bag weight differs by more than oddBags from that which a
// share usualBags of the product's jobs state. Weighed bags replace the label, so that jobs with
// weighed bags are left out.
func bagWeights(jobs []*Job) []Finding {
	groups := map[string]*bagGroup{}
	var order []string
	for i, j := range jobs {
		if !(j.bag > 0) {
			continue
		}
		g := groups[j.product]
		if g == nil {
			g = &bagGroup{of: map[int][]int{}}
			groups[j.product], order = g, append(order, j.product)
		}
		w := int(math.Round(j.bag / model.Pound * 10))
		if g.of[w] == nil {
			g.order = append(g.order, w)
		}
		g.of[w], g.jobs = append(g.of[w], i), g.jobs+1
	}
	var out []Finding
	for _, product := range order {
		g := groups[product]
		usual := slices.MaxFunc(g.order, func(a, b int) int { return cmp.Compare(len(g.of[a]), len(g.of[b])) })
		if g.jobs < leastBagJobs || float64(len(g.of[usual])) < usualBags*float64(g.jobs) {
			continue
		}
		for _, w := range g.order {
			if math.Abs(float64(w-usual)) <= oddBags*float64(usual) {
				continue
			}
			out = append(out, standing(OddBag, g.of[w], verify.Datum{Key: "bag", Value: float64(w) / 10 * model.Pound, Dim: verify.Mass},
				verify.Datum{Key: "usual", Value: float64(usual) / 10 * model.Pound, Dim: verify.Mass}, number("others", float64(len(g.of[usual]))), name("product", product)))
		}
	}
	return out
}

// Term is a setting of a job that the program's terms put aside: what the job has, and what it is
// judged by.
type Term struct {
	Setting   string
	Own, Used string // as they are written
}

// Own are all of a job's, and what comes of its bays by them and by those that govern.
type Own struct {
	Terms           []Term
	Close, Governed int // bays that are CLOSE
	Filled          int // of so many
}

// ownTerms lists jobs that set what the program governs.
func ownTerms(jobs []*Job) []Finding {
	var out []Finding
	for i, j := range jobs {
		if j.own == nil {
			continue
		}
		var own, used []string
		for _, t := range j.own.Terms {
			own, used = append(own, t.Setting+" "+t.Own), append(used, t.Used)
		}
		out = append(out, standing(OwnTerms, []int{i}, name("own", strings.Join(own, ", ")), name("used", strings.Join(used, ", ")),
			number("close_own", float64(j.own.Close)), number("close", float64(j.own.Governed)), number("bays", float64(j.own.Filled))))
	}
	return out
}

// standing is a finding that stands in the files and is no matter of chance: it has no p.
func standing(code verify.Code, jobs []int, data ...verify.Datum) Finding {
	return Finding{Code: code, Jobs: jobs, Data: data, P: math.NaN(), Q: math.NaN()}
}
