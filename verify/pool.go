package verify

import (
	"math"

	"bayproof/model"
	"bayproof/verify/crew"
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
		all := c.measured.Pool(c.job, s)
		c.poolMass(out, &all)
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

// empties compares the empties counted, of every section and of the job, with the bags that the log says were used. Where the
// log holds more than a total explains, no count of that section, or of the job, can be relied on.
func (c *check) empties() {
	st, t := &c.job.Settings, &c.found.Totals
	t.DensityMost, t.UnaccountedBags = math.NaN(), math.NaN()
	if c.uncounted {
		return
	}
	var used, usedVar, volume float64
	for i := range c.sections {
		s := &c.sections[i]
		if len(s.lots) == 0 {
			continue
		}
		all := c.measured.Pool(c.job, i)
		used, usedVar, volume = used+all.Used, usedVar+all.UUsed*all.UUsed, volume+all.Volume
		switch data, short := c.compared(s.of.BagsUsed, all.Used, all.UUsed*all.UUsed, all.Volume); {
		case short:
			s.contradicted = data
			s.out.raise(TotalsShort, data...)
		case data != nil:
			c.warning(TotalsOver, data...).Section = s.of.Name
		}
	}
	t.UnaccountedBags = st.BagsLoaded - st.BagsLeft - used
	switch data, short := c.compared(st.BagsLoaded-st.BagsLeft, used, usedVar, volume); {
	case short:
		t.Reasons = append(t.Reasons, Reason{Code: TotalsShort, Data: data})
		for i := range c.sections {
			if c.sections[i].contradicted == nil {
				c.sections[i].contradicted = data
			}
		}
	case data != nil:
		c.warning(TotalsOver, data...)
	}
}

// compared sets a total of bags, known to ± TotalWithin by its part bags, against the bags that the log holds, whose readings
// have the variance usedVar in bags². It returns the evidence where they are further apart than the readings explain, once
// in a hundred by chance: short where the log holds more than the total, with the mean density in kg/m³ that the total then
// allows at most over volume m³. It notes what that says about the job's counts.
func (c *check) compared(counted, used, usedVar, volume float64) (data []Datum, short bool) {
	t := &c.found.Totals
	z := (used - counted) / math.Sqrt(usedVar+TotalWithin*TotalWithin/3)
	switch {
	case math.IsNaN(z):
		return nil, false
	case z > crew.TotalsContradict:
		most := (counted + TotalWithin) * c.measured.Bag.Mass * (1 - c.job.Settings.Spill) / volume
		t.Counts = Contradicted
		if !(t.DensityMost < most) {
			t.DensityMost = most
		}
		return []Datum{num("counted", counted, Bags), num("logged", used, Bags), num("density_most", most, Density), num("z", z, Number)}, true
	case t.Counts == Unchecked:
		t.Counts = Confirmed
	}
	if z < -crew.TotalsContradict {
		return []Datum{num("counted", counted, Bags), num("logged", used, Bags), num("z", z, Number)}, false
	}
	return nil, false
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
