package audit

import (
	"bayproof/model"
	"bayproof/verify/audit/compare"
	"bayproof/verify/audit/inspect"
	"bayproof/verify/audit/plausible"
)

// Review is what was found out about many jobs.
type Review struct {
	Terms    Terms
	Jobs     []*Job // in the order of the inputs
	Tally    Tally
	Needs    Needs
	Pass     Rate
	Crews    []Group
	Kinds    []Group
	Months   []Group // their densities freed of which crews worked then
	Ways     []Group // of counting
	Model    compare.Model
	Drifts   []compare.Trend     // of crews over the dates of their jobs
	Findings []plausible.Finding // what stands in the files, then all that is a discovery, least likely first
	Looked   int                 // how many probabilities were looked at
	Asks     model.Asks
	Plan     *inspect.Plan  // nil where none was asked for
	Judged   inspect.Judged // by what inspectors found
	Figures  bool           // plausibility was not looked at
	Bad      []Bad
}

// Bad is a job that could not be read.
type Bad struct {
	Place  string        // the input, and the job in it
	Faults []model.Fault // the first ones
	More   int           // faults beyond those
}

// Builder takes in summaries one after the other, in the order of the inputs. What of a job is only
// needed to be set beside other jobs, its rows and its candidates for the sample, it takes over and
// does not leave in the job.
type Builder struct {
	opt    Options
	review Review
	crews  map[string]*Tally
	kinds  map[string]*Tally
	months map[string]*Tally
	ways   map[string]*Tally
	plain  *plausible.Table
}

// NewBuilder returns a review of nothing yet.
func NewBuilder(opt Options) *Builder {
	return &Builder{
		opt: opt, plain: plausible.NewTable(), crews: map[string]*Tally{}, kinds: map[string]*Tally{}, months: map[string]*Tally{},
		ways: map[string]*Tally{}, review: Review{Terms: opt.Terms, Tally: newTally(), Asks: opt.Asks, Figures: opt.Figures},
	}
}

// Add takes in a job.
func (b *Builder) Add(j *Job) {
	if n := len(b.review.Jobs); b.opt.Inspect > 0 && n > fewHouses {
		j.house.Keep(mostOfHouse)
	}
	for i := range j.Inspected {
		j.Inspected[i].Job = len(b.review.Jobs)
	}
	b.review.Jobs = append(b.review.Jobs, j)
	if j.plain != nil {
		b.plain.Add(j.plain)
	}
	b.review.Tally.add(&j.Tally)
	b.review.Needs.add(&j.Needs)
	into(b.ways, j.Way, &j.Tally)
	into(b.crews, j.Crew, &j.Tally)
	into(b.months, j.month(), &j.Tally)
	for i := range j.Sections {
		t := j.Sections[i].Tally
		t.Jobs = 1
		into(b.kinds, j.Sections[i].Kind, &t)
	}
}

const (
	fewHouses   = 500 // jobs of which as many bays are kept for the draw as are to be drawn
	mostOfHouse = 8   // bays of each class that are kept of the others
)

// Fail takes in a job that could not be read.
func (b *Builder) Fail(bad Bad) { b.review.Bad = append(b.review.Bad, bad) }

// Finish sets everything side by side. Findings come before the sample, as a job that something
// speaks against is a class of its own there.
func (b *Builder) Finish() *Review {
	r := &b.review
	tellApart(r.Jobs)
	compared := plausible.Beside(func() bool { // of what is plausible it needs nothing
		r.compare(b.crews, b.kinds, b.months, b.ways)
		return true
	})
	if !b.opt.Figures {
		for _, j := range r.Jobs {
			j.plain.Name = j.Name
		}
		r.Findings, r.Looked = b.plain.Find()
		b.plain = nil
	}
	compared()
	var results []inspect.Result
	for _, j := range r.Jobs {
		results = append(results, j.Inspected...)
	}
	r.Judged = inspect.Judge(results)
	if b.opt.Inspect > 0 {
		against := r.against()
		houses := make([]inspect.House, len(r.Jobs))
		for i, j := range r.Jobs {
			j.house.Against = against[i] > 0
			houses[i] = *j.house
			j.house = nil
		}
		r.Plan = inspect.NewPlan(houses, b.opt.Inspect, b.opt.Seed)
	}
	return r
}

// into adds a tally to that of a name.
func into(by map[string]*Tally, name string, t *Tally) {
	if by[name] == nil {
		none := newTally()
		by[name] = &none
	}
	by[name].add(t)
}

// against counts, by job, the findings that speak about it; one picture at two bays of a job does
// not.
func (r *Review) against() []int {
	out := make([]int, len(r.Jobs))
	for i := range r.Findings {
		f := &r.Findings[i]
		if f.Code == plausible.PhotoBays {
			continue
		}
		for _, j := range f.Jobs {
			out[j]++
		}
	}
	return out
}

// Warning is one kind of warning that the reader gave on a job's files.
type Warning struct {
	Code, Text  string // of the first of its kind
	model.Place        // where that stands
	Count       int    // how many of its kind
}

// warningsOf keeps the first warning of every kind and counts the rest; nil where there is none.
// Its texts are no part of a row, and what is said of a file of many jobs is one text for all of
// them.
func warningsOf(warnings []model.Warning) []Warning {
	var out []Warning
next:
	for i := range warnings {
		w := &warnings[i]
		for k := range out {
			if out[k].Code == w.Code {
				out[k].Count++
				continue next
			}
		}
		out = append(out, Warning{w.Code, w.Text, w.Src, 1})
	}
	return out
}

// tellApart adds where it was found to the name of every job that shares it with another.
func tellApart(jobs []*Job) {
	with := make(map[string]int, len(jobs))
	for _, j := range jobs {
		with[j.Name]++
	}
	for _, j := range jobs {
		if with[j.Name] > 1 {
			j.Name += " (" + j.At.Input + ")"
		}
	}
}
