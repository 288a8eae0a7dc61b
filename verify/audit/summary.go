package audit

import (
	"math"
	"strings"

	"bayproof/model"
	"bayproof/verify"
)

// Job is what is kept of one job. Nothing in it points into the job or its findings, which a review of many thousand jobs
// lets go one after the other.
type Job struct {
	Name             string // with where it was found, if others are called the same
	Site, Crew, Date string
	At               Place
	Units            model.System
	Target           float64 // kg/m³
	Tally            Tally
	Sections         []Section
	Open             []OpenBay // the bays that need someone first, at most mostOpen
	Missing          []Lack    // evidence that was asked for and is not there
	Warnings         []Warning // warnings of the reader, by kind

	Opened []Opened // bays that an inspector opened

	checks *checks  // nil where plausibility is not looked at
	rows   []rowKey // measured rows, for copies, until they are handed to the review
	photos []photo
	drawn  []drawn // candidates for the sample
}

// Place says where a job was found.
type Place struct {
	Input  string // as given or found: a folder, or a file of many jobs
	Many   bool   // the input holds other jobs too
	Record string // its record, where one exists, relative to the working folder; empty where none does
}

// Section is what is kept of one section. Its kind (wall, slope, floor) is what sections of many jobs are compared by.
type Section struct {
	Name, Kind string
	Tally      Tally
}

// OpenBay is a bay that somebody has to see to: on hold, not filled, closed though not CLOSE, or decided by a person.
type OpenBay struct {
	Bay      string
	Code     verify.Code // the first reason that nothing answered
	Density  float64     // kg/m³
	Prob     float64     // that it reaches the target
	Section  int32       // place in the job's sections
	Verdict  verify.Verdict
	State    verify.State
	ClosedAs verify.Verdict // where State is Closed
	By       string         // who decided to close it as it stands; empty where nobody did
}

// SectionOf is the name of a bay's section.
func (j *Job) SectionOf(b *OpenBay) string { return j.Sections[b.Section].Name }

// mostOpen is how many bays of a job are kept by name; the tally counts all.
const mostOpen = 10

// Options say what a review looks for. Builder and Summarize must be given the same.
type Options struct {
	Asks    Asks
	Figures bool   // results only: no plausibility
	Inspect int    // bays to draw; 0 draws none
	Seed    uint64 // of the draw
}

// Summarize keeps of a job's findings what a review needs. It may run for many jobs at the same time. Names are copied: as
// parts of a file's text they would keep all of it.
func Summarize(f *verify.Findings, at Place, opt Options) *Job {
	st := &f.Job.Settings
	j := &Job{
		Name: strings.Clone(f.Job.Name), Site: strings.Clone(st.Site), Crew: strings.Clone(st.Crew), Date: strings.Clone(dayOf(f.Job)),
		At: at, Units: st.Units, Target: st.Target, Tally: newTally(), Missing: opt.Asks.lacks(f), Opened: openedBays(f), Warnings: warningsOf(f.Job.Warnings),
	}
	j.sections(f)
	j.open(f)
	if !opt.Figures {
		j.checks, j.rows, j.photos = checksOf(f), measuredRows(f), photosOf(f)
	}
	if opt.Inspect > 0 {
		j.draw(f, opt)
	}
	return j
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

// sections counts the bays by section and all together. Where nobody counted a section's bays from outside, those in the log
// are all that are expected.
func (j *Job) sections(f *verify.Findings) {
	j.Sections = make([]Section, len(f.Sections))
	for i := range f.Sections {
		s := &f.Sections[i]
		j.Sections[i] = Section{Name: strings.Clone(s.Section.Name), Kind: strings.Clone(s.Section.Kind), Tally: newTally()}
		j.Sections[i].Tally.section(s)
	}
	for i := range f.Bays {
		j.Sections[sectionAt(f, f.Bays[i].Bay.Section)].Tally.bay(&f.Bays[i])
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

// sectionAt is the place of a section among the findings'.
func sectionAt(f *verify.Findings, s *model.Section) int {
	at := 0
	for at < len(f.Sections)-1 && f.Sections[at].Section != s {
		at++
	}
	return at
}

// open keeps the bays that need someone: what cannot be mended any more first, then what can, in the log's order.
func (j *Job) open(f *verify.Findings) {
	n := 0
	for i := range f.Bays {
		if urgency(&f.Bays[i]) < calm {
			n++
		}
	}
	if n == 0 || j.Tally.Open() == 0 {
		return
	}
	j.Open = make([]OpenBay, 0, min(n, mostOpen))
	for rank := range calm {
		for i := range f.Bays {
			if len(j.Open) == cap(j.Open) {
				return
			}
			if b := &f.Bays[i]; urgency(b) == rank {
				j.Open = append(j.Open, openBay(b, sectionAt(f, b.Bay.Section)))
			}
		}
	}
}

// calm is the urgency of a bay that needs nobody.
const calm = 5

// urgency is the place of a bay in the order of what needs someone: closed though not CLOSE then or now, which no top-up
// mends any more; ADD and PROBE; MEASURE; not filled yet; decided by a person; nobody.
func urgency(b *verify.Bay) int {
	switch {
	case b.State == verify.Struck:
		return calm
	case b.State == verify.NotFilled:
		return 3
	case b.IsDecided():
		return 4
	case b.State == verify.Closed && (closedAs(b) != verify.Close || b.Verdict != verify.Close):
		return 0
	case b.State == verify.Closed || b.Verdict == verify.Close:
		return calm
	case b.Verdict == verify.Measure:
		return 2
	}
	return 1
}

// openBay is what is kept of a bay: how it stands, and the first reason that nothing has answered yet.
func openBay(b *verify.Bay, section int) OpenBay {
	o := OpenBay{
		Section: int32(section), Bay: strings.Clone(b.Bay.Name), Verdict: b.Verdict, State: b.State,
		ClosedAs: closedAs(b), Density: b.Density, Prob: b.ProbAtTarget,
	}
	if b.IsDecided() {
		o.By = strings.Clone(b.Bay.Decided.By)
	}
	for i := range b.Reasons {
		if r := &b.Reasons[i]; !r.IsAnswered() {
			o.Code = r.Code
			break
		}
	}
	return o
}

// Tally are the counts and sums of some bays. Masses in kg, volumes in m³. Every section of every job has one, so the counts
// are small: two thousand million bays at most.
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
	byCrew                           int32    // CLOSE with the help of the crew, and not ClosedHold
	Measured                         int32    // bays whose sizes were all measured
	Volume, Mass, MassRequired, Bags float64
	Unaccounted                      float64 // bags loaded, not left and not logged, over the jobs that counted them
	UnaccountedJobs                  int32
	Lower                            float64 // lowest density that nineteen bays in twenty of a section exceed, at 90 %; NaN where no section has one
	LowerKnown, LowerShort           int32   // sections that have such a bound, and those where it lies below the target
}

// newTally returns the tally of nothing.
func newTally() Tally { return Tally{Lower: math.NaN()} }

// Density is the mean density in kg/m³: all mass over all volume. NaN where nothing is filled.
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

// add adds another tally. Of lower bounds the lowest stays: the weakest section is what a buyer gets.
func (t *Tally) add(o *Tally) {
	t.Jobs, t.Sections = t.Jobs+o.Jobs, t.Sections+o.Sections
	t.Bays, t.Expected, t.Filled = t.Bays+o.Bays, t.Expected+o.Expected, t.Filled+o.Filled
	t.Close, t.CloseOwn, t.CloseCrew = t.Close+o.Close, t.CloseOwn+o.CloseOwn, t.CloseCrew+o.CloseCrew
	t.Add, t.Measure, t.Probe = t.Add+o.Add, t.Measure+o.Measure, t.Probe+o.Probe
	t.NotFilled, t.NotInLog = t.NotFilled+o.NotFilled, t.NotInLog+o.NotInLog
	t.Closed, t.ClosedNotClose = t.Closed+o.Closed, t.ClosedNotClose+o.ClosedNotClose
	t.Measured, t.ClosedHold, t.byCrew = t.Measured+o.Measured, t.ClosedHold+o.ClosedHold, t.byCrew+o.byCrew
	t.Decided, t.Left = t.Decided+o.Decided, t.Left+o.Left
	for v := range t.OpenHold {
		t.OpenHold[v] += o.OpenHold[v]
	}
	t.Volume, t.Mass = t.Volume+o.Volume, t.Mass+o.Mass
	t.MassRequired, t.Bags = t.MassRequired+o.MassRequired, t.Bags+o.Bags
	t.Unaccounted, t.UnaccountedJobs = t.Unaccounted+o.Unaccounted, t.UnaccountedJobs+o.UnaccountedJobs
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

// verdict counts a filled bay by what can be said of it now, and by the stratum in which it may be drawn.
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
	switch s, _ := stratumOf(b); s {
	case ByCrew:
		t.byCrew++
	case ClosedHold:
		if b.IsDecided() {
			t.Decided++
		} else {
			t.ClosedHold++
		}
	case OpenHold:
		t.OpenHold[b.Verdict]++
	}
}

// closedAs is the verdict when the bay was last closed, or the one of now where that was not worked out.
func closedAs(b *verify.Bay) verify.Verdict {
	if n := len(b.Closings); n > 0 {
		return b.Closings[n-1].Verdict
	}
	return b.Verdict
}

// section adds a section's sums: kg, m³ and bags over its filled bays, and its lower tolerance bound in kg/m³ where enough
// bays give one.
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
