package verify

import (
	"math"

	"bayproof/model"
	"bayproof/verify/measure"
	"bayproof/verify/stat"
)

// pool fills in the sections: sums over filled bays, the pooled density with its covariances, and what is missing.
func (w *work) pool() {
	w.count()
	for s := range w.f.Sections {
		out, sec := &w.f.Sections[s], w.job.Sections[s]
		out.Section, out.Expected, out.Covers = sec, sec.Expected, sec.Covers
		w.completeness(out)
		if out.Bays == 0 {
			out.noFigures()
			continue
		}
		all := w.m.Pool(w.job, s)
		w.poolMass(out, &all)
		w.empties(out, &all)
	}
}

// noFigures marks what a section without a filled bay does not have.
func (s *Section) noFigures() {
	n := math.NaN()
	s.Density, s.U, s.ProbAtTarget, s.Lo, s.Hi, s.Mean, s.SD, s.LowerTolerance = n, n, n, n, n, n, n, n
}

// count goes through the bays once for what the sections count.
func (w *work) count() {
	for i := range w.f.Bays {
		b := &w.f.Bays[i]
		if b.State == Struck {
			continue
		}
		out := &w.f.Sections[w.m.SectionOf(i)]
		if b.Sized {
			out.Measured++
		}
		if area := w.m.Sizes[i].Area; area == area { // not NaN
			out.Area += area
		}
		if b.State == NotFilled {
			out.Missing++ // for now: those not filled; completeness sorts them out
			continue
		}
		out.Bays++
	}
}

// poolMass fills in the sums and the pooled density: a ratio of sums, in which the error of the bag weight stays whole and a
// reading between two bays drops out. It never upgrades a bay.
func (w *work) poolMass(out *Section, all *measure.Lot) {
	st, bag := &out.Section.Settings, w.m.Bag.Mass
	out.Volume, out.Mass = all.Volume, all.Mass
	out.MassRequired = st.Target * all.Volume
	out.Bags, out.BagsRequired = all.Bags, out.MassRequired/bag
	if math.IsNaN(out.Bags) {
		out.Bags = all.Mass / bag
	}
	out.Density, out.U = all.Density, all.U
	half := w.factor.at(all.DOF) * all.U
	out.Lo, out.Hi = all.Density-half, all.Density+half
	out.ProbAtTarget = stat.ProbAtLeast(all.Density, all.U, all.DOF, st.Target)
}

// completeness compares the log with the sections table.
func (w *work) completeness(out *Section) {
	notFilled := out.Missing
	out.Missing = 0
	logged := out.Bays + notFilled + leftIn(w.job, out.Section)
	if out.Expected > logged {
		out.Missing = out.Expected - logged
		out.Reasons = append(out.Reasons, Reason{Code: NotInLog, Data: w.room.datums(Datum{Key: "bays", Value: float64(out.Missing)})})
	}
	if notFilled > 0 {
		out.Reasons = append(out.Reasons, Reason{Code: NotFilledBays, Data: w.room.datums(Datum{Key: "bays", Value: float64(notFilled)})})
	}
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

// empties compares the empties counted for a section with the bags that its rows say were used. Each may be off by its
// readings: the empties by a bag at either end (1/√6 bags, as a section may start and end within a bag).
func (w *work) empties(out *Section, all *measure.Lot) {
	counted := out.Section.BagsUsed
	z := (counted - all.Used) / math.Sqrt(all.UUsed*all.UUsed+EmptiesVar)
	if math.Abs(z) > EmptiesLimit {
		out.Reasons = append(out.Reasons, Reason{Code: EmptiesDiffer, Data: w.room.datums(
			Datum{Key: "counted", Value: counted, Dim: Bags}, Datum{Key: "logged", Value: all.Used, Dim: Bags}, Datum{Key: "z", Value: z})})
	}
	w.used += all.Used
	w.uUsed2 += all.UUsed * all.UUsed
}

// total sums up the job.
func (w *work) total() {
	t := &w.f.Totals
	for i := range w.f.Bays {
		b := &w.f.Bays[i]
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
	for s := range w.f.Sections {
		sec := &w.f.Sections[s]
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
		if b.Basis == Crew {
			t.CloseCrew++
		} else {
			t.CloseOwn++
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

// unaccounted is the number of bags loaded, not left and not logged; NaN where the two were not both counted.
func (w *work) unaccounted() {
	st := &w.job.Settings
	x := st.BagsLoaded - st.BagsLeft - w.used
	w.f.Totals.UnaccountedBags = x
	z := x / math.Sqrt(w.uUsed2+EmptiesVar)
	if math.Abs(z) > EmptiesLimit {
		w.warnData(BagsUnaccounted, Datum{Key: "bags", Value: x, Dim: Bags}, Datum{Key: "z", Value: z})
	}
}
