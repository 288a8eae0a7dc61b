package crew

import (
	"math"

	"bayproof/verify/measure"
	"bayproof/verify/stat"
)

const (
	// DriftAbove is how many standard deviations the slope along the fill order may be off nothing: 1 false alarm in 100
	// sections; where settings were changed n − 1 times, in each of the n stretches 1 in 100·n.
	DriftAbove = 2.576
	// DriftLeast is the number of bays below which a stretch says nothing about a slope.
	DriftLeast = 6
	// DriftMemory is the weight λ of the newest bay in the moving average.
	DriftMemory = 0.3
	// DriftLimits is how many standard deviations the moving average may be off the mean.
	DriftLimits = 3.0

	oddAbove = 0.5 // probability of a bad or over-full bay above which it takes no part in the drift
)

// Trend is how the density moves along the fill order, by the stretch whose slope stands out most.
type Trend struct {
	Slope, USlope float64 // kg/m³ per bay
	Z             float64 // Slope/USlope
	Limit         float64 // for |Z|
	Found         bool
}

// Trending fits a line to every stretch of lots in fill order. run numbers the stretches: it rises where the machine was
// set afresh. Bad and over-full lots are left out; the crew's spread and the readings that neighbours share
// (covariance c_out·c_in·U²) are in the variances. ok is false where no stretch is long enough.
func Trending(lots []measure.Lot, run []int, r Result) (t Trend, ok bool) {
	stretches := stretchesOf(lots, run, r)
	t.Limit = DriftAbove
	if n := len(stretches); n > 1 {
		t.Limit = stat.NormalQuantile(1 - 0.005/float64(n))
	}
	for i := range stretches {
		s := &stretches[i]
		line, fitted := stat.FitLine(s.at, s.x, s.v, s.c)
		if !fitted {
			continue
		}
		if z := line.Slope / line.USlope; !ok || math.Abs(z) > math.Abs(t.Z) {
			t.Slope, t.USlope, t.Z, ok = line.Slope, line.USlope, z, true
		}
	}
	t.Found = ok && math.Abs(t.Z) > t.Limit
	return t, ok
}

// stretch is a run of lots with their variances and each one's covariance with the one before.
type stretch struct {
	lot         []int
	at, x, v, c []float64
}

// stretchesOf parts the lots by run and drops the odd ones and the short stretches. The stretches follow each other in one
// piece of room, as a section is looked at for every job of a review.
func stretchesOf(lots []measure.Lot, run []int, r Result) []stretch {
	n := len(lots)
	lot, room := make([]int, 0, n), make([]float64, 4*n)
	at, x, v, c := room[:n:n], room[n:2*n:2*n], room[2*n:3*n:3*n], room[3*n:]
	spread, alone := sq(r.Process.SD), new(measure.Lot)
	var long []stretch
	from := 0
	end := func() {
		if to := len(lot); to-from >= DriftLeast {
			long = append(long, stretch{lot[from:to], at[from:to], x[from:to], v[from:to], c[from:to]})
		}
		from = len(lot)
	}
	for i := range lots {
		p := &r.Lots[i]
		if !(p.Bad <= oddAbove && p.Over <= oddAbove) { // NaN goes too
			continue
		}
		k := len(lot)
		if k > 0 && run[i] != run[lot[k-1]] {
			end()
		}
		if k > from {
			c[k] = shared(&lots[lot[k-1]], &lots[i])
		}
		lot = append(lot, i)
		at[k], x[k], v[k] = float64(i), lots[i].Density, combined(&lots[i], alone, 1, 0)+spread
	}
	end()
	return long
}

// shared is the covariance of two lots by the readings of the counter that both have.
func shared(a, b *measure.Lot) float64 {
	sum := 0.0
	for _, t := range a.Terms {
		for _, o := range b.Terms {
			if t.Reading == o.Reading {
				sum += t.Coef * o.Coef * t.U * t.U
			}
		}
	}
	return sum
}

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
