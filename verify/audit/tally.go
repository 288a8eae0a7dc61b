package audit

import (
	"math"

	"bayproof/verify"
)

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
	ClosedHold                       int32    // closed, and not CLOSE then or not CLOSE now
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

// Hold is the number of filled bays that are not CLOSE.
func (t *Tally) Hold() int32 { return t.Add + t.Measure + t.Probe }

// Pending is the number of bays that somebody has to see to before the job is done: on hold, not filled, not in the log.
func (t *Tally) Pending() int32 { return t.Hold() + t.NotFilled + t.NotInLog }

// Waiting is the number of bays on hold that are still open.
func (t *Tally) Waiting() int32 {
	n := int32(0)
	for _, k := range t.OpenHold {
		n += k
	}
	return n
}

// Open is the number of bays in the log that somebody has to see to.
func (t *Tally) Open() int32 { return t.ClosedHold + t.Waiting() + t.NotFilled }

// add adds another tally.
func (t *Tally) add(o *Tally) {
	t.Jobs, t.Sections = t.Jobs+o.Jobs, t.Sections+o.Sections
	t.Bays, t.Expected, t.Filled = t.Bays+o.Bays, t.Expected+o.Expected, t.Filled+o.Filled
	t.Close, t.CloseOwn, t.CloseCrew = t.Close+o.Close, t.CloseOwn+o.CloseOwn, t.CloseCrew+o.CloseCrew
	t.Add, t.Measure, t.Probe = t.Add+o.Add, t.Measure+o.Measure, t.Probe+o.Probe
	t.NotFilled, t.NotInLog = t.NotFilled+o.NotFilled, t.NotInLog+o.NotInLog
	t.Closed, t.ClosedNotClose = t.Closed+o.Closed, t.ClosedNotClose+o.ClosedNotClose
	t.Measured, t.ClosedHold, t.byCrew = t.Measured+o.Measured, t.ClosedHold+o.ClosedHold, t.byCrew+o.byCrew
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

// bay counts one bay.
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
		t.ClosedHold++
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

// section adds a section's sums.
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
