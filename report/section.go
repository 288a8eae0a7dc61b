package report

import (
	"math"

	"bayproof/report/say"
	"bayproof/verify"
)

// none stands for a figure that does not exist.
func none() Number { return Number(math.NaN()) }

type sectionDocument struct {
	Section        string           `json:"section"`
	Bays           int              `json:"bays"`
	BaysExpected   *int             `json:"bays_expected"`
	Volume         Number           `json:"volume"`
	Mass           Number           `json:"mass"`
	MassRequired   Number           `json:"mass_required"`
	Bags           Number           `json:"bags"`
	BagsRequired   Number           `json:"bags_required"`
	Density        Number           `json:"density"`
	UDensity       Number           `json:"u_density"`
	ProbAtTarget   Number           `json:"prob_at_target"`
	Mean           Number           `json:"mean"`
	SD             Number           `json:"sd"`
	LowerTolerance Number           `json:"lower_tolerance"`
	Drift          driftDocument    `json:"drift"`
	Reasons        []reasonDocument `json:"reasons"`
}

type driftDocument struct {
	Method word   `json:"method"`
	Slope  Number `json:"slope"` // density a bay
	USlope Number `json:"u_slope"`
	Z      Number `json:"z"`
	Found  bool   `json:"found"`
}

func newSectionDocument(w *say.Words, s *verify.Section) sectionDocument {
	density := func(x float64) Number { return Number(w.In(verify.Density, x)) }
	d := sectionDocument{
		Section: s.Section.Name, Bays: s.Bays,
		Volume: Number(w.In(verify.Volume, s.Volume)),
		Mass:   Number(w.In(verify.Mass, s.Mass)), MassRequired: Number(w.In(verify.Mass, s.MassRequired)),
		Bags: Number(s.Bags), BagsRequired: Number(s.BagsRequired),
		Density: density(s.Density), UDensity: density(s.U), ProbAtTarget: Number(s.ProbAtTarget),
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
	return driftDocument{word(d.Method), Number(slope), Number(u), Number(d.Z), d.Found}
}
