package say

import (
	"math"
	"strings"

	"bayproof/verify"
)

// MassFigure writes a mass for a table cell, without its unit.
func (u Units) MassFigure(x, half float64) string {
	return strings.TrimSuffix(u.Mass(x, half), " "+u.Of(verify.Mass).Name)
}

// DensityFigure writes a density for a table cell with the digits that its half-width allows, without that.
func (u Units) DensityFigure(x, half float64) string {
	text, _, _ := strings.Cut(u.Density(x, half, nan()), " ± ")
	return text
}

// Pooled writes the density of a section as a whole with its interval, for a table cell.
func (w *Words) Pooled(s *verify.Section) string {
	if s.Bays == 0 || math.IsNaN(s.Density) {
		return ""
	}
	return w.Density(s.Density, (s.Hi-s.Lo)/2, s.Section.Settings.Target)
}

// Spread writes a mean density and how the bays scatter about it (standard deviation), in words: ± is for intervals.
// Without the unit: "3.85 with a spread of 0.10 from bay to bay".
func (u Units) Spread(mean, sd float64) string {
	text, spread, ok := strings.Cut(u.Density(mean, sd, nan()), " ± ")
	if !ok {
		return text
	}
	return text + " with a spread of " + spread + " from bay to bay"
}

// Share writes how much of what is needed went in, as a whole percentage; under 100 stays under 100.
func Share(in, needs float64) string {
	share := 100 * in / needs
	switch {
	case math.IsNaN(share) || math.IsInf(share, 0):
		return unknown
	case share < 100:
		return fixed(math.Floor(share), 0) + " %"
	}
	return fixed(share, 0) + " %"
}

// Drift says how the density moves along the fill order, in a word.
func (w *Words) Drift(s *verify.Section) string {
	d := s.Drift
	switch {
	case d.Method == "":
		return "not judged"
	case !d.Found:
		return "none"
	case d.Slope < 0:
		return "falling"
	case d.Slope > 0:
		return "rising"
	}
	return "found"
}
