package verify

import (
	"bayproof/verify/crew"
	"bayproof/verify/measure"
)

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
	if w.opts.Charts {
		d.chart(b.lots, crew.Charted(b.lots, run, *r))
	}
	if d.Found {
		b.section.Reasons = append(b.section.Reasons, Reason{Code: DriftFound,
			Data: w.room.datums(Datum{Key: "slope", Value: d.Slope, Dim: Density}, Datum{Key: "z", Value: d.Z})})
	}
	return d
}

// chart gives every bay its lot's place on the chart.
func (d *Drift) chart(lots []measure.Lot, points []crew.ChartPoint) {
	for _, p := range points {
		for _, bay := range lots[p.Lot].Bays {
			d.Points = append(d.Points, DriftPoint{Bay: bay, EWMA: p.EWMA, Lo: p.Lo, Hi: p.Hi})
		}
	}
}
