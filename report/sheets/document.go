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
	u, l := say.UnitsOf(p.Job).InEnglish(), &p.Load
	texts := make([]string, 0, len(cautions))
	for _, c := range cautions {
		texts = append(texts, say.Caution(c))
	}
	data, err := json.Marshal(report.Object{
		{"schema", report.SchemaName("plan")}, {"method", verify.Method}, {"tool", tool}, {"job", p.Job.Name},
		{"units", report.UnitsObject(u)},
		{"terms", report.TermsObject(p.Job.Terms)},
		{"load", report.Object{
			{"bags", report.Number(l.Bags)}, {"bags_left_to_open", report.Number(l.Left)}, {"bags_used", report.Number(l.Used)},
			{"bags_expected", report.Number(l.Expected)}, {"u_bags", report.Number(l.U)},
			{"mass", report.Number(u.In(verify.Mass, l.Mass))}, {"chance", report.Number(l.Chance)},
		}},
		{"weigh_first", p.WeighFirst},
		{"sections", report.Each(p.Sections, func(s *plan.Section) report.Object { return sectionObject(u, s) })},
		{"bays", report.Each(p.Bays, func(b *plan.Bay) report.Object { return bayObject(u, b) })},
		{"not_planned", append([]string{}, p.Blind...)},
		{"hold", report.Each(p.Hold, func(h *plan.Held) report.Object {
			return report.Object{{"section", h.Section.Name}, {"place", h.Place}, {"bay", h.Name}, {"seed", p.HoldSeed}}
		})},
		{"cautions", texts},
		{"assumptions", report.Each(p.Assumptions, func(a *verify.Constant) report.Object {
			return report.Object{{"name", a.Name}, {"value", a.Value}, {"unit", a.Unit}, {"source", a.Source}, {"use", a.Use}}
		})},
	})
	return append(append(dst, screen.JSON(data)...), '\n'), err
}

// Figures of the document are unrounded and in the job's units; report.Number writes null where one
// does not exist. The keys of sections and bays keep to those of the findings' document
// (report.AppendJSON) where both have them.

// sectionObject is what one section takes, and how many of its good bays each way of counting
// closes.
func sectionObject(u say.Units, s *plan.Section) report.Object {
	in := func(dim verify.Dim, x float64) report.Number { return report.Number(u.In(dim, x)) }
	return report.Object{
		{"section", s.Section.Name}, {"bays", s.Bays}, {"sized", s.Sized}, {"filled", s.Filled},
		{"volume", in(verify.Volume, s.Volume)}, {"mass", in(verify.Mass, s.Mass)},
		{"bags", report.Number(s.Bags)}, {"bags_used", report.Number(s.BagsUsed)},
		{"target", in(verify.Density, s.Target)}, {"aim", in(verify.Density, s.Aim)},
		{"mean", in(verify.Density, s.Mean)}, {"sd", in(verify.Density, s.SD)}, {"from_log", s.FromLog},
		{"could_hide_min", in(verify.Length, s.HidesMin)}, {"could_hide_max", in(verify.Length, s.HidesMax)},
		{"ways", report.Each(s.Ways, func(w *plan.Way) report.Object {
			return report.Object{
				{"code", w.Code}, {"counting", w.Counting.String()}, {"bag_step", report.Number(w.Step)}, {"weigh_within", in(verify.Mass, w.Within)},
				{"good_bays_closed", report.Number(w.Closed)}, {"aim_for_eight_in_ten", in(verify.Density, w.AimFor)}, {"more_material", report.Number(w.More)},
			}
		})},
	}
}

// bayObject is one bay: what it takes at the aim, and from what on to stop and look at it.
func bayObject(u say.Units, b *plan.Bay) report.Object {
	in := func(dim verify.Dim, x float64) report.Number { return report.Number(u.In(dim, x)) }
	return report.Object{
		{"section", b.Section.Name}, {"bay", b.Name}, {"state", stateWord(b)},
		{"volume", in(verify.Volume, b.Volume)}, {"u_volume", in(verify.Volume, b.UVolume)}, {"length", in(verify.Length, b.Length)},
		{"mass", in(verify.Mass, b.Mass)}, {"bags", report.Number(b.Bags)},
		{"look_from_bags", report.Number(b.LookAt)}, {"look_from_mass", in(verify.Mass, b.LookAtMass)},
		{"could_hide", in(verify.Length, b.Hides)},
	}
}

// stateWord says where a bay's sizes come from: filled and measured bays have their own, a typical
// one has its section's.
func stateWord(b *plan.Bay) string {
	switch {
	case b.Filled:
		return "filled"
	case b.Typical:
		return "typical"
	}
	return "measured"
}

// csvColumns are the flat keys of a planned bay, the job's name before them.
const csvColumns = "job,section,bay,state,volume,u_volume,length,mass,bags,look_from_bags,look_from_mass,could_hide\n"

// AppendCSV appends a header and a row for every bay, in the job's units. What does not exist is an
// empty cell.
func AppendCSV(dst []byte, p *plan.Plan) []byte {
	u := say.UnitsOf(p.Job).InEnglish()
	in := func(dim verify.Dim, x float64) string { return screen.Figure(u.In(dim, x)) }
	dst = append(dst, csvColumns...)
	for i := range p.Bays {
		b := &p.Bays[i]
		dst = screen.AppendRow(dst, screen.Cell(p.Job.Name), screen.Cell(b.Section.Name), screen.Cell(b.Name), stateWord(b),
			in(verify.Volume, b.Volume), in(verify.Volume, b.UVolume), in(verify.Length, b.Length), in(verify.Mass, b.Mass), screen.Figure(b.Bags),
			screen.Figure(b.LookAt), in(verify.Mass, b.LookAtMass), in(verify.Length, b.Hides))
	}
	return dst
}
