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

// WriteJSON writes the review as one document, its jobs one after the other: a programme's may be a hundred megabytes.
func WriteJSON(w io.Writer, r *audit.Review, tool report.Tool) error {
	doc, err := indented(newDocument(r, tool), "")
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
		job, err := indented(newJob(units, j), "  ")
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

// newDocument makes all of the document but its jobs.
func newDocument(r *audit.Review, tool report.Tool) *document {
	u := unitsOf(r)
	name := func(d verify.Dim) string { return u.Of(d).Symbol }
	doc := &document{
		Method: verify.Method,
		Tool:   tool,
		Units:  map[string]string{"volume": name(verify.Volume), "mass": name(verify.Mass), "density": name(verify.Density)},
		Totals: newResults(u, "", &r.Tally, r.Pass), Looked: r.Looked, Rate: audit.FalseRate,
		Crews: newGroups(u, r.Crews), Kinds: newGroups(u, r.Kinds), Months: newGroups(u, r.Months),
		Findings: []finding{}, Bad: []bad{},
	}
	for i := range r.Findings {
		doc.Findings = append(doc.Findings, newFinding(u, r, &r.Findings[i]))
	}
	if o := r.Opened; o.Bays > 0 {
		doc.Opened = &openedSum{o.Bays, o.Close.N, o.Close.K, report.Number(o.Close.Lo), report.Number(o.Close.Hi), o.Hold.N, o.Hold.K}
	}
	doc.Sample = newSample(u, r)
	for _, x := range r.Bad {
		doc.Bad = append(doc.Bad, bad{x.Place, x.Faults, x.More})
	}
	return doc
}

func newResults(u say.Units, name string, t *audit.Tally, pass audit.Rate) results {
	r := results{
		Name: name, Jobs: t.Jobs, Sections: t.Sections, Bays: t.Bays, Expected: t.Expected, Filled: t.Filled, Close: t.Close,
		CloseOwn: t.CloseOwn, CloseCrew: t.CloseCrew, Add: t.Add, Measure: t.Measure, Probe: t.Probe, NotFilled: t.NotFilled,
		NotInLog: t.NotInLog, Closed: t.Closed, ClosedNotClose: t.ClosedNotClose, ClosedHold: t.ClosedHold, Measured: t.Measured,
		Pass: report.Number(pass.Share()), PassLo: report.Number(pass.Lo), PassHi: report.Number(pass.Hi),
		Volume: report.Number(u.In(verify.Volume, t.Volume)), Mass: report.Number(u.In(verify.Mass, t.Mass)),
		MassRequired: report.Number(u.In(verify.Mass, t.MassRequired)), Bags: report.Number(t.Bags), Density: report.Number(u.In(verify.Density, t.Density())),
		Lower: report.Number(u.In(verify.Density, t.Lower)), LowerShort: t.LowerShort, LowerKnown: t.LowerKnown, Unaccounted: report.Number(math.NaN()),
	}
	if t.UnaccountedJobs > 0 {
		r.Unaccounted = report.Number(t.Unaccounted)
	}
	return r
}

func newGroups(u say.Units, groups []audit.Group) []results {
	out := make([]results, len(groups))
	at := func(x float64) *report.Number { f := report.Number(x); return &f }
	for i := range groups {
		g := &groups[i]
		out[i] = newResults(u, g.Name, &g.Tally, g.Pass)
		out[i].Shrunk, out[i].FunnelLo, out[i].FunnelHi = at(g.Shrunk), at(g.Lo), at(g.Hi)
		out[i].FunnelOuterLo, out[i].FunnelOuterHi = at(g.OuterLo), at(g.OuterHi)
	}
	return out
}

func newJob(u say.Units, j *audit.Job) jobResults {
	out := jobResults{
		results: newResults(u, j.Name, &j.Tally, j.Pass()), Crew: j.Crew, Site: j.Site, Date: j.Date, Input: j.At.Input,
		Sections: make([]results, len(j.Sections)), Open: []openBay{}, Missing: []lack{}, Opened: []opened{}, Heard: newHeard(j),
	}
	if j.At.Record != "" {
		out.Record = &j.At.Record
	}
	for i := range j.Sections {
		s := &j.Sections[i]
		out.Sections[i] = newResults(u, s.Name, &s.Tally, s.Pass())
	}
	for i := range j.Open {
		b := &j.Open[i]
		out.Open = append(out.Open, openBay{j.SectionOf(b), b.Bay, u.OpenState(b), verdictOf(b), report.Number(u.In(verify.Density, b.Density)), report.Number(b.Prob), string(b.Code)})
	}
	for _, l := range j.Missing {
		out.Missing = append(out.Missing, lack{l.Ask, report.Number(l.Have), report.Number(l.Want), say.Lacking(l)})
	}
	for _, o := range j.Opened {
		out.Opened = append(out.Opened, opened{o.Section, o.Bay, say.Verdict(o.Before), report.Number(u.In(verify.Density, o.Core)), o.Soft, o.Short})
	}
	return out
}

func verdictOf(b *audit.OpenBay) string {
	if b.State == verify.NotFilled {
		return ""
	}
	return say.Verdict(b.Verdict)
}

func newFinding(u say.Units, r *audit.Review, f *audit.Finding) finding {
	out := finding{Code: string(f.Code), Crew: f.Crew, Text: u.Suspect(f), Innocent: say.Innocent(f.Code), Prob: report.Number(f.P), Q: report.Number(f.Q), Data: map[string]any{}}
	for _, j := range f.Jobs {
		out.Jobs = append(out.Jobs, r.Jobs[j].Name)
	}
	for _, d := range f.Data {
		if d.Dim == verify.Name {
			out.Data[d.Key] = d.Text
		} else {
			out.Data[d.Key] = report.Number(u.In(d.Dim, d.Value))
		}
	}
	return out
}

func newSample(u say.Units, r *audit.Review) *sample {
	if r.Sample == nil {
		return nil
	}
	out := &sample{Seed: r.Sample.Seed, Asked: r.Sample.Asked, Bays: []drawn{}, Classes: []class{}, Proofs: []proof{}}
	for i := range r.Sample.Bays {
		d := &r.Sample.Bays[i]
		out.Bays = append(out.Bays, drawn{r.Jobs[d.Job].Name, d.Section, d.Bay, say.Verdict(d.Verdict), report.Number(u.In(verify.Density, d.Density)), report.Number(d.Prob), say.WhyDrawn(d.Stratum)})
	}
	for _, c := range r.Sample.Class {
		out.Classes = append(out.Classes, class{say.WhyDrawn(c.Stratum), c.Bays, c.Drawn, c.Left, audit.Level})
	}
	for _, p := range r.Sample.Proofs {
		out.Proofs = append(out.Proofs, proof{report.Number(p.Rate), p.Bays, p.Need})
	}
	return out
}
