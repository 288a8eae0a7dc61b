package verify

import (
	"math"
	"strings"

	"bayproof/model"
)

// DesignCheck sets a section beside a published figure. It is no finding about a bay and moves no verdict.
type DesignCheck struct {
	Section *model.Section
	Depth   float64 // m: mean clear depth of its bays; NaN where none was measured
	// R is the thermal resistance of the fill at that depth, m²·K/W, from one stated conductivity: ±RWithin of itself.
	R, RWithin float64
	Settling   []SettlingCheck
	// Impermeable is set for unvented sections: what the published table asks for, m²·K/W; NaN where the zone is not in it.
	Unvented            bool
	RequiredImpermeable float64
	ActualImpermeable   float64 // m²·K/W; NaN when not said
}

// SettlingCheck compares the least density of a section's bays with one at which no settling was observed.
type SettlingCheck struct {
	Condition string
	Published float64 // kg/m³
	Least     float64 // kg/m³: of the section's filled bays
	Met       bool
}

// DesignConductivity is what the design check of R takes for dense-packed cellulose: 0.040 W/(m·K), given for
// 55.2 kg/m³ blown in and for 60 and 70 kg/m³ in an open building-material data set (RWTH Aachen).
const DesignConductivity = 0.040

// designRWithin is the stated uncertainty of a calculated R; common practice, wide enough for one conductivity to stand
// for products and densities that differ.
const designRWithin = 0.10

// DesignChecks returns one check a section, in the order of the sections.
func DesignChecks(f *Findings) []DesignCheck {
	out := make([]DesignCheck, len(f.Sections))
	for i := range f.Sections {
		out[i] = designCheck(f, f.Sections[i].Section)
	}
	return out
}

func designCheck(f *Findings, s *model.Section) DesignCheck {
	c := DesignCheck{Section: s, Depth: meanDepth(f, s), RWithin: designRWithin, Unvented: s.Unvented == model.Yes}
	c.R = c.Depth / DesignConductivity
	least := leastDensity(f, s)
	for _, p := range settlingTable() {
		p.Least, p.Met = least, least >= p.Published
		if !math.IsNaN(least) {
			c.Settling = append(c.Settling, p)
		}
	}
	c.RequiredImpermeable, c.ActualImpermeable = math.NaN(), s.AirImpermeableR
	if r, ok := impermeableR(s.ClimateZone); ok {
		c.RequiredImpermeable = r * model.RValue
	}
	return c
}

// settlingTable holds the densities from which on no settling was found in walls of the given gap: T. V. Rasmussen,
// Danish Building Research Institute (SBi), Settling of loose-fill insulation materials in walls (summary).
func settlingTable() []SettlingCheck {
	return []SettlingCheck{
		{Condition: "wall gap 0.1 m (4 in), 50 % relative humidity", Published: 48},
		{Condition: "wall gap 0.3 m (12 in), 50 % relative humidity", Published: 53},
		{Condition: "wall gap 0.3 m (12 in), humidity cycling between 50 and 80 %", Published: 63},
	}
}

// impermeableR returns the least R, in °F·h·ft²/Btu, of air-impermeable insulation in an unvented roof by climate zone:
// IRC Table R806.5, 2015 to 2024.
func impermeableR(zone string) (float64, bool) {
	z := strings.ToUpper(strings.TrimSpace(zone))
	switch z {
	case "1", "1A", "1B", "1C", "2A", "2B", "3", "3A", "3B", "3C":
		return 5, true
	case "4C":
		return 10, true
	case "4A", "4B":
		return 15, true
	}
	byNumber := map[string]float64{"5": 20, "6": 25, "7": 30, "8": 35}
	r, ok := byNumber[strings.TrimRight(z, "ABC")]
	return r, ok
}

// meanDepth is the mean over a section's filled bays of the first piece's mean depth; half of it for a wedge, two thirds
// of a bulge added (a parabola's mean). NaN where no depth is known.
func meanDepth(f *Findings, s *model.Section) float64 {
	sum, n := 0.0, 0.0
	for i := range f.Bays {
		b := &f.Bays[i]
		if b.Bay.Section != s || !b.Judged() || len(b.Bay.Pieces) == 0 {
			continue
		}
		if d := pieceDepth(b.Bay.Pieces[0]); !math.IsNaN(d) {
			sum, n = sum+d, n+1
		}
	}
	return sum / n // 0/0 is NaN: nothing known
}

func pieceDepth(p model.Piece) float64 {
	d := p.Depth.Mean()
	if p.Depth2.State != model.Absent {
		d = (d + p.Depth2.Mean()) / 2
	}
	if p.Shape == model.ShapeWedge {
		d /= 2
	}
	if p.Bulge.State != model.Absent {
		d += 2 * p.Bulge.Mean() / 3
	}
	return d
}

func leastDensity(f *Findings, s *model.Section) float64 {
	least := math.NaN()
	for i := range f.Bays {
		b := &f.Bays[i]
		if b.Bay.Section == s && b.Judged() && !(b.Density >= least) {
			least = b.Density
		}
	}
	return least
}
