package verify

import (
	"bayproof/model"
	"bayproof/verify/measure"
)

// Findings are everything that was found out about one job. All quantities are SI; NaN means that
// there is no such figure. Nothing in it is rounded.
type Findings struct {
	Job      *model.Job
	RuleUsed model.Rule
	Bays     []Bay // in the log's order, like Job.Bays
	Left     []Bay // those that are not filled on purpose, like Job.Left: they have no figures and count nowhere else
	Sections []Section
	Totals   Totals
	Warnings []Warning
	Priors   []Constant // what the rule rests on besides the log, with sources; only where Options ask for budgets
}

// SectionAt is the place of a section among the findings'.
func (f *Findings) SectionAt(s *model.Section) int {
	at := 0
	for at < len(f.Sections)-1 && f.Sections[at].Section != s {
		at++
	}
	return at
}

// Verdict is the action that a bay asks for. The zero value never guesses.
type Verdict uint8

const (
	// Measure: neither shown to reach the target nor to be short; more readings, more material or
	// the bays to come decide.
	Measure Verdict = iota
	// Close: the target is reached with the confidence that was asked for, and no suspicion stands.
	Close
	// Add: shown to be short, with the same confidence, or empty.
	Add
	// Probe: a suspicion stands that a figure cannot answer.
	Probe
)

// State says how far a bay has come.
type State uint8

const (
	// NotFilled: measured or named, and nothing is known to be in it; a bay that waits for a shared
	// count too.
	NotFilled State = iota
	// Filled: material is in force, and nobody has closed it.
	Filled
	// Struck: withdrawn; it counts nowhere.
	Struck
	// Closed: a `closed` row stands. That stays so whatever is said about the bay afterwards.
	Closed
	// Left: not filled on purpose. Nothing is asked of it.
	Left
)

// Basis says whose evidence a verdict rests on.
type Basis uint8

const (
	Own   Basis = iota // the bay's own count and sizes
	Crew               // with the help of the section's other bays
	OfJob              // with the help of the job's other sections
)

// Bay is what was found out about one bay. A bay that is not filled has a volume (where it was
// measured) and NaN elsewhere.
type Bay struct {
	Bay     *model.Bay // with the other bays of its count, whose density is its own too
	State   State
	Verdict Verdict
	Basis   Basis
	Sized   bool // every size of it was measured, none taken over

	// Volume in m³, mass in kg, bags as counted or as the mass over the bag weight, density in
	// kg/m³. Of a shared count mass and bags are this bay's part by volume.
	Volume, Mass, Bags, Density float64
	// U is the combined standard uncertainty of the density, kg/m³; DOF its effective degrees of
	// freedom (Welch–Satterthwaite).
	U, DOF        float64
	Lo, Hi, Level float64 // expanded interval of the density, kg/m³, and its level
	ProbMeasured  float64 // P(density ≥ target), from this bay's measurement alone
	ProbAtTarget  float64 // the probability that decides

	Reasons []Reason
	*Further

	// A bay that was closed on CLOSE keeps what it stood at: Verdict, ProbAtTarget and CouldHide
	// are those of its closing. What it would read today stands beside it. Of any other bay they
	// are the same.
	VerdictToday Verdict
	ProbToday    float64 // P(density ≥ target) today

	AddMass, AddBags, AddDensity              float64 // what brings it to the aim, and the density that it then has; NaN where nothing is to be added
	EmptyLength, EmptyLengthLo, EmptyLengthHi float64 // m
	// CouldHide is the longest empty length in m that the bay's reading still allows: a longer one,
	// the rest packed like the crew's, would have read lower 19 times in 20.
	CouldHide float64
}

// Further is what few bays have, or what was asked for. Check gives every bay one: those that have
// nothing of it share an empty one.
type Further struct {
	Cores    []Core      // in the order of cores.csv
	Closings []Closing   // one for each `closed` row
	Amended  []Amendment // one for each `amend` row in force or replaced, and for a fill after one that was taken back, where that was asked for
	Logged   *Closing    // the verdict right after the fill was logged, with the rows up to then; nil where nobody asked
	Reopened Code        // what asks again about a bay closed on CLOSE, or decided; empty for nothing
	// ReopenedBy is the row that found it; nil where no single row did.
	ReopenedBy *model.Entry
	Now        Order
	NextBay    *Advice // nil where there is nothing to advise
	Budget     []measure.Share
}

// Core is what a core of a bay reads.
type Core struct {
	Core       *model.Core
	Density, U float64      // its density, and the standard uncertainty of that for the bay's mean
	Lo, Hi     float64      // expanded interval, at the bay's level
	Agrees     model.Answer // with the bay's own density, within their uncertainties; Unsaid where the bay has none
}

// Closing is a verdict as it stood when a row was logged.
type Closing struct {
	Row                   *model.Entry // nil where there was no such row
	Verdict               Verdict
	Density, ProbAtTarget float64 // kg/m³; NaN where there was no figure
	Codes                 []Code  // unanswered reasons then

	mass, volume, couldHide float64 // kg, m³, m: as they stood, for telling what was amended since
}

// Amendment is what an `amend` row changed. Where the order of the rows is in doubt no verdict as
// it stood is known: both are MEASURE then, without a density.
type Amendment struct {
	Row, Replaced          *model.Entry // the amend row, and the fill that it replaced
	OldVerdict, NewVerdict Verdict
	OldDensity, NewDensity float64 // kg/m³; NaN where not known
	Minutes                float64 // between the two rows; NaN where times were not logged
}

// Judged tells whether a bay has a verdict: it holds material and is not withdrawn.
func (b *Bay) Judged() bool { return b.State == Filled || b.State == Closed }

// IsDecided tells whether a person closed a bay that is not CLOSE: nothing is asked of it any more,
// unless something was found in it since.
func (b *Bay) IsDecided() bool {
	return b.Judged() && b.Bay.Decided != nil && b.Verdict != Close && b.Reopened == ""
}

// Reason is one thing that speaks about a bay or a section, with its evidence.
type Reason struct {
	Code     Code
	Data     []Datum
	Answered Answer // what answered it; the zero value while nothing has

	doubt []stretch // where looks, or material, are still wanted
	blown bool      // of probe-soft: material was blown in there since, and a look is still wanted
}

// Answer says what answered a reason. An answered reason stays in the record and no longer holds
// the verdict.
type Answer struct {
	Code Code         // the kind of answer: rod-firm, smoke-still, ir-even, tube, amended, lost, core
	Row  *model.Entry // the row that brought it; nil where it came from elsewhere
}

// IsAnswered tells whether anything answered the reason.
func (r Reason) IsAnswered() bool { return r.Answered.Code != "" }

// Datum is one number or name of the evidence.
type Datum struct {
	Key   string
	Value float64 // SI, in the unit of Dim; 0 where the datum is a name
	Dim   Dim
	Text  string // where the datum is a name
}

// Dim says in what unit a datum is shown.
type Dim uint8

// Values are SI; package say turns them into the job's units.
const (
	Number      Dim = iota // a count or a pure number
	Probability            // a share of 1
	Length                 // m, shown in feet or meters
	Size                   // m, shown in the small unit: inches, millimeters
	Volume                 // m³
	Mass                   // kg
	Density                // kg/m³
	Bags                   // bags
	Name                   // no number: Text holds
	Pressure               // Pa
	Rarity                 // a share that is said as one in so many
)

// Code is the stable name of a reason, an answer, an action or a warning. The table Codes explains
// each. It stands in JSON, CSV and records: a code that was given out never changes its meaning,
// and is never used again for another.
type Code string

// Advice is what would have settled this bay, for the next one.
type Advice struct {
	Input string // counting, bag_step, depth, ditto or weight
	Data  []Datum
	Prob  float64 // the probability that this bay would have reached with it
}

// Section is what was found out about a run of like bays.
type Section struct {
	Section                    *model.Section
	Bays, Expected             int     // filled bays; -1 where nobody said how many there are
	Measured                   int     // bays whose sizes were all measured
	Missing                    int     // expected but not in the log; 0 where not known
	Volume, Mass, MassRequired float64 // over filled bays, at the target
	Bags, BagsRequired         float64 // bags in the log, and that the target takes
	Emptied                    float64 // bags that went into it by the empties; NaN where nobody counted
	Density, U, ProbAtTarget   float64 // pooled
	Lo, Hi                     float64 // expanded interval of the pooled density, at the bays' level
	Mean, SD                   float64 // μ and τ, freed of measurement noise
	LowerTolerance             float64 // density that nineteen in twenty of the bays packed like the rest exceed, at 90 %
	OddLo, OddHi               int     // so many of the filled bays are not packed like the rest: 90 % interval
	Area, Covers               float64 // m² of face logged, and stated by the table
	Boxes                      []Core  // test boxes at a machine setting of its bays
	Drift                      Drift
	Reasons                    []Reason
	Now                        Order // for the section as a whole
}

// Drift is how the density moves along the fill order.
type Drift struct {
	Method        string  // slope; empty where there are too few bays or no order
	Slope, USlope float64 // kg/m³ per bay
	Z             float64 // statistic over its standard deviation
	Found         bool
	Points        []DriftPoint // only where Options ask for charts
}

// DriftPoint is one bay's place on the control chart.
type DriftPoint struct {
	Bay          *model.Bay
	EWMA, Lo, Hi float64 // kg/m³
}

// Totals are the job's counts and sums.
type Totals struct {
	Bays, Close, Add, Measure, Probe, NotFilled, NotInLog int     // bays by verdict; NotFilled have none and NotInLog are known by number only
	CloseOwn, CloseCrew                                   int     // of Close: by their own count, with the crew's help
	ClosedNotClose, Left, Decided                         int     // closed against their verdict; left empty on purpose; decided by a person
	Volume, Mass, MassRequired, Bags, UnaccountedBags     float64 // m³, kg, kg at the target, bags; loaded less left less what the log holds, NaN where not known
	Elsewhere                                             float64 // bags that left the truck and went into no bay, by the log
	Emptied                                               float64 // bags that went into the bays by loaded less left, or by the empties; NaN where nobody counted
	Counts                                                Counts
	DensityMost                                           float64 // kg/m³: mean that the empties allow at most where they contradict the log; NaN else
	Reasons                                               []Reason
	Now                                                   Order // for the job as a whole
}

// Counts says what the empties make of the counts in the log.
type Counts uint8

const (
	Unchecked    Counts = iota // nobody counted empties, or they are more than the log holds (totals-over): nothing checks the counts
	Confirmed                  // the empties agree with the log within the readings
	Contradicted               // the log holds more than the empties can explain
)

// String is the word of the JSON document.
func (c Counts) String() string { return [...]string{"unchecked", "confirmed", "contradicted"}[c] }

// Warning is one thing worth knowing that holds no verdict.
type Warning struct {
	Code         Code
	Text         string // set for warnings of the reader; empty where Data says it
	Data         []Datum
	Src          model.Place
	Section, Bay string
}

// Constant is one number that a verdict rests on besides the log, with its unit and source.
type Constant struct {
	Name   string
	Value  string
	Unit   string
	Source string
	Use    string
}
