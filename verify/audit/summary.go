package audit

import (
	"encoding/json"
	"math"
	"slices"
	"strings"

	"bayproof/model"
	"bayproof/verify"
	"bayproof/verify/audit/compare"
	"bayproof/verify/audit/inspect"
	"bayproof/verify/audit/plausible"
	"bayproof/verify/stat"
)

// Job is what is kept of one job. Nothing in it points into the job or its findings, which a review
// of many thousand jobs lets go one after the other.
type Job struct {
	Name             string // with where it was found, if others are called the same
	Site, Crew, Date string
	At               Place
	Units            model.System
	Target           float64 // kg/m³
	Tally            Tally
	Sections         []Section
	Needs            Needs
	ShortArea        float64       // m² that are expected to be short, over all bays with a verdict
	Open             []BayOf       // the bays that need someone by name, the gravest first, at most mostNamed of each plight
	Missing          []verify.Lack // evidence that was asked for and is not there
	Warnings         []Warning     // warnings of the reader, by kind
	Falls            Falls         // density falling along the order of filling
	Way              string        // the way of counting of most of its bays

	Inspected  []inspect.Result // what inspectors found
	Strange    []model.Source   // rows of inspectors that name no bay of the job
	Own        *plausible.Own   // settings of its own that the program's terms put aside; nil where there are none
	Programme  string           // SHA-256 of the program's terms beside its log; empty where there are none
	Confidence float64
	Rule       model.Rule
	Log        string          // SHA-256 of its log; empty where nobody asks
	Made       json.RawMessage // the settings and files that it was made from, as the document has them; nil where nobody asks

	plain *plausible.Job // nil where plausibility is not looked at
	house *inspect.House // for the draw of bays to inspect; nil where none is asked for
}

// Place says where a job was found.
type Place struct {
	Input  string // as given or found: a folder, or a file of many jobs
	Many   bool   // the input holds other jobs too
	Record string // its record, where one exists, relative to the working folder; empty where none does
}

// Section is what is kept of one section. Its kind (wall, slope, floor) is what sections of many
// jobs are compared by.
type Section struct {
	Name, Kind string
	Tally      Tally
}

// Options say what a review looks for. Builder and Summarize must be given the same.
type Options struct {
	Asks    model.Asks
	Figures bool   // results only: no plausibility
	Digests bool   // the digest of each log is kept
	Inspect int    // bays to draw; 0 draws none
	Seed    uint64 // of the draw
	Terms   Terms  // by which all jobs are judged
}

// Summarize keeps of a job's findings, and of what inspectors found in it, what a review needs. It
// may run for many jobs at the same time. Names are copied: as parts of a file's text they would
// keep all of it.
func Summarize(f *verify.Findings, at Place, inspections []model.Inspection, opt Options) *Job {
	st := &f.Job.Settings
	j := &Job{
		Name: strings.Clone(f.Job.Name), Site: strings.Clone(st.Site), Crew: strings.Clone(st.Crew), Date: strings.Clone(dayOf(f.Job)),
		At: at, Units: st.Units, Target: st.Target, Tally: newTally(), Missing: verify.Lacks(&opt.Asks, f), Warnings: warningsOf(f.Job.Warnings),
		Own: ownOf(f.Job), Falls: fallsOf(f), Confidence: st.Confidence, Rule: st.Rule,
	}
	if t := f.Job.Terms; t != nil {
		j.Programme = t.SHA256
	}
	if opt.Digests && len(f.Job.Inputs) > 0 {
		j.Log = f.Job.Inputs[0].SHA256
	}
	j.sections(f, opt.Terms.reach())
	if j.Own != nil {
		j.Own.Governed, j.Own.Filled = int(j.Tally.Close), int(j.Tally.Filled)
	}
	j.needs(f)
	j.Inspected, j.Strange = inspect.ResultsOf(f, inspections)
	if !opt.Figures {
		j.plain = plausible.Of(f, j.Own)
	}
	if opt.Inspect > 0 {
		j.draw(f, opt)
	}
	return j
}

// ownOf are the settings of a job, and of its sections, that the terms put aside, and what its bays
// would be by them; nil where there are none.
func ownOf(job *model.Job) *plausible.Own {
	own := &plausible.Own{}
	add := func(list []model.Overruled) {
		for _, o := range list {
			t := plausible.Term{Setting: o.Name, Own: strings.Clone(o.Own), Used: strings.Clone(o.Used)}
			if !slices.Contains(own.Terms, t) {
				own.Terms = append(own.Terms, t)
			}
		}
	}
	add(job.Settings.Overruled)
	for _, s := range job.Sections {
		add(s.Settings.Overruled)
	}
	if own.Terms == nil {
		return nil
	}
	job.UnderOwn(func() { own.Close = verify.Check(job, verify.Options{Closings: true}).Totals.Close })
	return own
}

// draw counts the bays that may be drawn and keeps those with the lowest tickets, never more than
// are to be drawn.
func (j *Job) draw(f *verify.Findings, opt Options) {
	j.house = &inspect.House{Name: j.Name, Crew: j.Crew}
	for i := range f.Bays {
		b := &f.Bays[i]
		if class, ok := inspect.Of(b, closedAs(b)); ok {
			j.house.Add(inspect.Candidate{Ticket: inspect.Ticket(opt.Seed, j.Name, b.Bay.Section.Name, b.Bay.Name), Class: class,
				Section: b.Bay.Section.Name, Bay: b.Bay.Name, Verdict: b.Verdict, Density: b.Density, Prob: b.ProbAtTarget}, opt.Inspect)
		}
	}
	for i := range j.house.Kept {
		k := &j.house.Kept[i]
		k.Section, k.Bay = strings.Clone(k.Section), strings.Clone(k.Bay)
	}
}

// dayOf is the job's day, or that of its first row with a time; empty where neither is known.
func dayOf(job *model.Job) string {
	if job.Settings.Date != "" {
		return job.Settings.Date
	}
	for i := range job.Log {
		if t := job.Log[i].Time; !t.IsZero() && t.Year() > 1 {
			return t.Format("2006-01-02")
		}
	}
	return ""
}

// sections counts the bays by section and all together. Where nobody counted a section's bays from
// outside, those in the log are all that are expected. The job's way of counting is that of most of
// its bays.
func (j *Job) sections(f *verify.Findings, reach *compare.Reach) {
	j.Sections = make([]Section, len(f.Sections))
	for i := range f.Sections {
		s := &f.Sections[i]
		j.Sections[i] = Section{Name: strings.Clone(s.Section.Name), Kind: strings.Clone(s.Section.Kind), Tally: newTally()}
		j.Sections[i].Tally.section(s)
	}
	ways, most := map[string]int{}, 0
	for i := range f.Bays {
		b := &f.Bays[i]
		t := &j.Sections[f.SectionAt(b.Bay.Section)].Tally
		t.bay(b)
		if !b.Judged() {
			continue
		}
		t.density(b, reach)
		way := inspect.CountingOf(b)
		n := ways[way] + 1
		if ways[way] = n; n > most {
			most, j.Way = n, way
		}
	}
	for i := range j.Sections {
		t := &j.Sections[i].Tally
		if t.Expected = int32(f.Sections[i].Expected); t.Expected < 0 {
			t.Expected = t.Bays
		}
		j.Tally.add(t)
	}
	j.Tally.Jobs, j.Tally.Left = 1, int32(f.Totals.Left)
	if x := f.Totals.UnaccountedBags; !math.IsNaN(x) {
		j.Tally.Unaccounted, j.Tally.UnaccountedJobs = x, 1
	}
}

// Tally are the counts and sums of some bays. Masses in kg, volumes in m³. Every section of every
// job has one, so the counts are small: two thousand million bays at most.
type Tally struct {
	Jobs, Sections                   int32
	Bays                             int32 // in the log and not withdrawn
	Expected                         int32 // counted by sections tables; the bays of the log where nobody counted
	Filled                           int32 // with a verdict
	Close, CloseOwn, CloseCrew       int32
	Add, Measure, Probe              int32
	NotFilled, NotInLog              int32
	Closed, ClosedNotClose           int32
	ClosedHold                       int32    // closed, and not CLOSE then or not CLOSE now; but for Decided
	Decided                          int32    // closed by a person by name and reason, though not CLOSE
	Left                             int32    // not filled on purpose: in no other figure
	OpenHold                         [4]int32 // filled, not closed and not CLOSE, by verdict
	Measured                         int32    // bays whose sizes were all measured
	Volume, Mass, MassRequired, Bags float64
	Unaccounted                      float64 // bags loaded, not left and not logged, over the jobs that counted them
	UnaccountedJobs                  int32
	Lower                            float64      // lowest density that nineteen bays in twenty of a section exceed, at 90 %; NaN where no section has one
	Densities                        stat.Moments // of the filled bays that have a density, kg/m³
	Told                             int32        // of them weighed, or counted and blown to the stall
	Short                            float64      // Σ (1 − P(target reached)) over those: how many are expected to be short
	Reach                            float64      // how many of them this way of counting could show to be CLOSE, were all well packed
	LowerKnown, LowerShort           int32        // sections that have such a bound, and those where it lies below the target
}

// newTally returns the tally of nothing.
func newTally() Tally { return Tally{Lower: math.NaN()} }

// Density returns the mean density in kg/m³: all mass over all volume. NaN where nothing is filled.
func (t *Tally) Density() float64 { return t.Mass / t.Volume }

// Waiting is the number of bays on hold that are still open.
func (t *Tally) Waiting() int32 {
	n := int32(0)
	for _, k := range t.OpenHold {
		n += k
	}
	return n
}

// Open is the number of bays in the log that somebody has to see to.
func (t *Tally) Open() int32 { return t.ClosedHold + t.Waiting() + t.NotFilled + t.Decided }

// add adds another tally. Of lower bounds the lowest stays: the weakest section is what a buyer
// gets.
func (t *Tally) add(o *Tally) {
	t.Jobs, t.Sections = t.Jobs+o.Jobs, t.Sections+o.Sections
	t.Bays, t.Expected, t.Filled = t.Bays+o.Bays, t.Expected+o.Expected, t.Filled+o.Filled
	t.Close, t.CloseOwn, t.CloseCrew = t.Close+o.Close, t.CloseOwn+o.CloseOwn, t.CloseCrew+o.CloseCrew
	t.Add, t.Measure, t.Probe = t.Add+o.Add, t.Measure+o.Measure, t.Probe+o.Probe
	t.NotFilled, t.NotInLog = t.NotFilled+o.NotFilled, t.NotInLog+o.NotInLog
	t.Closed, t.ClosedNotClose = t.Closed+o.Closed, t.ClosedNotClose+o.ClosedNotClose
	t.Measured, t.ClosedHold = t.Measured+o.Measured, t.ClosedHold+o.ClosedHold
	t.Decided, t.Left = t.Decided+o.Decided, t.Left+o.Left
	for v := range t.OpenHold {
		t.OpenHold[v] += o.OpenHold[v]
	}
	t.Volume, t.Mass = t.Volume+o.Volume, t.Mass+o.Mass
	t.MassRequired, t.Bags = t.MassRequired+o.MassRequired, t.Bags+o.Bags
	t.Unaccounted, t.UnaccountedJobs = t.Unaccounted+o.Unaccounted, t.UnaccountedJobs+o.UnaccountedJobs
	t.Densities.Join(o.Densities)
	t.Told, t.Short, t.Reach = t.Told+o.Told, t.Short+o.Short, t.Reach+o.Reach
	t.LowerKnown, t.LowerShort = t.LowerKnown+o.LowerKnown, t.LowerShort+o.LowerShort
	if !(t.Lower <= o.Lower) && !math.IsNaN(o.Lower) {
		t.Lower = o.Lower
	}
}

// bay counts one bay; one that was withdrawn is in no figure.
func (t *Tally) bay(b *verify.Bay) {
	switch b.State {
	case verify.Struck:
		return
	case verify.NotFilled:
		t.NotFilled++
	default:
		t.verdict(b)
	}
	t.Bays++
	if len(b.Bay.Closed) > 0 {
		t.Closed++
	}
	if b.ClosedAgainst() {
		t.ClosedNotClose++
	}
}

// density adds a filled bay's density to those that crews are compared by. A bay without a
// usable figure is in none of them. A count of which nobody says that the bay was blown to the
// stall says how much went in at most: its chance to be short depends on that, not on how the crew
// packs, and is left out of the share that is expected to be short. reach says how likely a
// well-packed bay that is read like this one is CLOSE.
func (t *Tally) density(b *verify.Bay, reach *compare.Reach) {
	p := chance(b)
	if !(b.Density >= 0 && p >= 0) {
		return
	}
	t.Densities.Add(b.Density)
	if fill := b.Bay.Fill; fill != nil && fill.Material.Kind != model.MaterialWeight && !b.Bay.Stalled() {
		st := &b.Bay.Section.Settings
		t.Reach += reach.Stopped(b.U, st.BagStep*st.Bag()/b.Volume)
		return
	}
	t.Told, t.Short = t.Told+1, t.Short+1-p
	t.Reach += reach.Of(b.U, b.Basis != verify.Own || b.Bay.Section.Settings.Rule == model.RuleProcess)
}

// verdict counts a filled bay by what can be said of it now, and by whether it is closed.
func (t *Tally) verdict(b *verify.Bay) {
	t.Filled++
	switch b.Verdict {
	case verify.Close:
		t.Close++
		if b.Basis == verify.Crew {
			t.CloseCrew++
		} else {
			t.CloseOwn++
		}
	case verify.Add:
		t.Add++
	case verify.Measure:
		t.Measure++
	case verify.Probe:
		t.Probe++
	}
	switch class, _ := inspect.Of(b, closedAs(b)); class {
	case inspect.ClosedHold:
		if b.IsDecided() {
			t.Decided++
		} else {
			t.ClosedHold++
		}
	case inspect.OpenHold:
		t.OpenHold[b.Verdict]++
	}
}

// closedAs is the verdict when the bay was last closed, or the one of now where that was not worked
// out.
func closedAs(b *verify.Bay) verify.Verdict {
	if n := len(b.Closings); n > 0 {
		return b.Closings[n-1].Verdict
	}
	return b.Verdict
}

// section adds a section's sums: kg, m³ and bags over its filled bays, and its lower tolerance
// bound in kg/m³ where enough bays give one.
func (t *Tally) section(s *verify.Section) {
	t.Sections++
	t.NotInLog += int32(s.Missing)
	t.Measured += int32(s.Measured)
	if s.Bays > 0 {
		t.Volume, t.Mass = t.Volume+s.Volume, t.Mass+s.Mass
		t.MassRequired += s.MassRequired
		if !math.IsNaN(s.Bags) {
			t.Bags += s.Bags
		}
	}
	if !math.IsNaN(s.LowerTolerance) && s.LowerTolerance != 0 {
		t.LowerKnown++
		if s.LowerTolerance < s.Section.Settings.Target {
			t.LowerShort++
		}
		if !(t.Lower <= s.LowerTolerance) {
			t.Lower = s.LowerTolerance
		}
	}
}
