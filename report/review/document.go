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

// document is the review as JSON: numbers in the units of the first job, at full precision.
type document struct {
	Method   int               `json:"method"` // verify.Method
	Tool     report.Tool       `json:"tool"`
	Units    map[string]string `json:"units"`
	Totals   results           `json:"totals"`
	Crews    []results         `json:"crews"`
	Kinds    []results         `json:"section_kinds"`
	Months   []results         `json:"months"`
	Jobs     []jobResults      `json:"jobs"`
	Looked   int               `json:"looked_at"`
	Rate     report.Number     `json:"false_discovery_rate"`
	Findings []finding         `json:"findings"`
	Opened   *openedSum        `json:"opened"`
	Sample   *sample           `json:"sample"`
	Bad      []bad             `json:"not_read"`
}

// results are the figures of some bays.
type results struct {
	Name           string         `json:"name"`
	Jobs           int32          `json:"jobs"`
	Sections       int32          `json:"sections"`
	Bays           int32          `json:"bays"`
	Expected       int32          `json:"bays_expected"`
	Filled         int32          `json:"filled"`
	Close          int32          `json:"close"`
	CloseOwn       int32          `json:"close_own"`
	CloseCrew      int32          `json:"close_crew"`
	Add            int32          `json:"add"`
	Measure        int32          `json:"measure"`
	Probe          int32          `json:"probe"`
	NotFilled      int32          `json:"not_filled"`
	NotInLog       int32          `json:"not_in_log"`
	Closed         int32          `json:"closed"`
	ClosedNotClose int32          `json:"closed_not_close"`
	ClosedHold     int32          `json:"closed_now_or_then_not_close"`
	Measured       int32          `json:"bays_measured"`
	Pass           report.Number  `json:"pass_rate"`
	PassLo         report.Number  `json:"pass_rate_lo"`
	PassHi         report.Number  `json:"pass_rate_hi"`
	Shrunk         *report.Number `json:"pass_rate_shrunk,omitempty"`
	FunnelLo       *report.Number `json:"funnel_lo,omitempty"`
	FunnelHi       *report.Number `json:"funnel_hi,omitempty"`
	FunnelOuterLo  *report.Number `json:"funnel_outer_lo,omitempty"`
	FunnelOuterHi  *report.Number `json:"funnel_outer_hi,omitempty"`
	Volume         report.Number  `json:"volume"`
	Mass           report.Number  `json:"mass"`
	MassRequired   report.Number  `json:"mass_required"`
	Bags           report.Number  `json:"bags"`
	Density        report.Number  `json:"density"`
	Lower          report.Number  `json:"lower_tolerance"`
	LowerShort     int32          `json:"sections_lower_short"`
	LowerKnown     int32          `json:"sections_lower_known"`
	Unaccounted    report.Number  `json:"unaccounted_bags"`
}

type jobResults struct {
	results
	Crew     string    `json:"crew"`
	Site     string    `json:"site"`
	Date     string    `json:"date"`
	Input    string    `json:"input"`
	Record   *string   `json:"record"`
	Sections []results `json:"by_section"`
	Open     []openBay `json:"open_bays"`
	Missing  []lack    `json:"missing_evidence"`
	Opened   []opened  `json:"opened_bays"`
	Heard    []heard   `json:"reader_warnings"`
}

type openBay struct {
	Section string        `json:"section"`
	Bay     string        `json:"bay"`
	State   string        `json:"state"`
	Verdict string        `json:"verdict"`
	Density report.Number `json:"density"`
	Prob    report.Number `json:"prob_at_target"`
	Code    string        `json:"code"`
}

type lack struct {
	Ask  string        `json:"ask"`
	Have report.Number `json:"have"`
	Want report.Number `json:"want"`
	Text string        `json:"text"`
}

type opened struct {
	Section string        `json:"section"`
	Bay     string        `json:"bay"`
	Before  string        `json:"verdict_before"`
	Core    report.Number `json:"core"`
	Soft    bool          `json:"soft"`
	Short   bool          `json:"short"`
}

type finding struct {
	Code     string         `json:"code"`
	Crew     string         `json:"crew"`
	Jobs     []string       `json:"jobs"`
	Text     string         `json:"text"`
	Innocent string         `json:"innocent"`
	Prob     report.Number  `json:"prob_honest"`
	Q        report.Number  `json:"q"`
	Data     map[string]any `json:"data"`
}

type openedSum struct {
	Bays       int           `json:"bays"`
	Close      int           `json:"called_close"`
	CloseShort int           `json:"called_close_short"`
	ShareLo    report.Number `json:"called_close_short_lo"`
	ShareHi    report.Number `json:"called_close_short_hi"`
	Hold       int           `json:"on_hold"`
	HoldShort  int           `json:"on_hold_short"`
}

type sample struct {
	Seed    uint64  `json:"seed"`
	Asked   int     `json:"asked"`
	Bays    []drawn `json:"bays"`
	Classes []class `json:"classes"`
	Proofs  []proof `json:"proofs"`
}

type drawn struct {
	Job     string        `json:"job"`
	Section string        `json:"section"`
	Bay     string        `json:"bay"`
	Verdict string        `json:"verdict"`
	Density report.Number `json:"density"`
	Prob    report.Number `json:"prob_at_target"`
	Why     string        `json:"why"`
}

type class struct {
	Why   string        `json:"why"`
	Bays  int           `json:"bays"`
	Drawn int           `json:"drawn"`
	Left  int           `json:"bad_left_possible"`
	Level report.Number `json:"level"`
}

type proof struct {
	Rate report.Number `json:"rate"`
	Bays int           `json:"bays"`
	Need int           `json:"need"`
}

type bad struct {
	Place  string   `json:"place"`
	Faults []string `json:"faults"`
	More   int      `json:"more_faults"`
}

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
