package stat

import "math"

// movingRange is what two values of one normal distribution are apart on average, in standard deviations: d₂ for two.
const movingRange = 1.128

// Individuals is the control chart of single values in their order (NIST/SEMATECH e-Handbook 6.3.2.2): from what neighbours
// are apart it gives a standard deviation that neither a slow drift nor a change of level enters. All in the values' unit.
type Individuals struct {
	Neighbours float64   // standard deviation from the mean moving range
	Overall    float64   // the ordinary one, about each run's mean
	Mean       []float64 // by run
}

// NewIndividuals looks at runs of values; neighbours are compared within a run only. NaN where no run has two values.
func NewIndividuals(runs ...[]float64) Individuals {
	c := Individuals{Mean: make([]float64, len(runs))}
	n := 0.0
	for r, run := range runs {
		c.Mean[r] = Mean(run)
		c.Overall += SumOfSquares(run, c.Mean[r])
		for i := 1; i < len(run); i++ {
			c.Neighbours += math.Abs(run[i] - run[i-1])
			n++
		}
	}
	c.Neighbours, c.Overall = c.Neighbours/n/movingRange, math.Sqrt(c.Overall/n)
	return c
}

// Limits are three standard deviations of neighbours to either side of a run's mean.
func (c *Individuals) Limits(run int) (lo, hi float64) {
	return c.Mean[run] - 3*c.Neighbours, c.Mean[run] + 3*c.Neighbours
}
