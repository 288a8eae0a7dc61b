package crew

import (
	"math"
	"testing"
)

// The nodes lie evenly along the scale, the parts of ln τ that they stand for are those of the scale's slope, and together they
// are the span: the trapezoidal rule gives the length of ∫ d ln τ, the integrand being smooth, to a thousandth.
func TestSpacing(t *testing.T) {
	along := spacing{2 / 0.7, math.Sqrt(48), 0.0049}
	over := span{0.8, 1.2, math.Log(0.0043), math.Log(0.285)}
	for _, nodes := range []int{5, 9, 33} {
		g := newGrid(new(scratch), over, 13, nodes, along, 0)
		step := along.length(over) / float64(nodes-1)
		sum := -(g.per[0] + g.per[nodes-1]) / 2
		for i := range nodes {
			at, slope := along.at(g.log[i])
			first, _ := along.at(over.logLow)
			if math.Abs(at-first-float64(i)*step) > 1e-7 || math.Abs(g.per[i]*slope-step) > 1e-9 || math.Abs(math.Exp(g.log[i])-g.tau[i]) > 1e-12 {
				t.Errorf("%d nodes, node %d: t %v, stands for %v", nodes, i, at, g.per[i])
			}
			sum += g.per[i]
		}
		if want := over.logHigh - over.logLow; math.Abs(sum-want) > 0.001*want {
			t.Errorf("%d nodes stand for %v of %v", nodes, sum, want)
		}
	}
	if flat := logarithmic(); math.Abs(flat.length(over)-(over.logHigh-over.logLow)) > 1e-12 {
		t.Error("the scale of ln τ itself has another length")
	}
}
