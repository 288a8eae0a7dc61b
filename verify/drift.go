package verify

import "bayproof/verify/crew"

// drift looks for a density that moves along the order of filling, and raises it on the section. `set` rows start it
// afresh. Where the order of the log is doubtful there is none.
func (w *work) drift(b *bench, r *crew.Result) Drift {
	if w.job.OrderDoubtful {
		return Drift{}
	}
	run := make([]int, len(b.lots))
	for i := range b.lots {
		run[i] = b.lots[i].Bays[0].Run
	}
	t, ok := crew.Trending(b.lots, run, *r)
	if !ok {
		return Drift{}
	}
	d := Drift{Method: "slope", Slope: t.Slope, USlope: t.USlope, Z: t.Z, Found: t.Found}
	n := 0
	for _, p := range t.Points {
		n += len(b.lots[p.Lot].Bays)
	}
	d.Points = make([]DriftPoint, 0, n)
	for _, p := range t.Points {
		for _, bay := range b.lots[p.Lot].Bays {
			d.Points = append(d.Points, DriftPoint{Bay: bay, EWMA: p.EWMA, Lo: p.Lo, Hi: p.Hi})
		}
	}
	if t.Found {
		b.section.Reasons = append(b.section.Reasons, Reason{Code: DriftFound, Data: w.room.datums(
			Datum{Key: "slope", Value: t.Slope, Dim: Density}, Datum{Key: "z", Value: t.Z})})
	}
	return d
}
