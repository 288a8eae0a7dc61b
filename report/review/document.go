package review

import (
	"bufio"
	"bytes"
	"encoding/json"
	"io"
	"math"
	"slices"
	"strings"

	"bayproof/model"
	"bayproof/report"
	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
	"bayproof/verify/audit"
	"bayproof/verify/audit/compare"
	"bayproof/verify/audit/inspect"
	"bayproof/verify/audit/plausible"
)

// number is a quantity in the units of the document.
func number(u say.Units, dim verify.Dim, si float64) report.Number {
	return report.Number(u.In(dim, si))
}

// WriteJSON writes the review as one document, its jobs one after the other: a programme's may be a
// hundred megabytes. Numbers stand in the units of the first job, at full precision.
func WriteJSON(w io.Writer, r *audit.Review, since *Since, tool report.Tool) error {
	doc, err := indented(document(r, since, tool, nil), "")
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
func document(r *audit.Review, since *Since, tool report.Tool, jobs []report.Object) report.Object {
	u := unitsOf(r)
	groups := func(list []audit.Group) []report.Object {
		return report.Each(list, func(g *audit.Group) report.Object {
			return append(report.Object{{"name", g.Name}}, figures(u, &g.Tally, g.Pass, g)...)
		})
	}
	return report.Object{
		{"schema", report.SchemaName("review")}, {"method", verify.Method},
		{"tool", tool},
		{"units", report.Object{{"density", u.Of(verify.Density).Symbol}, {"mass", u.Of(verify.Mass).Symbol}, {"volume", u.Of(verify.Volume).Symbol}, {"area", u.Area().Symbol}}},
		{"totals", append(report.Object{{"name", ""}}, figures(u, &r.Tally, r.Pass, nil)...)},
		{"terms", termsObject(u, r)}, {"needs", needsObject(u, &r.Needs)},
		{"crews", groups(r.Crews)}, {"section_kinds", groups(r.Kinds)}, {"months", groups(r.Months)}, {"ways_of_counting", groups(r.Ways)},
		{"between_crews", number(u, verify.Density, r.Model.Between)}, {"between_jobs", number(u, verify.Density, r.Model.SD)},
		{"drifts", report.Each(r.Drifts, func(d *compare.Trend) report.Object {
			return report.Object{{"crew", d.Name}, {"jobs", d.Jobs}, {"days", report.Number(d.Days)}, {"per_year", number(u, verify.Density, d.Slope)},
				{"per_year_lo", number(u, verify.Density, d.Lo)}, {"per_year_hi", number(u, verify.Density, d.Hi)}, {"found", d.Found}}
		})},
		{"jobs", jobs},
		{"looked_at", r.Looked}, {"false_discovery_rate", report.Number(plausible.FalseRate)},
		{"findings", report.Each(r.Findings, func(f *plausible.Finding) report.Object { return findingObject(u, r, f) })},
		{"inspections", judgedObject(u, &r.Judged)},
		{"plan", planObject(u, r)},
		{"not_read", report.Each(r.Bad, func(b *audit.Bad) report.Object {
			return report.Object{{"place", b.Place}, {"faults", report.Each(b.Faults, report.FaultObject)}, {"more_faults", b.More}}
		})},
		{"since", since.object()},
	}
}

// figures are the results of some bays, the same in JSON and CSV. A group, where it is not nil,
// adds its shrunk rate and its place in the funnel.
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
		{"expected_short", report.Number(t.Short)}, {"expected_short_of", t.Told}, {"reachable", report.Number(t.Reach)},
		{"pass_rate", report.Number(pass.Share())}, {"pass_rate_lo", report.Number(pass.Lo)}, {"pass_rate_hi", report.Number(pass.Hi)},
	}
	if g != nil {
		out = append(out, report.Object{
			{"mean_density", number(u, verify.Density, g.Density.Mean)}, {"mean_density_lo", number(u, verify.Density, g.Density.Lo)}, {"mean_density_hi", number(u, verify.Density, g.Density.Hi)},
			{"mean_density_shrunk", number(u, verify.Density, g.Density.Shrunk)},
			{"limit_lo", number(u, verify.Density, g.Density.Low)}, {"limit_hi", number(u, verify.Density, g.Density.High)},
			{"limit_outer_lo", number(u, verify.Density, g.Density.OuterLow)}, {"limit_outer_hi", number(u, verify.Density, g.Density.OuterHigh)}, {"outside", g.Outside()},
			{"short_share", report.Number(g.Short.Share)}, {"short_share_lo", report.Number(g.Short.Lo)}, {"short_share_hi", report.Number(g.Short.Hi)}, {"short_outside", g.Short.Outside},
			{"close_of_reachable", report.Number(g.Reached.Share)}, {"close_of_reachable_lo", report.Number(g.Reached.Lo)}, {"close_of_reachable_hi", report.Number(g.Reached.Hi)},
		}...)
	}
	return append(out, report.Object{
		{"volume", number(u, verify.Volume, t.Volume)}, {"mass", number(u, verify.Mass, t.Mass)}, {"mass_required", number(u, verify.Mass, t.MassRequired)},
		{"bags", report.Number(t.Bags)}, {"density", number(u, verify.Density, t.Density())}, {"lower_tolerance", number(u, verify.Density, t.Lower)},
		{"sections_lower_short", t.LowerShort}, {"sections_lower_known", t.LowerKnown}, {"unaccounted_bags", unaccounted},
	}...)
}

// jobObject is one job: its figures, its sections, and what somebody has to see to. Of a job with
// very many open bays only those that need someone first are named; the figures count all.
func jobObject(u say.Units, j *audit.Job) report.Object {
	out := append(report.Object{{"name", j.Name}}, figures(u, &j.Tally, j.Tally.Pass(), nil)...)
	own, closeByOwn := []report.Object{}, any(nil)
	if j.Own != nil {
		closeByOwn = j.Own.Close
		own = report.Each(j.Own.Terms, func(t *plausible.Term) report.Object {
			return report.Object{{"setting", t.Setting}, {"own", t.Own}, {"judged_at", t.Used}}
		})
	}
	return append(out, report.Object{
		{"crew", j.Crew}, {"site", j.Site}, {"date", j.Date}, {"input", j.At.Input}, {"record", report.OrNull(j.At.Record)},
		{"by_section", report.Each(j.Sections, func(s *audit.Section) report.Object {
			return append(report.Object{{"name", s.Name}}, figures(u, &s.Tally, s.Tally.Pass(), nil)...)
		})},
		{"needs", needsObject(u, &j.Needs)}, {"expected_short_area", report.Number(j.ShortArea / u.Area().SI)},
		{"open_bays", report.Each(j.Open, func(b *audit.BayOf) report.Object {
			return report.Object{{"section", j.SectionOf(b)}, {"bay", b.Bay}, {"state", u.OpenState(b)}, {"verdict", verdictOf(b)},
				{"density", number(u, verify.Density, b.Density)}, {"prob_at_target", report.Number(b.Prob)}, {"short", number(u, verify.Density, j.ShortBy(b))},
				{"area", report.Number(b.Area / u.Area().SI)}, {"by", b.By}, {"date", b.Day()}, {"code", b.Code}}
		})},
		{"own_terms", own}, {"close_by_own_terms", closeByOwn}, {"programme_sha256", report.OrNull(j.Programme)}, {"made_from", j.Made},
		{"way_of_counting", j.Way},
		{"falling", report.Object{{"sections", j.Falls.Sections}, {"slope_per_bay", number(u, verify.Density, j.Falls.Slope)}, {"z", report.Number(j.Falls.Z)}, {"found", j.Falls.Found()}}},
		{"missing_evidence", report.Each(j.Missing, func(l *verify.Lack) report.Object {
			return report.Object{{"ask", l.Ask}, {"have", report.Number(l.Have)}, {"want", report.Number(l.Want)}, {"text", say.Lacking(*l)}}
		})},
		{"inspected_bays", report.Each(j.Inspected, func(x *inspect.Result) report.Object {
			return report.Object{{"section", x.Section}, {"bay", x.Bay}, {"verdict", say.Verdict(x.Verdict)}, {"prob_at_target", report.Number(x.Prob)},
				{"found", x.Found.String()}, {"density", number(u, verify.Density, x.Density)}, {"short", x.Short}, {"counts", x.Counts()}, {"inspector", x.Inspector}, {"date", x.Date}}
		})},
		{"reader_warnings", report.Each(j.Warnings, func(h *audit.Warning) report.Object {
			place := report.PlaceObject(h.Place)
			return slices.Concat(report.Object{{"code", h.Code}, {"text", h.Text}}, place[:2], report.Object{{"count", h.Count}}, place[2:])
		})},
	}...)
}

// verdictOf is the verdict of a bay that needs someone; a bay that is not filled has none.
func verdictOf(b *audit.BayOf) string {
	if b.Plight == audit.NotFilled {
		return ""
	}
	return say.Verdict(b.Verdict)
}

// findingObject is one finding with its sentence, what may be innocent about it, and the figures of
// the sentence under the keys that Codes names.
func findingObject(u say.Units, r *audit.Review, f *plausible.Finding) report.Object {
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

// Made is what a job was made from: the settings that somebody gave, and the digests of its files.
func Made(job *model.Job) (json.RawMessage, error) {
	return report.Object{{"settings", report.GivenSettings(&job.Settings)}, {"inputs", report.Inputs(job)}}.MarshalJSON()
}

// termsObject says by what all jobs were judged, and how many set other terms.
func termsObject(u say.Units, r *audit.Review) report.Object {
	n := termsOfJobs(r)
	return report.Object{{"file", report.OrNull(r.Terms.File)}, {"sha256", report.OrNull(r.Terms.Digest)}, {"target", number(u, verify.Density, r.Terms.Target)},
		{"confidence", report.Number(r.Terms.Confidence)}, {"rule", r.Terms.Rule.String()}, {"jobs_with_own_terms", n.Own}, {"jobs_under_it", n.Same}, {"jobs_under_others", n.Other}, {"jobs_under_none", n.None}, {"text", u.TermsLine(&r.Terms, n)}}
}

// needsObject counts the bays that somebody has to see to, by how they stand and by queue.
func needsObject(u say.Units, n *audit.Needs) report.Object {
	var kinds []report.Object
	for p := range audit.Plight(audit.Plights) {
		_, words := say.Plight(p)
		kinds = append(kinds, report.Object{{"state", words}, {"queue", strings.ToLower(say.QueueWord(p.Queue()))}, {"bays", n.Bays[p]}, {"area", report.Number(n.Area[p] / u.Area().SI)}})
	}
	return report.Object{{"mend", n.In(audit.Mend)}, {"look", n.In(audit.Inspect)}, {"ask", n.In(audit.Ask)}, {"kinds", kinds}}
}

// judgedObject sets inspectors' findings against the verdicts; null where nobody inspected a bay.
func judgedObject(u say.Units, j *inspect.Judged) any {
	if j.Rows == 0 {
		return nil
	}
	rows := func(list []inspect.Row) []report.Object {
		return report.Each(list, func(r *inspect.Row) report.Object {
			return append(report.Object{{"name", r.Name}}, foundObject(&r.Found, r.Stated)...)
		})
	}
	return report.Object{{"rows", j.Rows}, {"told", j.Told}, {"close", foundObject(&j.Close, j.Stated)}, {"not_close", foundObject(&j.Hold, math.NaN())},
		{"by_crew", rows(j.Crews)}, {"by_counting", rows(j.Counting)}, {"by_sureness", rows(j.Sureness)},
		{"density_found_less_read", number(u, verify.Density, j.Differ)}, {"u_density_found_less_read", number(u, verify.Density, j.DifferU)}, {"densities", j.Densities}}
}

// foundObject is a share of short bays, stated and found.
func foundObject(s *compare.Share, stated float64) report.Object {
	return report.Object{{"bays", report.Number(s.N)}, {"short", report.Number(s.K)}, {"stated_share", report.Number(stated)},
		{"found_share", report.Number(s.Share)}, {"found_share_lo", report.Number(s.Lo)}, {"found_share_hi", report.Number(s.Hi)}}
}

// planObject lists the bays to open and what finding none bad proves; null where none were asked
// for.
func planObject(u say.Units, r *audit.Review) any {
	p := r.Plan
	if p == nil {
		return nil
	}
	bound := func(b *inspect.Bound) report.Object {
		return report.Object{{"crew", b.Crew}, {"bays", b.Bays}, {"drawn", b.Drawn}, {"bad_at_most", b.Most}, {"level", report.Number(inspect.Level)}, {"text", say.Bound(*b)}}
	}
	return report.Object{
		{"seed", p.Seed}, {"seed_sha256", p.Digest}, {"asked", p.Asked}, {"given", len(p.Bays)}, {"houses", p.Houses}, {"why", whyFew(p)},
		{"bays", report.Each(p.Bays, func(d *inspect.Drawn) report.Object {
			return report.Object{{"job", r.Jobs[d.Job].Name}, {"crew", d.Crew}, {"section", d.Section}, {"bay", d.Bay}, {"verdict", say.Verdict(d.Verdict)},
				{"density", number(u, verify.Density, d.Density)}, {"prob_at_target", report.Number(d.Prob)}, {"why", say.WhyDrawn(d.Class)}}
		})},
		{"strata", report.Each(p.Strata, func(s *inspect.Stratum) report.Object {
			return report.Object{{"crew", s.Crew}, {"why", say.WhyDrawn(s.Class)}, {"houses", s.Houses}, {"bays", s.Bays}, {"visits", s.Visits}, {"drawn", s.Drawn}}
		})},
		{"none_bad_proves", bound(&p.Bound)}, {"by_crew", report.Each(p.Crews, bound)},
		{"proofs", report.Each(p.Proofs[:], func(x *inspect.Proof) report.Object {
			return report.Object{{"rate", report.Number(x.Rate)}, {"bays", x.Bays}, {"need", x.Need}}
		})},
	}
}
