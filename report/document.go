package report

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"

	"bayproof/model"
	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
	"bayproof/verify/measure"
)

// AppendJSON appends the document of one job and a line end: on one line, or indented for reading.
func AppendJSON(dst []byte, f *verify.Findings, tool Tool, indent bool) ([]byte, error) {
	text, err := jobObject(f, tool).MarshalJSON()
	if err != nil {
		return dst, err
	}
	// MarshalJSON leaves line ends between the values: json.Compact and json.Indent set all of them anew.
	var b bytes.Buffer
	if indent {
		err = json.Indent(&b, text, "", "  ")
	} else {
		err = json.Compact(&b, text)
	}
	return append(append(dst, screen.JSON(b.Bytes())...), '\n'), err
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

// pairs is an object of the document: its keys keep the order in which they are written here, which is that of the format.
type pairs []pair

type pair struct {
	key   string
	value any
}

// MarshalJSON writes the keys in their order. < and & stand as they are: the document is no part of a page.
func (p pairs) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	sep := byte('{')
	for _, x := range p {
		b.WriteByte(sep)
		sep = ','
		key := enc.Encode(x.key)
		b.WriteByte(':')
		if err := errors.Join(key, enc.Encode(x.value)); err != nil {
			return nil, err
		}
	}
	if len(p) == 0 {
		b.WriteByte('{')
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// orNull is a word of the format, null where there is none.
func orNull(word string) any {
	if word == "" {
		return nil
	}
	return word
}

// each makes an object of every element of a list; a list without any is [] and not null.
func each[T any](list []T, object func(*T) pairs) []pairs {
	out := make([]pairs, 0, len(list))
	for i := range list {
		out = append(out, object(&list[i]))
	}
	return out
}

// jobObject puts the findings of one job into the shape of the format.
func jobObject(f *verify.Findings, tool Tool) pairs {
	w := say.New(f)
	s := &f.Job.Settings
	return pairs{
		{"method", verify.Method},
		{"tool", tool},
		{"job", pairs{{"name", f.Job.Name}, {"date", s.Date}, {"crew", s.Crew}, {"site", s.Site}}},
		{"inputs", each(f.Job.Inputs, func(in *model.Input) pairs { return pairs{{"file", in.File}, {"sha256", in.SHA256}} })},
		{"units", pairs{
			{"length", w.Of(verify.Length).Symbol}, {"volume", w.Of(verify.Volume).Symbol},
			{"mass", w.Of(verify.Mass).Symbol}, {"density", w.Of(verify.Density).Symbol},
		}},
		{"settings", settings(s)},
		{"rule_used", f.RuleUsed.String()},
		{"bays", each(f.Bays, func(b *verify.Bay) pairs { return bayObject(w, b) })},
		{"sections", each(f.Sections, func(s *verify.Section) pairs { return sectionObject(w, s) })},
		{"totals", totals(w.Units, &f.Totals)},
		{"warnings", each(f.Warnings, func(x *verify.Warning) pairs { return warningObject(w, x) })},
	}
}

func totals(u say.Units, t *verify.Totals) pairs {
	return pairs{
		{"bays", t.Bays}, {"close", t.Close}, {"add", t.Add}, {"measure", t.Measure}, {"probe", t.Probe},
		{"not_filled", t.NotFilled}, {"not_in_log", t.NotInLog},
		{"volume", Number(u.In(verify.Volume, t.Volume))},
		{"mass", Number(u.In(verify.Mass, t.Mass))}, {"mass_required", Number(u.In(verify.Mass, t.MassRequired))},
		{"bags", Number(t.Bags)}, {"unaccounted_bags", Number(t.UnaccountedBags)},
	}
}

func warningObject(w *say.Words, x *verify.Warning) pairs {
	var line any
	if x.Src.Line > 0 {
		line = x.Src.Line
	}
	return pairs{
		{"code", x.Code}, {"text", w.Warning(*x)}, {"file", orNull(x.Src.File)}, {"line", line},
		{"section", orNull(x.Section)}, {"bay", orNull(x.Bay)},
	}
}

// bayObject is one bay with its figures in the job's units. Its flat keys are the columns of the CSV format.
func bayObject(w *say.Words, b *verify.Bay) pairs {
	in := func(dim verify.Dim, x float64) Number { return Number(w.In(dim, x)) }
	lines := make([]int, 0, len(b.Bay.Rows)) // of the log, that name the bay
	for _, row := range b.Bay.Rows {
		lines = append(lines, row.Src.Line)
	}
	shared := make([]string, 0, len(b.SharedWith))
	for _, other := range b.SharedWith {
		shared = append(shared, other.Name)
	}
	prob := Number(b.NextBay.Prob)
	if b.NextBay.Input == "" { // no advice
		prob = Number(math.NaN())
	}
	return pairs{
		{"section", b.Bay.Section.Name}, {"bay", b.Bay.Name}, {"lines", lines}, {"state", stateWord(b.State)}, {"shared_with", shared},
		{"volume", in(verify.Volume, b.Volume)}, {"mass", in(verify.Mass, b.Mass)}, {"bags", Number(b.Bags)},
		{"density", in(verify.Density, b.Density)}, {"u_density", in(verify.Density, b.U)}, {"dof", Number(b.DOF)},
		{"density_lo", in(verify.Density, b.Lo)}, {"density_hi", in(verify.Density, b.Hi)}, {"level", Number(levelOf(b))},
		{"prob_measured", Number(b.ProbMeasured)}, {"prob_at_target", Number(b.ProbAtTarget)}, {"basis", orNull(basisWord(b))},
		{"verdict", orNull(verdictWord(b))}, {"verdict_when_closed", orNull(closedWord(b))},
		{"reasons", reasons(w, b.Reasons)},
		{"now", pairs{{"action", orNull(string(b.Now.Code))}, {"text", orNull(w.Now(b))}, {"data", evidence(w.Units, b.Now.Data)}}},
		{"next_bay", pairs{{"input", orNull(b.NextBay.Input)}, {"text", orNull(w.NextBay(b))}, {"prob", prob}}},
		{"add_mass", in(verify.Mass, b.AddMass)}, {"add_bags", Number(b.AddBags)}, {"add_density", in(verify.Density, b.AddDensity)},
		{"empty_length", in(verify.Length, b.EmptyLength)},
		{"empty_length_lo", in(verify.Length, b.EmptyLengthLo)}, {"empty_length_hi", in(verify.Length, b.EmptyLengthHi)},
		{"blind_length", in(verify.Length, b.BlindLength)},
		{"budget", each(b.Budget, func(x *measure.Share) pairs { return pairs{{"input", x.Input}, {"share", Number(x.Share)}} })},
	}
}

// reasons are those of a bay or a section; answered is the code of what answered one.
func reasons(w *say.Words, list []verify.Reason) []pairs {
	return each(list, func(r *verify.Reason) pairs {
		return pairs{{"code", r.Code}, {"text", w.Reason(*r)}, {"data", evidence(w.Units, r.Data)}, {"answered", orNull(string(r.Answered.Code))}}
	})
}

func sectionObject(w *say.Words, s *verify.Section) pairs {
	in := func(dim verify.Dim, x float64) Number { return Number(w.In(dim, x)) }
	var expected any
	if s.Expected >= 0 {
		expected = s.Expected
	}
	d := s.Drift
	if d.Method == "" { // the order of filling could not be judged: no figures
		d.Slope, d.USlope, d.Z = math.NaN(), math.NaN(), math.NaN()
	}
	return pairs{
		{"section", s.Section.Name}, {"bays", s.Bays}, {"bays_expected", expected},
		{"volume", in(verify.Volume, s.Volume)}, {"mass", in(verify.Mass, s.Mass)}, {"mass_required", in(verify.Mass, s.MassRequired)},
		{"bags", Number(s.Bags)}, {"bags_required", Number(s.BagsRequired)},
		{"density", in(verify.Density, s.Density)}, {"u_density", in(verify.Density, s.U)}, {"prob_at_target", Number(s.ProbAtTarget)},
		{"mean", in(verify.Density, s.Mean)}, {"sd", in(verify.Density, s.SD)}, {"lower_tolerance", in(verify.Density, s.LowerTolerance)},
		{"drift", pairs{ // density a bay
			{"method", orNull(d.Method)}, {"slope", in(verify.Density, d.Slope)}, {"u_slope", in(verify.Density, d.USlope)}, {"z", Number(d.Z)}, {"found", d.Found},
		}},
		{"reasons", reasons(w, s.Reasons)},
	}
}

// settings lists every setting in the order of the table, with its unit and the place that its value came from.
func settings(s *model.Settings) pairs {
	var out pairs
	for _, def := range model.SettingDefs() {
		var unit any
		factor := 1.0
		if def.Kind == model.SettingQuantity || def.Kind == model.SettingWeights {
			u := s.Units.Unit(def.Show)
			unit, factor = u.Symbol, u.Factor
		}
		out = append(out, pair{def.Name, pairs{{"value", settingValue(def, s, factor)}, {"unit", unit}, {"source", s.From[def.Name].String()}}})
	}
	return out
}

// settingValue is a number or a list of numbers, divided by the unit's factor, or a word.
func settingValue(def model.SettingDef, s *model.Settings, factor float64) any {
	switch p := def.Field(s).(type) {
	case *float64:
		return Number(*p / factor)
	case *[]float64:
		list := make([]Number, 0, len(*p))
		for _, x := range *p {
			list = append(list, Number(x/factor))
		}
		return list
	case *bool:
		return *p
	}
	text, _ := def.Word(s)
	return orNull(text)
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
