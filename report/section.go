package report

import (
	"math"

	"bayproof/report/say"
	"bayproof/verify"
)

// none stands for a figure that does not exist.
func none() number { return number(math.NaN()) }

type sectionDocument struct {
	Section        string           `json:"section"`
	Bays           int              `json:"bays"`
	BaysExpected   *int             `json:"bays_expected"`
	Volume         number           `json:"volume"`
	Mass           number           `json:"mass"`
	MassRequired   number           `json:"mass_required"`
	Bags           number           `json:"bags"`
	BagsRequired   number           `json:"bags_required"`
	Density        number           `json:"density"`
	UDensity       number           `json:"u_density"`
	ProbAtTarget   number           `json:"prob_at_target"`
	Mean           number           `json:"mean"`
	SD             number           `json:"sd"`
	LowerTolerance number           `json:"lower_tolerance"`
	Drift          driftDocument    `json:"drift"`
	Reasons        []reasonDocument `json:"reasons"`
}

type driftDocument struct {
	Method word   `json:"method"`
	Slope  number `json:"slope"` // density a bay
	USlope number `json:"u_slope"`
	Z      number `json:"z"`
	Found  bool   `json:"found"`
}

func newSectionDocument(w *say.Words, s *verify.Section) sectionDocument {
	density := func(x float64) number { return number(w.In(verify.Density, x)) }
	d := sectionDocument{
		Section: s.Section.Name, Bays: s.Bays,
		Volume: number(w.In(verify.Volume, s.Volume)),
		Mass:   number(w.In(verify.Mass, s.Mass)), MassRequired: number(w.In(verify.Mass, s.MassRequired)),
		Bags: number(s.Bags), BagsRequired: number(s.BagsRequired),
		Density: density(s.Density), UDensity: density(s.U), ProbAtTarget: number(s.ProbAtTarget),
		Mean: density(s.Mean), SD: density(s.SD), LowerTolerance: density(s.LowerTolerance),
		Drift:   newDrift(w, s.Drift),
		Reasons: reasons(w, s.Reasons),
	}
	if s.Expected >= 0 {
		expected := s.Expected
		d.BaysExpected = &expected
	}
	return d
}

// newDrift gives no figures where fill order could not be judged.
func newDrift(w *say.Words, d verify.Drift) driftDocument {
	if d.Method == "" {
		return driftDocument{Slope: none(), USlope: none(), Z: none()}
	}
	slope, u := w.In(verify.Density, d.Slope), w.In(verify.Density, d.USlope)
	return driftDocument{word(d.Method), number(slope), number(u), number(d.Z), d.Found}
}
