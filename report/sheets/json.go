package sheets

import (
	"encoding/json"
	"math"

	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
	"bayproof/verify/plan"
)

// Tool names the program that made a document.
type Tool struct {
	Name    string `json:"name"`
	Version string `json:"version"`
}

// number is null where there is no figure.
type number float64

// MarshalJSON writes full precision.
func (n number) MarshalJSON() ([]byte, error) {
	if math.IsNaN(float64(n)) || math.IsInf(float64(n), 0) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(n))
}

// AppendJSON appends the plan as one document on one line, in the job's units.
func AppendJSON(dst []byte, p *plan.Plan, tool Tool, cautions []verify.Caution) ([]byte, error) {
	u := say.UnitsOf(p.Job)
	d := document{
		Tool: tool, Job: p.Job.Name, WeighFirst: p.WeighFirst, NotPlanned: append([]string{}, p.Blind...),
		Units: unitsDocument{u.Of(verify.Length).Symbol, u.Of(verify.Volume).Symbol, u.Of(verify.Mass).Symbol, u.Of(verify.Density).Symbol},
		Load: loadDocument{number(p.Load.Bags), number(p.Load.Left), number(p.Load.Used), number(p.Load.Expected), number(p.Load.U),
			number(u.In(verify.Mass, p.Load.Mass)), number(p.Load.Chance)},
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
		d.Cautions = append(d.Cautions, c.Text)
	}
	for _, a := range p.Assumptions {
		d.Assumptions = append(d.Assumptions, assumption(a))
	}
	data, err := json.Marshal(d)
	return append(append(dst, screen.JSON(data)...), '\n'), err
}

func newSectionDocument(u say.Units, s *plan.Section) sectionDocument {
	density := func(x float64) number { return number(u.In(verify.Density, x)) }
	d := sectionDocument{
		Section: s.Section.Name, Bays: s.Bays, Sized: s.Sized, Filled: s.Filled,
		Volume: number(u.In(verify.Volume, s.Volume)), Mass: number(u.In(verify.Mass, s.Mass)), Bags: number(s.Bags), BagsUsed: number(s.BagsUsed),
		Target: density(s.Target), Aim: density(s.Aim), Mean: density(s.Mean), SD: density(s.SD), FromLog: s.FromLog,
		BlindMin: number(u.In(verify.Length, s.BlindMin)), BlindMax: number(u.In(verify.Length, s.BlindMax)),
	}
	for _, w := range s.Ways {
		d.Ways = append(d.Ways, wayDocument{
			Code: string(w.Code), Counting: w.Counting.String(), Step: number(w.Step), Within: number(u.In(verify.Mass, w.Within)),
			Closed: number(w.Closed), AimFor: density(w.AimFor), More: number(w.More),
		})
	}
	return d
}

func newBayDocument(u say.Units, b *plan.Bay) bayDocument {
	return bayDocument{
		Section: b.Section.Name, Bay: b.Name, State: stateWord(b),
		Volume: number(u.In(verify.Volume, b.Volume)), UVolume: number(u.In(verify.Volume, b.UVolume)), Length: number(u.In(verify.Length, b.Length)),
		Mass: number(u.In(verify.Mass, b.Mass)), Bags: number(b.Bags), BlindLen: number(u.In(verify.Length, b.Blind)),
		InBags: marksDocument{number(b.Marks.ShortBelow), number(b.Marks.FineFrom), number(b.Marks.LookAt)},
		InMass: marksDocument{number(u.In(verify.Mass, b.MarksMass.ShortBelow)), number(u.In(verify.Mass, b.MarksMass.FineFrom)), number(u.In(verify.Mass, b.MarksMass.LookAt))},
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
