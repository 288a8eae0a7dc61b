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

// verdict counts a filled bay. A bay is closed though not CLOSE where its verdict when it was closed was another; where
// that was not worked out, its verdict now stands for it.
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
	when := b.Verdict
	if n := len(b.Closings); n > 0 {
		when = b.Closings[n-1].Verdict
	}
	if b.State == Closed && when != Close {
		t.ClosedNotClose++
	}
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
