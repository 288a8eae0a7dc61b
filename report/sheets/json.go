package sheets

import (
	"encoding/json"

	"bayproof/report"
	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
	"bayproof/verify/plan"
)

// AppendJSON appends the plan as one document on one line, in the job's units.
func AppendJSON(dst []byte, p *plan.Plan, tool report.Tool, cautions []verify.Caution) ([]byte, error) {
	u := say.UnitsOf(p.Job)
	d := document{
		Method: verify.Method, Tool: tool, Job: p.Job.Name, WeighFirst: p.WeighFirst, NotPlanned: append([]string{}, p.Blind...),
		Units: unitsDocument{u.Of(verify.Length).Symbol, u.Of(verify.Volume).Symbol, u.Of(verify.Mass).Symbol, u.Of(verify.Density).Symbol},
		Load: loadDocument{report.Number(p.Load.Bags), report.Number(p.Load.Left), report.Number(p.Load.Used), report.Number(p.Load.Expected), report.Number(p.Load.U),
			report.Number(u.In(verify.Mass, p.Load.Mass)), report.Number(p.Load.Chance)},
		Sections: []sectionDocument{}, Bays: []bayDocument{}, Hold: []holdDocument{}, Cautions: []string{}, Assumptions: []assumption{},
	}
	for i := range p.Sections {
		d.Sections = append(d.Sections, newSectionDocument(u, &p.Sections[i]))
	}
	for i := range p.Bays {
		d.Bays = append(d.Bays, newBayDocument(u, &p.Bays[i]))
	}
	for _, h := range p.Hold {
		d.Hold = append(d.Hold, holdDocument{h.Section.Name, h.Place, h.Name, p.HoldSeed})
	}
	for _, c := range cautions {
		d.Cautions = append(d.Cautions, say.Caution(c))
	}
	for _, a := range p.Assumptions {
		d.Assumptions = append(d.Assumptions, assumption(a))
	}
	data, err := json.Marshal(d)
	return append(append(dst, screen.JSON(data)...), '\n'), err
}

func newSectionDocument(u say.Units, s *plan.Section) sectionDocument {
	density := func(x float64) report.Number { return report.Number(u.In(verify.Density, x)) }
	d := sectionDocument{
		Section: s.Section.Name, Bays: s.Bays, Sized: s.Sized, Filled: s.Filled,
		Volume: report.Number(u.In(verify.Volume, s.Volume)), Mass: report.Number(u.In(verify.Mass, s.Mass)), Bags: report.Number(s.Bags), BagsUsed: report.Number(s.BagsUsed),
		Target: density(s.Target), Aim: density(s.Aim), Mean: density(s.Mean), SD: density(s.SD), FromLog: s.FromLog,
		BlindMin: report.Number(u.In(verify.Length, s.BlindMin)), BlindMax: report.Number(u.In(verify.Length, s.BlindMax)),
	}
	for _, w := range s.Ways {
		d.Ways = append(d.Ways, wayDocument{
			Code: string(w.Code), Counting: w.Counting.String(), Step: report.Number(w.Step), Within: report.Number(u.In(verify.Mass, w.Within)),
			Closed: report.Number(w.Closed), AimFor: density(w.AimFor), More: report.Number(w.More),
		})
	}
	return d
}

func newBayDocument(u say.Units, b *plan.Bay) bayDocument {
	return bayDocument{
		Section: b.Section.Name, Bay: b.Name, State: stateWord(b),
		Volume: report.Number(u.In(verify.Volume, b.Volume)), UVolume: report.Number(u.In(verify.Volume, b.UVolume)), Length: report.Number(u.In(verify.Length, b.Length)),
		Mass: report.Number(u.In(verify.Mass, b.Mass)), Bags: report.Number(b.Bags), BlindLen: report.Number(u.In(verify.Length, b.Blind)),
		InBags: marksDocument{report.Number(b.Marks.ShortBelow), report.Number(b.Marks.FineFrom), report.Number(b.Marks.LookAt)},
		InMass: marksDocument{report.Number(u.In(verify.Mass, b.MarksMass.ShortBelow)), report.Number(u.In(verify.Mass, b.MarksMass.FineFrom)), report.Number(u.In(verify.Mass, b.MarksMass.LookAt))},
	}
}

func stateWord(b *plan.Bay) string {
	switch {
	case b.Filled:
		return "filled"
	case b.Typical:
		return "typical"
	}
	return "measured"
}
