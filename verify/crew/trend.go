// Drift: whether the density moves along the order of filling.
//
// Observed are the densities of the lots of one machine setting in fill order, with their variances
// and the covariance of neighbors that share a counter reading. A straight line is fitted by
// generalized least squares (stat.FitLine), and drift is said where its slope is more of its
// standard uncertainties off 0 than the limit. Bad and over-full lots are left out: a void at the
// end of a section is no drift. The chart beside it is an exponentially weighted moving average
// (NIST/SEMATECH e-Handbook 6.3.2.4) whose limits know the covariance too. TestDrift holds the
// slope on a section that moves by half a pound; the share of false alarms in clean sections stands
// in SIMULATION.md.

package crew

import (
	"math"
	"slices"

	"bayproof/verify/measure"
	"bayproof/verify/stat"
)

const (
	// DriftAbove is how many of its standard uncertainties the slope along the fill order may be
	// off 0, where there is one machine setting: the two-sided 1 % point of the normal
	// distribution. Where there are n, it is the two-sided 1/n % point in each.
	DriftAbove = 2.576
	// DriftLeast is the number of bays below which a stretch says nothing about a slope.
	DriftLeast = 6
	// DriftMemory is the weight λ of the newest bay in the moving average.
	DriftMemory = 0.3
	// DriftLimits is how many standard deviations the moving average may be off the mean.
	DriftLimits = 3.0

	// Probability of a bad or over-full bay above which it takes no part in the drift.
	oddAbove = 0.5
)

// Trend is how the density moves along the fill order, by the machine setting whose slope stands
// out most: slope per bay of the fill order, its standard uncertainty, their ratio and the limit
// for that.
type Trend struct {
	Slope, USlope float64 // kg/m³ per bay
	Z             float64 // Slope/USlope
	Limit         float64 // for |Z|
	Found         bool
}

// Trending fits a line to the lots of every machine setting in fill order and returns the one with
// the largest |Z|. t of the line is a lot's index in lots, so that left-out lots leave a gap. ok is
// false where no setting has DriftLeast lots that count, or no line can be fitted. Found says that
// |Z| is above the limit, DriftAbove for one setting and the normal quantile 1 − 0.005/n for n
// (Bonferroni).
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

// stretch is the lots of one machine setting that count: their indexes, the same as abscissa of the
// line, densities x in kg/m³, variances v and each one's covariance c with the one before, in
// (kg/m³)².
type stretch struct {
	setting     int       // number of the machine setting
	lot         []int     // indexes of the lots
	at, x, v, c []float64 // abscissa, density, variance, covariance with the lot before
}

// stretchesOf parts the lots by machine setting, in fill order, and drops lots that are probably
// bad or over-full or have no figures, and settings with fewer than DriftLeast lots. A variance is
// the measurement's (combined) and the crew's, τ².
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

// shared returns the covariance in (kg/m³)² of two lots by the counter readings that both have, Σ
// coef·coef·U².
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
	Lot          int     // index of the lot
	EWMA, Lo, Hi float64 // moving average about the section's mean, and its limits
}

// Charted returns the moving average of the stretches that Trending looks at, lot by lot: z = λ·x +
// (1 − λ)·z with λ = DriftMemory, from the section's mean, with the limits mean ±
// DriftLimits·sd(z). sd(z) knows what neighbors share (stat.Smooth).
func Charted(lots []measure.Lot, r Result) (points []ChartPoint) {
	mean := r.Process.Mean
	for _, s := range stretchesOf(lots, r) {
		for k, z := range stat.Smooth(s.x, s.v, s.c, mean, DriftMemory) {
			points = append(points, ChartPoint{Lot: s.lot[k], EWMA: z.Value, Lo: mean - DriftLimits*z.SD, Hi: mean + DriftLimits*z.SD})
		}
	}
	return points
}
