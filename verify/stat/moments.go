package stat

import "math"

// Mean returns the arithmetic mean; NaN of no values.
func Mean(x []float64) float64 {
	var sum float64
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

// MeanSD returns the mean and the standard deviation with n − 1 in two passes (JCGM 100, 4.2); the second pass carries
// the correction for the rounding of the mean. The deviation of fewer than two values is NaN.
func MeanSD(x []float64) (mean, sd float64) {
	mean = Mean(x)
	if len(x) < 2 {
		return mean, math.NaN()
	}
	return mean, math.Sqrt(SumOfSquares(x, mean) / float64(len(x)-1))
}

// SumOfSquares returns Σ(x − mean)², corrected for what rounding left in the mean.
func SumOfSquares(x []float64, mean float64) float64 {
	var ss, rest float64
	for _, v := range x {
		d := v - mean
		ss += d * d
		rest += d
	}
	return ss - rest*rest/float64(len(x))
}

// Pool gathers deviations about the means of several places: the pooled variance of repeated readings.
type Pool struct {
	SS  float64 // sum of squared deviations
	DOF float64 // Σ(n − 1)
}

// Add takes in the readings of one place. One reading adds nothing.
func (p *Pool) Add(x []float64) {
	if len(x) < 2 {
		return
	}
	p.SS += SumOfSquares(x, Mean(x))
	p.DOF += float64(len(x) - 1)
}

// Join takes in another pool.
func (p *Pool) Join(o Pool) { p.SS += o.SS; p.DOF += o.DOF }

// Var returns the pooled variance; 0 with no degrees of freedom, which DOF tells apart.
func (p Pool) Var() float64 {
	if p.DOF == 0 {
		return 0
	}
	return p.SS / p.DOF
}
