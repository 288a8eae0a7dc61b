package crew

import (
	"slices"

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
	single, mean := individuals(stretches), r.Process.Mean
	c := Chart{Neighbours: single.Neighbours, Overall: single.Overall, Shared: sharing(stretches)}
	for i := range stretches {
		s := &stretches[i]
		lo, hi := single.Limits(i)
		for k, z := range stat.Smooth(s.x, s.v, s.c, mean, DriftMemory) {
			c.Points = append(c.Points, ChartPoint{Lot: s.lot[k], EWMA: z.Value, Lo: mean - DriftLimits*z.SD, Hi: mean + DriftLimits*z.SD,
				Beyond: s.x[k] < lo || s.x[k] > hi})
		}
	}
	return c
}

// sharing tells whether neighbours share a reading of the counter.
func sharing(stretches []stretch) bool {
	return slices.ContainsFunc(stretches, func(s stretch) bool {
		return slices.ContainsFunc(s.c, func(c float64) bool { return c != 0 })
	})
}

// individuals sets what neighbours are apart beside how all scatter, stretch by stretch.
func individuals(stretches []stretch) stat.Individuals {
	read := make([][]float64, len(stretches))
	for i := range stretches {
		read[i] = stretches[i].x
	}
	return stat.NewIndividuals(read...)
}
