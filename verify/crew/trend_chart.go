package crew

import (
	"bayproof/verify/measure"
	"bayproof/verify/stat"
)

// Chart shows the density along the fill order, lot by lot: a moving average, and what neighbours are apart. kg/m³.
type Chart struct {
	Points     []ChartPoint
	Neighbours float64 // scatter from one lot to the next, as read: no drift enters it
	Overall    float64 // scatter about the mean of each stretch, as read
	Shared     bool    // neighbours share a reading of the counter, whose error enters Neighbours more than Overall
}

// ChartPoint is one lot on the chart.
type ChartPoint struct {
	Lot          int
	EWMA, Lo, Hi float64 // moving average about the section's mean, and its limits
	Beyond       bool    // the density as read lies beyond three times Neighbours from the mean of its stretch
}

// Charted draws the stretches that Trending looks at.
func Charted(lots []measure.Lot, run []int, r Result) Chart {
	stretches := stretchesOf(lots, run, r)
	read := make([][]float64, len(stretches))
	for i := range stretches {
		read[i] = stretches[i].x
	}
	single, mean := stat.NewIndividuals(read...), r.Process.Mean
	c := Chart{Neighbours: single.Neighbours, Overall: single.Overall}
	for i := range stretches {
		s := &stretches[i]
		lo, hi := single.Limits(i)
		for k, z := range stat.Smooth(s.x, s.v, s.c, mean, DriftMemory) {
			c.Points = append(c.Points, ChartPoint{Lot: s.lot[k], EWMA: z.Value, Lo: mean - DriftLimits*z.SD, Hi: mean + DriftLimits*z.SD,
				Beyond: s.x[k] < lo || s.x[k] > hi})
			c.Shared = c.Shared || s.c[k] != 0
		}
	}
	return c
}
