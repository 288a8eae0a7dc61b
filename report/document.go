package report

import (
	"bytes"
	"encoding/json"
	"math"

	"bayproof/model"
	"bayproof/report/say"
	"bayproof/report/screen"
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

type bayDocument struct {
	Section           string           `json:"section"`
	Bay               string           `json:"bay"`
	Lines             []int            `json:"lines"`
	State             string           `json:"state"`
	SharedWith        []string         `json:"shared_with"`
	Volume            Number           `json:"volume"`
	Mass              Number           `json:"mass"`
	Bags              Number           `json:"bags"`
	Density           Number           `json:"density"`
	UDensity          Number           `json:"u_density"`
	DOF               Number           `json:"dof"`
	DensityLo         Number           `json:"density_lo"`
	DensityHi         Number           `json:"density_hi"`
	Level             Number           `json:"level"`
	ProbMeasured      Number           `json:"prob_measured"`
	ProbAtTarget      Number           `json:"prob_at_target"`
	Basis             word             `json:"basis"`
	Verdict           word             `json:"verdict"`
	VerdictWhenClosed word             `json:"verdict_when_closed"`
	Reasons           []reasonDocument `json:"reasons"`
	Now               actionDocument   `json:"now"`
	NextBay           adviceDocument   `json:"next_bay"`
	AddMass           Number           `json:"add_mass"`
	AddBags           Number           `json:"add_bags"`
	AddDensity        Number           `json:"add_density"`
	EmptyLength       Number           `json:"empty_length"`
	EmptyLengthLo     Number           `json:"empty_length_lo"`
	EmptyLengthHi     Number           `json:"empty_length_hi"`
	BlindLength       Number           `json:"blind_length"`
	Budget            []budgetDocument `json:"budget"`
}

type reasonDocument struct {
	Code     string `json:"code"`
	Text     string `json:"text"`
	Data     pairs  `json:"data"`
	Answered word   `json:"answered"` // the code of what answered it
}

type actionDocument struct {
	Action word  `json:"action"`
	Text   word  `json:"text"`
	Data   pairs `json:"data"`
}

type adviceDocument struct {
	Input word   `json:"input"`
	Text  word   `json:"text"`
	Prob  Number `json:"prob"`
}

type budgetDocument struct {
	Input string `json:"input"`
	Share Number `json:"share"`
}

func newBayDocument(w *say.Words, b *verify.Bay) bayDocument {
	density := func(x float64) Number { return Number(w.In(verify.Density, x)) }
	length := func(x float64) Number { return Number(w.In(verify.Length, x)) }
	d := bayDocument{
		Section: b.Bay.Section.Name, Bay: b.Bay.Name, Lines: lines(b), State: stateWord(b.State), SharedWith: sharedNames(b),
		Volume: Number(w.In(verify.Volume, b.Volume)), Mass: Number(w.In(verify.Mass, b.Mass)), Bags: Number(b.Bags),
		Density: density(b.Density), UDensity: density(b.U), DOF: Number(b.DOF),
		DensityLo: density(b.Lo), DensityHi: density(b.Hi), Level: Number(levelOf(b)),
		ProbMeasured: Number(b.ProbMeasured), ProbAtTarget: Number(b.ProbAtTarget), Basis: word(basisWord(b)),
		Verdict: word(verdictWord(b)), VerdictWhenClosed: word(closedWord(b)), Reasons: reasons(w, b.Reasons),
		Now:     actionDocument{word(b.Now.Code), word(w.Now(b)), evidence(w.Units, b.Now.Data)},
		NextBay: newAdvice(w, b),
		AddMass: Number(w.In(verify.Mass, b.AddMass)), AddBags: Number(b.AddBags), AddDensity: density(b.AddDensity),
		EmptyLength: length(b.EmptyLength), EmptyLengthLo: length(b.EmptyLengthLo), EmptyLengthHi: length(b.EmptyLengthHi),
		BlindLength: length(b.BlindLength), Budget: make([]budgetDocument, 0, len(b.Budget)),
	}
	for _, share := range b.Budget {
		d.Budget = append(d.Budget, budgetDocument{share.Input, Number(share.Share)})
	}
	return d
}

func newAdvice(w *say.Words, b *verify.Bay) adviceDocument {
	d := adviceDocument{Input: word(b.NextBay.Input), Text: word(w.NextBay(b)), Prob: Number(b.NextBay.Prob)}
	if b.NextBay.Input == "" {
		d.Prob = none()
	}
	return d
}

func reasons(w *say.Words, rs []verify.Reason) []reasonDocument {
	out := make([]reasonDocument, 0, len(rs))
	for _, r := range rs {
		out = append(out, reasonDocument{string(r.Code), w.Reason(r), evidence(w.Units, r.Data), word(r.Answered.Code)})
	}
	return out
}

// lines are the numbers of the log's lines that name the bay.
func lines(b *verify.Bay) []int {
	out := make([]int, 0, len(b.Bay.Rows))
	for _, row := range b.Bay.Rows {
		out = append(out, row.Src.Line)
	}
	return out
}

func sharedNames(b *verify.Bay) []string {
	out := make([]string, 0, len(b.SharedWith))
	for _, other := range b.SharedWith {
		out = append(out, other.Name)
	}
	return out
}

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

type settingDocument struct {
	Value  any    `json:"value"`
	Unit   word   `json:"unit"`
	Source string `json:"source"`
}

// settingsDocument lists every setting in the order of the table, with the place that its value came from.
func settingsDocument(job *model.Job) pairs {
	defs := model.SettingDefs()
	out := make(pairs, 0, len(defs))
	for _, def := range defs {
		out = append(out, pair{def.Name, newSetting(def, &job.Settings)})
	}
	return out
}

func newSetting(def model.SettingDef, s *model.Settings) settingDocument {
	d := settingDocument{Source: s.From[def.Name].String()}
	factor := 1.0
	if def.Kind == model.SettingQuantity || def.Kind == model.SettingWeights || def.Kind == model.SettingDifferences {
		unit := s.Units.Unit(def.Show)
		d.Unit, factor = word(unit.Symbol), unit.Factor
	}
	switch p := def.Field(s).(type) {
	case *float64:
		d.Value = Number(*p / factor)
	case *[]float64:
		list := make([]Number, 0, len(*p))
		for _, x := range *p {
			list = append(list, Number(x/factor))
		}
		d.Value = list
	case *bool:
		d.Value = *p
	default:
		text, _ := def.Word(s)
		d.Value = word(text)
	}
	return d
}

// word is a key of the format that is null in JSON where there is none.
type word string

// MarshalJSON writes null for no word.
func (w word) MarshalJSON() ([]byte, error) {
	if w == "" {
		return []byte("null"), nil
	}
	return plainJSON(string(w))
}

// pairs is an object whose keys keep their order.
type pairs []pair

type pair struct {
	key   string
	value any
}

// MarshalJSON writes the keys in their order.
func (p pairs) MarshalJSON() ([]byte, error) {
	out := []byte{'{'}
	for i, x := range p {
		if i > 0 {
			out = append(out, ',')
		}
		key, err := plainJSON(x.key)
		if err != nil {
			return nil, err
		}
		value, err := plainJSON(x.value)
		if err != nil {
			return nil, err
		}
		out = append(append(append(out, key...), ':'), value...)
	}
	return append(out, '}'), nil
}

// plainJSON encodes without turning < and & into escapes: the document is not part of a page.
func plainJSON(v any) ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	err := enc.Encode(v)
	return bytes.TrimSuffix(b.Bytes(), []byte("\n")), err
}

// AppendJSON appends the document of one job and a line end: on one line, or indented for reading.
func AppendJSON(dst []byte, f *verify.Findings, tool Tool, indent bool) ([]byte, error) {
	line, err := plainJSON(newDocument(f, tool))
	if err != nil {
		return dst, err
	}
	if indent {
		var b bytes.Buffer
		if err := json.Indent(&b, line, "", "  "); err != nil {
			return dst, err
		}
		line = b.Bytes()
	}
	return append(append(dst, screen.JSON(line)...), '\n'), nil
}

// evidence returns the data of a finding as an object, in the job's units. Places to probe, each with where it lies,
// become a list under "places".
func evidence(u say.Units, data []verify.Datum) pairs {
	out := make(pairs, 0, len(data))
	var places []pairs
	for _, d := range data {
		p := pair{d.Key, Number(u.In(d.Dim, d.Value))}
		if d.Dim == verify.Name {
			p.value = d.Text
		}
		switch {
		case d.Key == "place":
			places = append(places, pairs{p})
		case len(places) > 0 && (d.Key == "from" || d.Key == "to" || d.Key == "at"):
			places[len(places)-1] = append(places[len(places)-1], p)
		default:
			out = append(out, p)
		}
	}
	if places != nil {
		out = append(out, pair{"places", places})
	}
	return out
}

// Tool names the program that made a document.
type Tool struct {
	Name    string `json:"name"`
	Version string `json:"version"`
}

// Number is a float64 that is null in JSON where it does not exist; infinite degrees of freedom do not either.
type Number float64

// MarshalJSON writes full precision.
func (n Number) MarshalJSON() ([]byte, error) {
	if math.IsNaN(float64(n)) || math.IsInf(float64(n), 0) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(n))
}
