package verify

import "math"

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
