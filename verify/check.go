package verify

import (
	"iter"
	"math"
	"slices"
	"strings"

	"bayproof/model"
	"bayproof/verify/crew"
	"bayproof/verify/measure"
)

// Options say which costly parts of the findings are wanted. The zero value gives verdicts,
// reasons, sections and totals only; All gives everything but Logged and Codes.
type Options struct {
	Budget   bool     // shares of the inputs in every bay's variance, and what the rule rests on besides the log
	Charts   bool     // the density along the fill order, bay by bay
	Advice   bool     // actions and advice that are found by recomputing
	AdviceIn string   // the section that Advice is wanted for; empty for all
	Closings bool     // amendments after a verdict, reasons that went away
	Logged   bool     // the verdict right after each fill, by recomputing the job row by row
	Codes    bool     // of the reasons that every bay may have the codes alone, without their evidence, and no warnings that all jobs of a crew have
	Growing  *Growing // of a job that is checked after each of its rows; nil remembers nothing
}

// Growing remembers what was found at the check before of the same job, whose log grew since, for
// one who waits for the verdict of the row that was added. With AdviceIn, sections other than that
// one whose own evidence did not change stand as they did then, and so do the orders of bays that
// have no new row and the same verdict for the same reason. Without it all is found anew. The zero
// value remembers nothing.
type Growing struct {
	crew   crew.Memory
	orders map[bayName]ordered
}

// bayName is a bay by its section's name and its own.
type bayName struct{ section, bay string }

// ordered is the order of a bay, and what it was given for.
type ordered struct {
	verdict Verdict
	state   State
	lead    Code
	rows    int
	now     Order
	next    *Advice
}

// All asks for everything that a record shows.
func All() Options { return Options{Budget: true, Charts: true, Advice: true, Closings: true} }

// Check finds out everything about a job. It changes nothing in the job; the findings point into it
// and are the caller's to keep. A job without bays gives findings without bays. The package comment
// lists its steps.
func Check(job *model.Job, opts Options) *Findings {
	c := measured(job, opts)
	if c.rule == model.RuleProcess && opts.Budget {
		c.found.Priors = Priors()
	}
	c.empties()
	c.boxes()
	c.decide()
	for i := range job.Bays {
		c.judgeBay(i)
	}
	for _, b := range job.Left {
		left := Bay{Bay: b, Further: c.nothing, State: Left, Volume: math.NaN(), ProbToday: math.NaN()}
		left.noFigures()
		c.found.Left = append(c.found.Left, left)
	}
	c.pool()
	c.warn()
	c.history()
	c.commit()
	c.advise()
	c.total()
	c.lacks()
	return c.found
}

// check is a job being checked: what was measured, what was decided about it, and the findings as
// they come together.
type check struct {
	job      *model.Job
	opts     Options
	rule     model.Rule
	measured *measure.Measured
	sections []sectionLots
	versions int            // of sections' lots so far
	truck    []*model.Entry // the log's empties and elsewhere rows that hold
	sets     []*model.Entry // its set rows
	given    []crew.Section // what rule process was told, by section
	rows     int            // of the log, as far as truck and sets have its rows
	jobTotal crew.Total     // what the job's empties say about the counts
	found    *Findings
	factor   expansion
	nothing  *Further // shared by the bays of which nothing further is known: never written to
	filled   int      // bays of the job in the order of filling; with advice
	recounts []string // sections whose empties were counted again, folded, empty for the job; with advice
	spare    []Reason // for the first reasons of bays to come
	// uncounted leaves out what settings and sections say of bags loaded, left and used: of a
	// beginning of the log that was not known yet. Its empties rows were.
	uncounted bool
}

// sectionLots are the lots of one section in fill order and what a rule decided about each. A
// section's verdicts rest on these and, under rule process, on what the job's other sections say.
type sectionLots struct {
	of      *model.Section
	lots    []measure.Lot
	version int          // of the lots, from 1; of a log that grows
	counted counted      // what its empties say
	decided []decision   // one a lot, for the rule to fill in
	given   crew.Section // what rule process was told; without lots before, where there are any
	result  *crew.Result // what rule process says; nil under rule guarded
	// contradicted is the evidence that the log holds more bags than the empties of the section or
	// the job explain; nil where it does not, or nobody counted.
	contradicted []Datum
	out          *Section // Mean, SD, LowerTolerance, Drift and Reasons are the rule's to set
}

// decision is what a rule says about one lot. Lengths are shares of a bay's length.
type decision struct {
	prob                    float64 // P(density ≥ target): decides
	basis                   Basis
	couldHide               float64  // shares of a bay's length; NaN where the rule has none
	empty, emptyLo, emptyHi float64  // that would be empty if the rest were packed like the crew's, and its 90 % interval; NaN where nothing says so
	reasons                 []Reason // suspicions that rest on the crew's other bays
}

// measured starts a check: the job is measured, and nothing is decided yet.
func measured(job *model.Job, opts Options) *check {
	c := newCheck(job, opts)
	c.measure(job, func(*model.Section) bool { return true })
	c.found.Bays = make([]Bay, len(job.Bays))
	return c
}

// newCheck is a check of a job, of which nothing is measured yet.
func newCheck(job *model.Job, opts Options) *check {
	return &check{opts: opts, rule: job.Settings.Rule, nothing: new(Further), measured: new(measure.Measured), found: new(Findings)}
}

// measure takes another job in the place of the one before, whose findings are not good any more,
// but for its memory of bays. Of a log that grew since then only sections that changed are measured
// anew (measure.Grown), and the others stay as they were.
func (c *check) measure(job *model.Job, changed func(*model.Section) bool) {
	doubt := c.job != nil && c.job.OrderDoubtful != job.OrderDoubtful
	c.job = job
	m := c.measured
	m.Grown(job, changed, measure.Options{Budget: c.opts.Budget, Rough: c.uncounted})
	*c.found = Findings{Job: job, RuleUsed: c.rule, Bays: c.found.Bays, Sections: model.Cleared(c.found.Sections, len(job.Sections))}
	c.sections = append(c.sections, make([]sectionLots, max(len(job.Sections)-len(c.sections), 0))...)[:len(job.Sections)]
	whole := true
	for i := range c.sections {
		s := &c.sections[i]
		if m.Sections[i].Anew {
			c.versions++
			*s = sectionLots{of: job.Sections[i], lots: m.Sections[i].Lots, version: c.versions}
		} else {
			whole = false
		}
		if s.out, s.contradicted = &c.found.Sections[i], nil; doubt {
			s.counted = counted{}
		}
	}
	c.gather(whole)
}

// gather takes the rows that belong to no bay: all of them, or those logged since the time before.
func (c *check) gather(all bool) {
	truck := len(c.truck)
	if all {
		c.truck, c.sets, c.rows = c.truck[:0], c.sets[:0], 0
	}
	for ; c.rows < len(c.job.Log); c.rows++ {
		switch e := &c.job.Log[c.rows]; {
		case e.Kind == model.EntrySet:
			c.sets = append(c.sets, e)
		case (e.Kind == model.EntryEmpties || e.Kind == model.EntryElsewhere) && !e.Withdrawn:
			c.truck = append(c.truck, e)
		}
	}
	if !all && len(c.truck) != truck {
		for i := range c.sections {
			c.sections[i].counted = counted{}
		}
	}
}

// lotOf returns the lot that a bay (by its place in the job) is in, and what was decided about it;
// nil while it is not filled.
func (c *check) lotOf(bay int) (*measure.Lot, *decision) {
	k := c.measured.LotOf[bay]
	if k < 0 {
		return nil, nil
	}
	s := &c.sections[c.measured.SectionOf(bay)]
	return &s.lots[k], &s.decided[k]
}

// baysOf goes through the bays of a section that were not withdrawn, in the log's order.
func (c *check) baysOf(section int) iter.Seq2[int, *Bay] {
	return func(yield func(int, *Bay) bool) {
		for _, i := range c.measured.Sections[section].Bays {
			if b := &c.found.Bays[i]; b.State != Struck && !yield(i, b) {
				return
			}
		}
	}
}

// decide lets the job's rule decide about the lots of all sections. Rule guarded takes the
// measurement alone: nothing that rests on the crew's other bays is looked at, and the findings say
// so.
func (c *check) decide() {
	for i := range c.sections {
		guarded(&c.sections[i])
	}
	if c.rule == model.RuleProcess {
		c.process()
	}
}

// guarded decides by the measurement alone (JCGM 106, decision with a guard band): prob_at_target
// is prob_measured, P(density ≥ target) by Student's t. It says how sure one bay is, and nothing of
// the share of short bays among the closed. What a lot could hide is computed from its own
// uncertainty around the aim, as nothing is known of the crew's other bays.
func guarded(s *sectionLots) {
	none := math.NaN()
	s.decided = model.Cleared(s.decided, len(s.lots))
	for i := range s.lots {
		l, st := &s.lots[i], &s.of.Settings
		s.decided[i] = decision{
			prob: l.ProbAtLeast(st.Target), basis: Own, couldHide: couldHide(l, st),
			empty: none, emptyLo: none, emptyHi: none,
		}
	}
	s.out.Mean, s.out.SD, s.out.LowerTolerance = none, none, none
}

// couldHide returns the largest share e of a lot's length that may be empty, the rest packed to the
// aim, without the reading x being too high for it 19 times in 20:
//
//	e = 1 − (x − 1.645·u)/aim, within 0 to 1
//
// as a lot with e empty reads (1 − e)·aim on average, and one in twenty of its readings lies
// 1.645·u above that. NaN where the lot has no density.
func couldHide(l *measure.Lot, st *model.Settings) float64 {
	return math.Min(1, math.Max(0, 1-(l.Density-OneSided95*l.U)/st.Aim))
}

// process decides with the crew's other bays as evidence (JCGM 106, prior knowledge of the process;
// package crew), those of the job's other sections and the empties among it. It also raises what
// only those can show: bays short of the crew, over-full ones, swapped neighbors, drift, a section
// over the ceiling.
func (c *check) process() {
	given := c.fillGiven()
	results := c.judged(given)
	for i := range c.sections {
		c.takeResult(i, &results[i])
	}
}

// judged is what rule process says about the sections.
func (c *check) judged(given []crew.Section) []crew.Result {
	if c.opts.Growing == nil {
		return crew.JudgeJob(given, c.jobTotal)
	}
	of := -1
	if c.opts.AdviceIn != "" {
		of = slices.IndexFunc(c.sections, func(s sectionLots) bool { return strings.EqualFold(s.of.Name, c.opts.AdviceIn) })
	}
	return c.opts.Growing.crew.Growing(given, c.jobTotal, of)
}

// fillGiven puts together what rule process is told about every section: its lots, target and
// ceiling, what was seen besides masses, its total and its test boxes. Lots that are those of the
// time before were told already.
func (c *check) fillGiven() []crew.Section {
	c.given = model.Cleared(c.given, len(c.sections))
	for i := range c.sections {
		s := &c.sections[i]
		st, told := &s.of.Settings, &s.given
		if told.Lots == nil {
			step := c.measured.Sections[i].Step.Used
			*told = crew.Section{Lots: s.lots, Target: st.Target, Ceiling: st.Ceiling, Seen: crew.Seen{Odds: s.tookMore(c.measured.Bag.Mass, step)},
				Step: step}
		}
		told.Seen.Unordered, told.Total, told.Boxes = c.job.OrderDoubtful, s.counted.compared.total(s.out.Emptied), nil
		for _, b := range s.out.Boxes {
			told.Boxes = append(told.Boxes, crew.Box{Density: b.Density, U: b.U})
		}
		c.given[i] = *told
	}
	return c.given
}

// takeResult takes over what rule process says about section i: probabilities, what bays could
// hide, the section's mean, spread and drift, suspicions. The basis of a lot is its own measurement
// where that shows the target by itself, or where its count may fall short, for which the crew says
// nothing; else the crew where its section's lots show the target, or nobody does; else the job's
// other sections.
func (c *check) takeResult(i int, r *crew.Result) {
	s := &c.sections[i]
	s.result = r
	for k := range s.lots {
		d, p := &s.decided[k], &r.Lots[k]
		switch confidence := s.of.Settings.Confidence; {
		case d.prob >= confidence, s.lots[k].OneSided > 0: // the crew says nothing for a count that may fall short
		case r.BySection(k) < confidence && p.ProbAtTarget >= confidence:
			d.basis = OfJob
		default:
			d.basis = Crew
		}
		d.prob, d.couldHide = p.ProbAtTarget, p.CouldHide
	}
	s.atLeastFull(&s.given, r, c.measured.Bag.Mass, c.measured.Sections[i].Step.Used)
	if r.Process.Lots > 0 {
		s.out.Mean, s.out.SD, s.out.LowerTolerance = r.Process.Mean, r.Process.SD, r.Process.LowerTolerance
		s.out.OddLo, s.out.OddHi = r.Process.OddLo, r.Process.OddHi
	}
	c.suspectCrew(s, r)
	s.out.Drift = c.drift(s, r)
}

// num is one number of the evidence, in the unit of its dimension.
func num(key string, value float64, dim Dim) Datum { return Datum{Key: key, Value: value, Dim: dim} }

// named is one name of the evidence.
func named(key, text string) Datum { return Datum{Key: key, Text: text, Dim: Name} }
