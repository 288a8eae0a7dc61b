package verify

import (
	"math"
	"strings"

	"bayproof/model"
	"bayproof/verify/measure"
)

// coresOf reads the cores of a bay, filled or not.
func (w *work) coresOf(b *model.Bay) []Core {
	var out []Core
	for i := range w.job.Cores {
		if c := &w.job.Cores[i]; isCoreOf(c, b) {
			density, u := coreDensity(c, &b.Section.Settings)
			half := w.factor.at(math.Inf(1)) * u
			out = append(out, Core{Core: c, Density: density, U: u, Lo: density - half, Hi: density + half})
		}
	}
	return out
}

// core sets a bay's cores against its own density, and raises one that does not agree. A later core of the same bay that
// agrees answers.
func (w *work) core(b *Bay, l *measure.Lot) {
	var raised *Reason
	for i := range b.Cores {
		c := &b.Cores[i]
		z := (c.Density - l.Density) / math.Hypot(c.U, l.U)
		switch agrees := math.Abs(z) <= CoreLimit; {
		case math.IsNaN(z):
			continue
		case agrees:
			c.Agrees = model.Yes
			if raised != nil {
				raised.Answered = Answer{Code: ByCore}
			}
			continue
		}
		c.Agrees = model.No
		if raised == nil || raised.IsAnswered() {
			raised = w.room.add(CoreDisagrees, Datum{Key: "core", Value: c.Density, Dim: Density},
				Datum{Key: "density", Value: l.Density, Dim: Density}, Datum{Key: "z", Value: z})
		}
	}
}

// isCoreOf tells whether a row is a core of the bay. A test box is filled apart from any bay.
func isCoreOf(c *model.Core, b *model.Bay) bool {
	return strings.EqualFold(c.Bay, b.Name) && strings.EqualFold(c.Section, b.Section.Name) &&
		!strings.Contains(strings.ToLower(c.Kind), "box")
}

// coreDensity returns the density of a core, ρ = m/(π/4·d²·depth), and its standard uncertainty for the bay's mean:
// the scale, the cutter's diameter, the tape (all rectangular), and how far one place stands for a bay.
func coreDensity(c *model.Core, st *model.Settings) (density, u float64) {
	volume, rel2 := c.Volume, square(CoreLocal)
	if c.Diameter > 0 && c.Depth > 0 { // cut, and not of a volume that was given
		volume = math.Pi / 4 * c.Diameter * c.Diameter * c.Depth
		rel2 += square(2*CoreDiameterWithin/c.Diameter)/3 + square(st.DepthWithin/c.Depth)/3
	}
	density = c.Mass / volume
	return density, math.Hypot(density*math.Sqrt(rel2), CoreMassWithin/volume/math.Sqrt(3))
}

func square(x float64) float64 { return x * x }
