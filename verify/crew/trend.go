package crew

import (
	"math"
	"slices"

	"bayproof/verify/measure"
	"bayproof/verify/stat"
)

const (
	// DriftAbove is how many standard deviations the slope along the fill order may be off nothing: 1 false alarm in 100
	// sections; where there are n machine settings, in each of them 1 in 100·n.
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

// Trending fits a line to the lots of every machine setting in fill order. Bad and over-full lots are left out; the crew's spread
// and the readings that neighbours share (covariance c_out·c_in·U²) are in the variances. ok is false where no setting has lots
// enough.
func Trending(lots []measure.Lot, r Result) (t Trend, ok bool) {
	stretches := stretchesOf(lots, r)
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

// stretch is the lots of one machine setting with their variances and each one's covariance with the one before.
type stretch struct {
	setting     int
	lot         []int
	at, x, v, c []float64
}

// stretchesOf parts the lots by machine setting and drops the odd ones and the short stretches.
func stretchesOf(lots []measure.Lot, r Result) (long []stretch) {
	var all []stretch
	for i := range lots {
		if p := &r.Lots[i]; !(p.Bad <= oddAbove && p.Over <= oddAbove) { // NaN goes too
			continue
		}
		at := slices.IndexFunc(all, func(s stretch) bool { return s.setting == lots[i].Setting })
		if at < 0 {
			at, all = len(all), append(all, stretch{setting: lots[i].Setting})
		}
		s := &all[at]
		covariance := 0.0
		if n := len(s.lot); n > 0 {
			covariance = shared(&lots[s.lot[n-1]], &lots[i])
		}
		if s.lot == nil {
			n := len(lots) - i
			*s = stretch{setting: s.setting, lot: make([]int, 0, n), at: make([]float64, 0, n), x: make([]float64, 0, n), v: make([]float64, 0, n), c: make([]float64, 0, n)}
		}
		s.lot, s.at, s.x = append(s.lot, i), append(s.at, float64(i)), append(s.x, lots[i].Density)
		s.v, s.c = append(s.v, combined(&lots[i], &measure.Lot{}, 1, 0)+sq(r.Process.SD)), append(s.c, covariance)
	}
	return slices.DeleteFunc(all, func(s stretch) bool { return len(s.lot) < DriftLeast })
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

// ChartPoint is one lot on the chart of the density along the fill order. kg/m³.
type ChartPoint struct {
	Lot          int
	EWMA, Lo, Hi float64 // moving average about the section's mean, and its limits
}

// Charted draws the stretches that Trending looks at: an exponentially weighted moving average (NIST/SEMATECH e-Handbook 6.3.2.4)
// whose limits know what neighbours share.
func Charted(lots []measure.Lot, r Result) (points []ChartPoint) {
	mean := r.Process.Mean
	for _, s := range stretchesOf(lots, r) {
		for k, z := range stat.Smooth(s.x, s.v, s.c, mean, DriftMemory) {
			points = append(points, ChartPoint{Lot: s.lot[k], EWMA: z.Value, Lo: mean - DriftLimits*z.SD, Hi: mean + DriftLimits*z.SD})
		}
	}
	return points
}
