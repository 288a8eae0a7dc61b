package review

import (
	"bufio"
	"bytes"
	"encoding/json"
	"io"
	"math"

	"bayproof/report"
	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
	"bayproof/verify/audit"
)

// number is a quantity in the units of the document.
func number(u say.Units, dim verify.Dim, si float64) report.Number {
	return report.Number(u.In(dim, si))
}

// WriteJSON writes the review as one document, its jobs one after the other: a programme's may be a hundred megabytes.
// Numbers stand in the units of the first job, at full precision.
func WriteJSON(w io.Writer, r *audit.Review, tool report.Tool) error {
	doc, err := indented(document(r, tool, nil), "")
	if err != nil {
		return err
	}
	const jobs = "\n \"jobs\": " // no text has a line end in it, so that only the member looks like this
	head, tail, _ := bytes.Cut(doc, []byte(jobs+"null"))
	out := bufio.NewWriter(w)
	out.Write(head)
	out.WriteString(jobs + "[")
	units := unitsOf(r)
	for i, j := range r.Jobs {
		job, err := indented(jobObject(units, j), "  ")
		if err != nil {
			return err
		}
		if i > 0 {
			out.WriteByte(',')
		}
		out.WriteString("\n  ")
		out.Write(bytes.TrimSpace(job))
	}
	if len(r.Jobs) > 0 {
		out.WriteString("\n ")
	}
	out.WriteByte(']')
	out.Write(tail)
	return out.Flush() // a bufio.Writer keeps its first error
}

// indented encodes a value for a place behind so much space.
func indented(v any, behind string) ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent(behind, " ")
	if err := enc.Encode(v); err != nil {
		return nil, err
	}
	return screen.JSON(b.Bytes()), nil
}

// document is the whole review with the jobs given, null for those that are written one by one.
func document(r *audit.Review, tool report.Tool, jobs []report.Object) report.Object {
	u := unitsOf(r)
	groups := func(list []audit.Group) []report.Object {
		return report.Each(list, func(g *audit.Group) report.Object {
			return append(report.Object{{"name", g.Name}}, figures(u, &g.Tally, g.Pass, g)...)
		})
	}
	return report.Object{
		{"schema", report.SchemaName("review")}, {"method", verify.Method},
		{"tool", tool},
		{"units", report.Object{{"density", u.Of(verify.Density).Symbol}, {"mass", u.Of(verify.Mass).Symbol}, {"volume", u.Of(verify.Volume).Symbol}}},
		{"totals", append(report.Object{{"name", ""}}, figures(u, &r.Tally, r.Pass, nil)...)},
		{"crews", groups(r.Crews)}, {"section_kinds", groups(r.Kinds)}, {"months", groups(r.Months)},
		{"jobs", jobs},
		{"looked_at", r.Looked}, {"false_discovery_rate", report.Number(audit.FalseRate)},
		{"findings", report.Each(r.Findings, func(f *audit.Finding) report.Object { return findingObject(u, r, f) })},
		{"opened", openedObject(&r.Opened)},
		{"sample", sampleObject(u, r)},
		{"not_read", report.Each(r.Bad, func(b *audit.Bad) report.Object {
			return report.Object{{"place", b.Place}, {"faults", b.Faults}, {"more_faults", b.More}}
		})},
	}
}

// figures are the results of some bays, the same in JSON and CSV. A group, where it is not nil, adds its shrunk rate and
// its place in the funnel.
func figures(u say.Units, t *audit.Tally, pass audit.Rate, g *audit.Group) report.Object {
	unaccounted := report.Number(math.NaN())
	if t.UnaccountedJobs > 0 {
		unaccounted = report.Number(t.Unaccounted)
	}
	out := report.Object{
		{"jobs", t.Jobs}, {"sections", t.Sections}, {"bays", t.Bays}, {"bays_expected", t.Expected}, {"filled", t.Filled},
		{"close", t.Close}, {"close_own", t.CloseOwn}, {"close_crew", t.CloseCrew}, {"add", t.Add}, {"measure", t.Measure}, {"probe", t.Probe},
		{"not_filled", t.NotFilled}, {"not_in_log", t.NotInLog}, {"closed", t.Closed}, {"closed_not_close", t.ClosedNotClose},
		{"closed_now_or_then_not_close", t.ClosedHold},
		{"decided", t.Decided}, {"left", t.Left}, {"bays_measured", t.Measured},
		{"pass_rate", report.Number(pass.Share())}, {"pass_rate_lo", report.Number(pass.Lo)}, {"pass_rate_hi", report.Number(pass.Hi)},
	}
	if g != nil {
		out = append(out, report.Object{
			{"pass_rate_shrunk", report.Number(g.Shrunk)}, {"funnel_lo", report.Number(g.Lo)}, {"funnel_hi", report.Number(g.Hi)},
			{"funnel_outer_lo", report.Number(g.OuterLo)}, {"funnel_outer_hi", report.Number(g.OuterHi)},
		}...)
	}
	return append(out, report.Object{
		{"volume", number(u, verify.Volume, t.Volume)}, {"mass", number(u, verify.Mass, t.Mass)}, {"mass_required", number(u, verify.Mass, t.MassRequired)},
		{"bags", report.Number(t.Bags)}, {"density", number(u, verify.Density, t.Density())}, {"lower_tolerance", number(u, verify.Density, t.Lower)},
		{"sections_lower_short", t.LowerShort}, {"sections_lower_known", t.LowerKnown}, {"unaccounted_bags", unaccounted},
	}...)
}

// jobObject is one job: its figures, its sections, and what somebody has to see to. Of a job with very many open bays only
// those that need someone first are named; the figures count all.
func jobObject(u say.Units, j *audit.Job) report.Object {
	out := append(report.Object{{"name", j.Name}}, figures(u, &j.Tally, j.Tally.Pass(), nil)...)
	return append(out, report.Object{
		{"crew", j.Crew}, {"site", j.Site}, {"date", j.Date}, {"input", j.At.Input}, {"record", report.OrNull(j.At.Record)},
		{"by_section", report.Each(j.Sections, func(s *audit.Section) report.Object {
			return append(report.Object{{"name", s.Name}}, figures(u, &s.Tally, s.Tally.Pass(), nil)...)
		})},
		{"open_bays", report.Each(j.Open, func(b *audit.OpenBay) report.Object {
			return report.Object{{"section", j.SectionOf(b)}, {"bay", b.Bay}, {"state", u.OpenState(b)}, {"verdict", verdictOf(b)},
				{"density", number(u, verify.Density, b.Density)}, {"prob_at_target", report.Number(b.Prob)}, {"code", b.Code}}
		})},
		{"missing_evidence", report.Each(j.Missing, func(l *audit.Lack) report.Object {
			return report.Object{{"ask", l.Ask}, {"have", report.Number(l.Have)}, {"want", report.Number(l.Want)}, {"text", say.Lacking(*l)}}
		})},
		{"opened_bays", report.Each(j.Opened, func(o *audit.Opened) report.Object {
			return report.Object{{"section", o.Section}, {"bay", o.Bay}, {"verdict_before", say.Verdict(o.Before)},
				{"core", number(u, verify.Density, o.Core)}, {"soft", o.Soft}, {"short", o.Short}}
		})},
		{"reader_warnings", report.Each(j.Warnings, func(h *audit.Warning) report.Object {
			var line any
			if h.Line > 0 {
				line = h.Line
			}
			return report.Object{{"code", h.Code}, {"text", h.Text}, {"file", report.OrNull(h.File)}, {"line", line}, {"count", h.Count}}
		})},
	}...)
}

// verdictOf is the verdict of a bay that needs someone; a bay that is not filled has none.
func verdictOf(b *audit.OpenBay) string {
	if b.State == verify.NotFilled {
		return ""
	}
	return say.Verdict(b.Verdict)
}

// findingObject is one finding with its sentence, what may be innocent about it, and the figures of the sentence under the
// keys that Codes names.
func findingObject(u say.Units, r *audit.Review, f *audit.Finding) report.Object {
	var jobs []string
	for _, j := range f.Jobs {
		jobs = append(jobs, r.Jobs[j].Name)
	}
	data := map[string]any{} // written in the order of the keys
	for _, d := range f.Data {
		data[d.Key] = number(u, d.Dim, d.Value)
		if d.Dim == verify.Name {
			data[d.Key] = d.Text
		}
	}
	return report.Object{{"code", f.Code}, {"crew", f.Crew}, {"jobs", jobs}, {"text", u.Suspect(f)}, {"innocent", say.Innocent(f.Code)},
		{"prob_honest", report.Number(f.P)}, {"q", report.Number(f.Q)}, {"data", data}}
}

// openedObject sets inspectors' findings against the verdicts; null where nobody opened a bay.
func openedObject(o *audit.OpenedSum) any {
	if o.Bays == 0 {
		return nil
	}
	return report.Object{{"bays", o.Bays}, {"called_close", o.Close.N}, {"called_close_short", o.Close.K},
		{"called_close_short_lo", report.Number(o.Close.Lo)}, {"called_close_short_hi", report.Number(o.Close.Hi)},
		{"on_hold", o.Hold.N}, {"on_hold_short", o.Hold.K}}
}

// sampleObject lists the bays to open and what finding none bad proves; null where none were asked for.
func sampleObject(u say.Units, r *audit.Review) any {
	s := r.Sample
	if s == nil {
		return nil
	}
	return report.Object{
		{"seed", s.Seed}, {"asked", s.Asked},
		{"bays", report.Each(s.Bays, func(d *audit.Drawn) report.Object {
			return report.Object{{"job", r.Jobs[d.Job].Name}, {"section", d.Section}, {"bay", d.Bay}, {"verdict", say.Verdict(d.Verdict)},
				{"density", number(u, verify.Density, d.Density)}, {"prob_at_target", report.Number(d.Prob)}, {"why", say.WhyDrawn(d.Stratum)}}
		})},
		{"classes", report.Each(s.Class, func(c *audit.Class) report.Object {
			return report.Object{{"why", say.WhyDrawn(c.Stratum)}, {"bays", c.Bays}, {"drawn", c.Drawn}, {"bad_left_possible", c.Left}, {"level", report.Number(audit.Level)}}
		})},
		{"proofs", report.Each(s.Proofs, func(p *audit.Proof) report.Object {
			return report.Object{{"rate", report.Number(p.Rate)}, {"bays", p.Bays}, {"need", p.Need}}
		})},
	}
}
