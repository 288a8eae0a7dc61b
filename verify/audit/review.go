package audit

// Review is what was found out about many jobs.
type Review struct {
	Jobs     []*Job // in the order of the inputs
	Tally    Tally
	Pass     Rate
	Crews    []Group
	Kinds    []Group
	Months   []Group
	Findings []Finding // all that was looked at and is a discovery at Rate, least likely first
	Looked   int       // how many probabilities were looked at
	Asks     Asks
	Sample   *Sample // nil where none was asked for
	Opened   OpenedSum
	Figures  bool // plausibility was not looked at
	Bad      []Bad
}

// Bad is a job that could not be read.
type Bad struct {
	Place  string   // the input, and the job in it
	Faults []string // one line each
	More   int      // faults beyond those
}

// Builder takes in summaries one after the other.
type Builder struct {
	opt    Options
	review Review
	crews  map[string]*Tally
	kinds  map[string]*Tally
	months map[string]*Tally
	pool   [strata][]drawn
	desk   *desk
}

// NewBuilder returns a review of nothing yet.
func NewBuilder(opt Options) *Builder {
	return &Builder{
		opt: opt, desk: newDesk(), crews: map[string]*Tally{}, kinds: map[string]*Tally{}, months: map[string]*Tally{},
		review: Review{Tally: newTally(), Asks: opt.Asks, Figures: opt.Figures},
	}
}

// Add takes in a job.
func (b *Builder) Add(j *Job) {
	b.hand(j, len(b.review.Jobs))
	b.review.Jobs = append(b.review.Jobs, j)
	b.desk.put(j)
	b.review.Tally.add(&j.Tally)
	into(b.crews, j.Crew, &j.Tally)
	into(b.months, month(j.Date), &j.Tally)
	for i := range j.Sections {
		t := j.Sections[i].Tally
		t.Jobs = 1
		into(b.kinds, j.Sections[i].Kind, &t)
	}
}

// Fail takes in a job that could not be read.
func (b *Builder) Fail(bad Bad) { b.review.Bad = append(b.review.Bad, bad) }

// Finish sets everything side by side.
func (b *Builder) Finish() *Review {
	r := &b.review
	tellApart(r.Jobs)
	r.Pass = r.Tally.pass()
	r.Crews, r.Kinds, r.Months = groups(b.crews), groups(b.kinds), groups(b.months)
	if !b.opt.Figures {
		r.weigh(b.desk)
		b.desk = nil
	}
	r.Opened = sumOpened(r.Jobs)
	if b.opt.Inspect > 0 {
		r.Sample = drawSample(r, &b.pool, b.opt)
	}
	return r
}

func into(by map[string]*Tally, name string, t *Tally) {
	sum := by[name]
	if sum == nil {
		n := newTally()
		sum = &n
		by[name] = sum
	}
	sum.add(t)
}

// month is the year and month of a day.
func month(day string) string {
	if len(day) < 7 {
		return ""
	}
	return day[:7]
}
