package report

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"slices"

	"bayproof/model"
	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
	"bayproof/verify/measure"
)

// AppendJSON appends the document of one job and a line end: on one line, or indented for reading.
func AppendJSON(dst []byte, f *verify.Findings, tool Tool, indent bool) ([]byte, error) {
	return AppendObject(dst, jobObject(f, tool), indent)
}

// AppendObject appends a whole document and a line end, in either form.
func AppendObject(dst []byte, document Object, indent bool) ([]byte, error) {
	text, err := document.MarshalJSON()
	if err != nil {
		return dst, err
	}
	// MarshalJSON leaves line ends between the values: json.Compact and json.Indent set all of them
	// anew.
	var b bytes.Buffer
	if indent {
		err = json.Indent(&b, text, "", "  ")
	} else {
		err = json.Compact(&b, text)
	}
	return append(append(dst, screen.JSON(b.Bytes())...), '\n'), err
}

// The parts of the document from here on. Whatever a reader may hold the tool to stands in it:
// figures unrounded and in the job's units, reasons as codes with their evidence, and beside both
// the sentence that the text shows.

// Tool names the program that made a document. Text is its TextDigest, which is handed in so that
// the phone's page, whose job carries it, need not carry the templates.
type Tool struct {
	Name    string `json:"name"`
	Version string `json:"version"`
	Text    string `json:"-"`
}

// Number is a float64 that is null in JSON where it does not exist: NaN stands for that everywhere
// in verify. Infinite degrees of freedom (nothing was estimated from readings) are null too, since
// JSON has no infinity.
type Number float64

// MarshalJSON writes the shortest digits that read back as the same float64.
func (n Number) MarshalJSON() ([]byte, error) {
	if math.IsNaN(float64(n)) || math.IsInf(float64(n), 0) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(n))
}

// Object is an object of a JSON document: keys, each with its value, in the order in which they are
// written, which is that of the format.
type Object [][2]any

// MarshalJSON writes the keys in their order, which a map would lose. < and & stand as they are:
// the document is no part of a page. The line end that Encode puts behind every value stays;
// encoding/json takes it out where it takes the object in.
func (o Object) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	sep := byte('{')
	for _, x := range o {
		b.WriteByte(sep)
		sep = ','
		key := enc.Encode(x[0])
		b.WriteByte(':')
		if err := errors.Join(key, enc.Encode(x[1])); err != nil {
			return nil, err
		}
	}
	if len(o) == 0 {
		b.WriteByte('{')
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// OrNull is a word of the format, null where there is none; countOrNull a number from 1.
func OrNull(word string) any {
	if word == "" {
		return nil
	}
	return word
}

// countOrNull is a count of which 0 means that nobody said it.
func countOrNull(n int) any {
	if n <= 0 {
		return nil
	}
	return n
}

// Each is how lists get into a document: it makes an object of every element of a list; a list
// without any is [] and not null.
func Each[T any](list []T, object func(*T) Object) []Object {
	out := make([]Object, 0, len(list))
	for i := range list {
		out = append(out, object(&list[i]))
	}
	return out
}

// jobObject is the whole document: it puts the findings of one job into the shape of the format.
func jobObject(f *verify.Findings, tool Tool) Object {
	w := say.New(f).InEnglish()
	s := &f.Job.Settings
	return Object{
		{"schema", SchemaName("check")}, {"method", verify.Method}, {"text", tool.Text}, {"lang", "en"},
		{"tool", tool},
		{"job", Object{{"name", f.Job.Name}, {"date", s.Date}, {"crew", s.Crew}, {"site", s.Site}}},
		{"inputs", Inputs(f.Job)},
		{"units", UnitsObject(w.Units)},
		{"terms", TermsObject(f.Job.Terms)},
		{"settings", settings(s)}, // those that sections override are the job's here
		{"rule_used", f.RuleUsed.String()},
		{"bays", Each(slices.Concat(f.Bays, f.Left), func(b *verify.Bay) Object { return bayObject(w, b) })},
		{"sections", Each(f.Sections, func(s *verify.Section) Object { return sectionObject(w, s) })},
		{"totals", totals(w, f)},
		{"journal", journalObject(f.Job.Journals.Log)}, {"core_journal", journalObject(f.Job.Journals.Cores)},
		{"warnings", Each(f.Warnings, func(x *verify.Warning) Object { return warningObject(w, x) })},
	}
}

// UnitsObject names the units of a job's figures.
func UnitsObject(u say.Units) Object {
	return Object{
		{"length", u.Of(verify.Length).Symbol}, {"volume", u.Of(verify.Volume).Symbol},
		{"mass", u.Of(verify.Mass).Symbol}, {"density", u.Of(verify.Density).Symbol},
	}
}

// Inputs are the digests of a job's files, the log first.
func Inputs(job *model.Job) []Object {
	return Each(job.Inputs, func(in *model.Input) Object { return Object{{"file", in.File}, {"sha256", in.SHA256}} })
}

// TermsObject is the file of the program's terms that governed; null where none did.
func TermsObject(in *model.Terms) any {
	if in == nil {
		return nil
	}
	return Object{{"file", in.File}, {"sha256", in.SHA256}}
}

// journalObject is what came of a journal; null where there is none.
func journalObject(j *model.Journal) any {
	if j == nil {
		return nil
	}
	return Object{
		{"rows", j.Rows}, {"end", j.End}, {"agrees", j.Agrees()}, {"gone", j.Gone}, {"changed", j.Changed}, {"besides", j.Besides}, {"moved", j.Moved},
		{"accepted", j.Accepted}, {"broken", countOrNull(j.Broken)},
	}
}

// totals are the counts of bays by verdict and state, and what went in against what the target
// takes.
func totals(w *say.Words, f *verify.Findings) Object {
	u, t, st := w.Units, &f.Totals, &f.Job.Settings
	return Object{
		{"bays", t.Bays}, {"close", t.Close}, {"add", t.Add}, {"measure", t.Measure}, {"probe", t.Probe},
		{"not_filled", t.NotFilled}, {"not_in_log", t.NotInLog}, {"left", t.Left}, {"decided", t.Decided}, {"closed_not_close", t.ClosedNotClose},
		{"counts", t.Counts.String()}, {"density_most", Number(u.In(verify.Density, t.DensityMost))}, {"reasons", reasons(w, t.Reasons)},
		{"now", order(w, &t.Now, w.Order(&t.Now), w.OrderLine(&t.Now))},
		{"volume", Number(u.In(verify.Volume, t.Volume))},
		{"mass", Number(u.In(verify.Mass, t.Mass))}, {"mass_required", Number(u.In(verify.Mass, t.MassRequired))},
		{"bags", Number(t.Bags)}, {"bags_loaded", Number(st.BagsLoaded)}, {"bags_left", Number(st.BagsLeft)},
		{"bags_elsewhere", Number(t.Elsewhere)}, {"bags_used", Number(t.Emptied)}, {"unaccounted_bags", Number(t.UnaccountedBags)},
	}
}

// warningObject is one warning with the place that it speaks of.
func warningObject(w *say.Words, x *verify.Warning) Object {
	place := PlaceObject(x.Src)
	return slices.Concat(Object{{"code", x.Code}, {"text", w.Warning(*x)}}, place[:2], Object{{"section", OrNull(x.Section)}, {"bay", OrNull(x.Bay)}}, place[2:])
}

// FaultObject is one fault: what is wrong, what to type, and where.
func FaultObject(f *model.Fault) Object {
	return append(Object{{"text", f.What}, {"hint", OrNull(f.Hint)}}, PlaceObject(f.Src)...)
}

// PlaceObject is a place as the file has it, then as a spreadsheet shows it: a number of 0 is none.
func PlaceObject(p model.Place) Object {
	return Object{{"file", OrNull(p.File)}, {"line", countOrNull(p.Line)}, {"column", countOrNull(p.Col)}, {"row", countOrNull(p.Row)},
		{"letter", OrNull(model.Letter(p.Col))}, {"title", OrNull(p.Title)}}
}

// bayObject is one bay with its figures in the job's units: what was measured, how sure is what
// follows from it, the verdict with its reasons, what can be done now and what would have served,
// then what is only known of some bays. Its flat keys are the columns of the CSV format.
func bayObject(w *say.Words, b *verify.Bay) Object {
	in := func(dim verify.Dim, x float64) Number { return Number(w.In(dim, x)) }
	lines := make([]int, 0, len(b.Bay.Rows)) // of the log, that name the bay
	for _, row := range b.Bay.Rows {
		lines = append(lines, row.Src.Line)
	}
	shared := make([]string, 0, len(b.Bay.SharedWith))
	for _, other := range b.Bay.SharedWith {
		shared = append(shared, other.Name)
	}
	next := Object{{"input", nil}, {"text", nil}, {"prob", nil}}
	if a := b.NextBay; a != nil {
		next = Object{{"input", a.Input}, {"text", w.NextBay(b)}, {"prob", Number(a.Prob)}}
	}
	decided := Object{{"by", nil}, {"note", nil}} // who closed a bay that was not CLOSE, and why
	if d := b.Bay.Decided; d != nil {
		decided = Object{{"by", OrNull(d.By)}, {"note", OrNull(d.Note)}}
	}
	basis, verdict, today := verdictWords(b)
	return Object{
		{"section", b.Bay.Section.Name}, {"bay", b.Bay.Name}, {"lines", lines}, {"state", stateWords[b.State]}, {"shared_with", shared},
		{"volume", in(verify.Volume, b.Volume)}, {"mass", in(verify.Mass, b.Mass)}, {"bags", Number(b.Bags)},
		{"density", in(verify.Density, b.Density)}, {"u_density", in(verify.Density, b.U)}, {"dof", Number(b.DOF)},
		{"density_lo", in(verify.Density, b.Lo)}, {"density_hi", in(verify.Density, b.Hi)}, {"level", Number(levelOf(b))},
		{"prob_measured", Number(b.ProbMeasured)}, {"prob_at_target", Number(b.ProbAtTarget)}, {"basis", OrNull(basis)},
		{"verdict", OrNull(verdict)}, {"verdict_when_closed", OrNull(closedWord(b))},
		{"verdict_today", OrNull(today)}, {"prob_today", Number(b.ProbToday)}, {"decided", decided},
		{"reasons", reasons(w, b.Reasons)},
		{"now", order(w, &b.Now, w.Now(b), w.Line(b))},
		{"next_bay", next},
		{"add_mass", in(verify.Mass, b.AddMass)}, {"add_bags", Number(b.AddBags)}, {"add_density", in(verify.Density, b.AddDensity)},
		{"empty_length", in(verify.Length, b.EmptyLength)},
		{"empty_length_lo", in(verify.Length, b.EmptyLengthLo)}, {"empty_length_hi", in(verify.Length, b.EmptyLengthHi)},
		{"could_hide", in(verify.Length, b.CouldHide)},
		{"budget", Each(b.Budget, func(x *measure.Share) Object { return Object{{"input", x.Input}, {"share", Number(x.Share)}} })},
	}
}

// reasons are those of a bay or a section; answered is the code of what answered one.
func reasons(w *say.Words, list []verify.Reason) []Object {
	return Each(list, func(r *verify.Reason) Object {
		return Object{{"code", r.Code}, {"text", w.Reason(*r)}, {"data", evidence(w.Units, r.Data)}, {"answered", OrNull(string(r.Answered.Code))}}
	})
}

// sectionObject is what a section's bays say together. Mean, sd and lower_tolerance are of the
// packing, freed of the noise of measuring, and exist under rule process alone.
func sectionObject(w *say.Words, s *verify.Section) Object {
	in := func(dim verify.Dim, x float64) Number { return Number(w.In(dim, x)) }
	var expected any // nobody said
	if s.Expected >= 0 {
		expected = s.Expected
	}
	d := s.Drift
	// A slope is a density a bay; z is the slope over its standard uncertainty.
	if d.Method == "" { // the order of filling could not be judged: no figures
		d.Slope, d.USlope, d.Z = math.NaN(), math.NaN(), math.NaN()
	}
	return Object{
		{"section", s.Section.Name}, {"bays", s.Bays}, {"bays_expected", expected},
		{"volume", in(verify.Volume, s.Volume)}, {"mass", in(verify.Mass, s.Mass)}, {"mass_required", in(verify.Mass, s.MassRequired)},
		{"bags", Number(s.Bags)}, {"bags_required", Number(s.BagsRequired)},
		{"density", in(verify.Density, s.Density)}, {"u_density", in(verify.Density, s.U)}, {"prob_at_target", Number(s.ProbAtTarget)},
		{"mean", in(verify.Density, s.Mean)}, {"sd", in(verify.Density, s.SD)}, {"lower_tolerance", in(verify.Density, s.LowerTolerance)},
		{"drift", Object{
			{"method", OrNull(d.Method)}, {"slope", in(verify.Density, d.Slope)}, {"u_slope", in(verify.Density, d.USlope)}, {"z", Number(d.Z)}, {"found", d.Found},
		}},
		{"reasons", reasons(w, s.Reasons)},
		{"now", order(w, &s.Now, w.Order(&s.Now), w.OrderLine(&s.Now))},
	}
}

// settings lists every setting in the order of the table, with its unit and the place that its
// value came from.
func settings(s *model.Settings) Object {
	return settingsFrom(s, func(_ model.SettingDef, from model.Origin) string { return from.String() })
}

// GivenSettings lists those of a reviewed job that a verdict rests on and that are not the default;
// the terms may be a review's without a file.
func GivenSettings(s *model.Settings) Object {
	return settingsFrom(s, func(def model.SettingDef, from model.Origin) string {
		switch {
		case from == model.OriginDefault || def.Bears == model.BearsNothing:
			return ""
		case from == model.OriginTerms:
			return "terms"
		}
		return from.String()
	})
}

// settingsFrom leaves out settings to which word gives none.
func settingsFrom(s *model.Settings, word func(model.SettingDef, model.Origin) string) Object {
	out := Object{}
	for _, def := range model.SettingDefs() {
		source := word(def, s.From[def.Name])
		if source == "" {
			continue
		}
		var unit any
		factor := 1.0 // counts, shares and words have no unit
		if def.Kind == model.SettingQuantity || def.Kind == model.SettingWeights || def.Kind == model.SettingDifferences {
			u := s.Units.Unit(def.Show)
			unit, factor = u.Symbol, u.Factor
		}
		out = append(out, [2]any{def.Name, Object{{"value", settingValue(def, s, factor)}, {"unit", unit}, {"source", source}}})
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
	}
	text, _ := def.Word(s)
	return OrNull(text)
}

// order is the one thing to do; what has several values is a list.
func order(w *say.Words, o *verify.Order, text, line string) Object {
	out := Object{}
	for _, x := range evidence(w.Units, o.Data) {
		if key := x[0]; key == "at" || key == "with" {
			at := slices.IndexFunc(out, func(y [2]any) bool { return y[0] == key })
			if at >= 0 {
				out[at][1] = append(out[at][1].([]any), x[1])
				continue
			}
			x[1] = []any{x[1]}
		}
		out = append(out, x)
	}
	if o.Action != "" {
		out = append(out, [2]any{"minutes", o.Minutes})
	}
	return Object{{"action", OrNull(string(o.Action))}, {"text", OrNull(text)}, {"data", out}, {"log", OrNull(line)}}
}

// evidence returns the data of a finding as an object, in the job's units.
func evidence(u say.Units, data []verify.Datum) Object {
	out := make(Object, 0, len(data))
	for _, d := range data {
		value := any(Number(u.In(d.Dim, d.Value)))
		if d.Dim == verify.Name {
			value = d.Text
		}
		out = append(out, [2]any{d.Key, value})
	}
	return out
}
