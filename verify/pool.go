package verify

import (
	"math"

	"bayproof/model"
	"bayproof/verify/measure"
	"bayproof/verify/stat"
)

// pool fills in the sections: what they count, what is missing, and over filled bays the sums and the pooled density with
// its covariances.
func (c *check) pool() {
	notFilled := c.count()
	for s := range c.found.Sections {
		out, sec := &c.found.Sections[s], c.job.Sections[s]
		out.Section, out.Expected, out.Covers = sec, sec.Expected, sec.Covers
		if out.Missing = max(out.Expected-out.Bays-notFilled[s]-leftIn(c.job, sec), 0); out.Missing > 0 {
			out.raise(NotInLog, num("bays", float64(out.Missing), Number))
		}
		if notFilled[s] > 0 {
			out.raise(NotFilledBays, num("bays", float64(notFilled[s]), Number))
		}
		if out.Bays == 0 {
			n := math.NaN()
			out.Density, out.U, out.ProbAtTarget, out.Lo, out.Hi, out.Mean, out.SD, out.LowerTolerance = n, n, n, n, n, n, n, n
			continue
		}
		c.poolMass(out, &c.sections[s].all)
	}
}

// raise opens a reason of the section.
func (s *Section) raise(code Code, data ...Datum) {
	s.Reasons = append(s.Reasons, Reason{Code: code, Data: data})
}

// count goes through the bays once for what the sections count: filled bays, those with all sizes measured, the face in m².
// It returns by section how many are in the log and not filled; a bay that was withdrawn counts nowhere.
func (c *check) count() (notFilled []int) {
	notFilled = make([]int, len(c.found.Sections))
	for i := range c.found.Bays {
		b, s := &c.found.Bays[i], c.measured.SectionOf(i)
		if b.State == Struck {
			continue
		}
		out := &c.found.Sections[s]
		if b.Sized {
			out.Measured++
		}
		if area := c.measured.Sizes[i].Area; !math.IsNaN(area) {
			out.Area += area
		}
		if b.State == NotFilled {
			notFilled[s]++
		} else {
			out.Bays++
		}
	}
	return notFilled
}

// poolMass fills in the sums and the pooled density: a ratio of sums, in which the error of the bag weight stays whole and a
// reading between two bays drops out. It never upgrades a bay.
func (c *check) poolMass(out *Section, all *measure.Lot) {
	// MassRequired brings all of the section's volume to the target. A section without a bag counted (all weighed) is told in
	// bags all the same, by the bag weight.
	target, bag := out.Section.Settings.Target, c.measured.Bag.Mass
	out.Volume, out.Mass = all.Volume, all.Mass
	out.MassRequired = target * all.Volume
	out.Bags, out.BagsRequired = all.Bags, out.MassRequired/bag
	if math.IsNaN(out.Bags) {
		out.Bags = all.Mass / bag
	}
	out.Density, out.U = all.Density, all.U
	half := c.factor.at(all.DOF) * all.U
	out.Lo, out.Hi = all.Density-half, all.Density+half
	out.ProbAtTarget = stat.ProbAtLeast(all.Density, all.U, all.DOF, target)
}

// leftIn counts the bays of a section that are not filled on purpose.
func leftIn(job *model.Job, s *model.Section) (n int) {
	for _, b := range job.Left {
		if b.Section == s {
			n++
		}
	}
	return n
}

// total counts the job's bays by verdict and sums its sections. A bay that is not filled has no verdict that counts; one
// that was closed against its verdict counts whatever its state is now.
func (c *check) total() {
	t := &c.found.Totals
	for i := range c.found.Bays {
		b := &c.found.Bays[i]
		switch b.State {
		case Struck:
			continue
		case NotFilled:
			t.NotFilled++
		default:
			t.verdict(b)
		}
		if b.ClosedAgainst() {
			t.ClosedNotClose++
		}
		t.Bays++
	}
	for s := range c.found.Sections {
		sec := &c.found.Sections[s]
		t.NotInLog += sec.Missing
		if sec.Bays > 0 {
			t.Volume, t.Mass, t.MassRequired = t.Volume+sec.Volume, t.Mass+sec.Mass, t.MassRequired+sec.MassRequired
			t.Bags += sec.Bags
		}
	}
}

// verdict counts a filled bay.
func (t *Totals) verdict(b *Bay) {
	switch b.Verdict {
	case Close:
		t.Close++
		if b.Basis == Own {
			t.CloseOwn++
		} else {
			t.CloseCrew++
		}
	case Add:
		t.Add++
	case Measure:
		t.Measure++
	case Probe:
		t.Probe++
	}
}

// ClosedAgainst tells whether the bay was closed though not CLOSE: on the log as it stood at its last closing, or as it
// stands now where that was not worked out. It stays so whatever happens to the bay, unless it is withdrawn.
func (b *Bay) ClosedAgainst() bool {
	if b.State == Struck || len(b.Bay.Closed) == 0 {
		return false
	}
	if n := len(b.Closings); n > 0 {
		return b.Closings[n-1].Verdict != Close
	}
	return b.Verdict != Close
}
