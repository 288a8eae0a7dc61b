package report

import (
	"bayproof/report/say"
	"bayproof/verify"
)

// document is one job as JSON; the order of its fields is the order of the keys.
type document struct {
	Method   int               `json:"method"` // verify.Method
	Tool     Tool              `json:"tool"`
	Job      jobHead           `json:"job"`
	Inputs   []inputFile       `json:"inputs"`
	Units    pairs             `json:"units"`
	Settings pairs             `json:"settings"`
	RuleUsed string            `json:"rule_used"`
	Bays     []bayDocument     `json:"bays"`
	Sections []sectionDocument `json:"sections"`
	Totals   totalsDocument    `json:"totals"`
	Warnings []warningDocument `json:"warnings"`
}

type jobHead struct {
	Name string `json:"name"`
	Date string `json:"date"`
	Crew string `json:"crew"`
	Site string `json:"site"`
}

type inputFile struct {
	File   string `json:"file"`
	SHA256 string `json:"sha256"`
}

type totalsDocument struct {
	Bays            int    `json:"bays"`
	Close           int    `json:"close"`
	Add             int    `json:"add"`
	Measure         int    `json:"measure"`
	Probe           int    `json:"probe"`
	NotFilled       int    `json:"not_filled"`
	NotInLog        int    `json:"not_in_log"`
	Volume          Number `json:"volume"`
	Mass            Number `json:"mass"`
	MassRequired    Number `json:"mass_required"`
	Bags            Number `json:"bags"`
	UnaccountedBags Number `json:"unaccounted_bags"`
}

type warningDocument struct {
	Code    string `json:"code"`
	Text    string `json:"text"`
	File    word   `json:"file"`
	Line    *int   `json:"line"`
	Section word   `json:"section"`
	Bay     word   `json:"bay"`
}

// newDocument puts the findings of one job into the shape of the format.
func newDocument(f *verify.Findings, tool Tool) document {
	w := say.New(f)
	s := f.Job.Settings
	d := document{
		Method:   verify.Method,
		Tool:     tool,
		Job:      jobHead{f.Job.Name, s.Date, s.Crew, s.Site},
		Inputs:   make([]inputFile, 0, len(f.Job.Inputs)),
		Units:    unitNames(w.Units),
		Settings: settingsDocument(f.Job),
		RuleUsed: f.RuleUsed.String(),
		Bays:     make([]bayDocument, 0, len(f.Bays)),
		Sections: make([]sectionDocument, 0, len(f.Sections)),
		Totals:   newTotals(w.Units, f.Totals),
		Warnings: make([]warningDocument, 0, len(f.Warnings)),
	}
	for _, in := range f.Job.Inputs {
		d.Inputs = append(d.Inputs, inputFile{in.File, in.SHA256})
	}
	for i := range f.Bays {
		d.Bays = append(d.Bays, newBayDocument(w, &f.Bays[i]))
	}
	for i := range f.Sections {
		d.Sections = append(d.Sections, newSectionDocument(w, &f.Sections[i]))
	}
	for _, x := range f.Warnings {
		d.Warnings = append(d.Warnings, newWarningDocument(w, x))
	}
	return d
}

func unitNames(u say.Units) pairs {
	return pairs{
		{"length", u.Of(verify.Length).Symbol}, {"volume", u.Of(verify.Volume).Symbol},
		{"mass", u.Of(verify.Mass).Symbol}, {"density", u.Of(verify.Density).Symbol},
	}
}

func newTotals(u say.Units, t verify.Totals) totalsDocument {
	return totalsDocument{
		Bays: t.Bays, Close: t.Close, Add: t.Add, Measure: t.Measure, Probe: t.Probe,
		NotFilled: t.NotFilled, NotInLog: t.NotInLog,
		Volume:          Number(u.In(verify.Volume, t.Volume)),
		Mass:            Number(u.In(verify.Mass, t.Mass)),
		MassRequired:    Number(u.In(verify.Mass, t.MassRequired)),
		Bags:            Number(t.Bags),
		UnaccountedBags: Number(t.UnaccountedBags),
	}
}

func newWarningDocument(w *say.Words, x verify.Warning) warningDocument {
	d := warningDocument{
		Code: string(x.Code), Text: w.Warning(x),
		File: word(x.Src.File), Section: word(x.Section), Bay: word(x.Bay),
	}
	if x.Src.Line > 0 {
		line := x.Src.Line
		d.Line = &line
	}
	return d
}
