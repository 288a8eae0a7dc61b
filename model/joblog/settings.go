// Settings: from what is given on the command line, in the program's terms, in job.csv, in a row of
// sections.csv and by default, the values that hold, each with where it came from (model.Origin).
// The table of settings in model says how each is read and what its range is; what must hold
// between settings is checked here.

package joblog

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"bayproof/model"
	"bayproof/model/cell"
)

// Given is the text that one source gives for one setting, with its place.
type Given struct {
	Name  string // as in the table of settings
	Text  string
	Src   model.Place
	Comma bool // its file's decimal mark is a comma
	// In is the system of units that a bare number is in; nil for the job's.
	In *model.System
}

// Resolver resolves settings: a flag, else the section's row, else the job's own value, else the
// default. One serves all jobs of a run; use does not change it.
type Resolver struct {
	defs  []model.SettingDef
	index map[string]int
	flags []Given // in the order of the table
	terms *Terms
	own   []Given // what a job has of its own where these terms hold: beats what its files give
	base  [2]base // by system of units, which decides what a bare number in a flag means
}

// base is a job that gives nothing: defaults and flags.
type base struct {
	settings model.Settings
	late     []model.Fault // faults of flags that hold in this system alone
}

// NewResolver reads the flags, by setting name or by flag name. Faults name the flag as their file.
func NewResolver(flags map[string]string) (*Resolver, []model.Fault) { return newResolver(flags, nil) }

// newResolver reads flags and terms.
func newResolver(flags map[string]string, terms *Terms) (*Resolver, []model.Fault) {
	r := &Resolver{defs: model.SettingDefs(), index: map[string]int{}, terms: terms}
	for i, d := range r.defs {
		r.index[d.Name] = i
		for _, name := range []string{d.Name, d.Flag()} {
			if text, ok := flags[name]; ok {
				r.flags = append(r.flags, Given{Name: d.Name, Text: text, Src: model.Place{Source: model.Source{File: "--" + d.Flag()}}})
				break
			}
		}
	}
	us, badUS := r.start(model.US)
	si, badSI := r.start(model.SI)
	r.base = [2]base{{settings: us}, {settings: si}}
	if sys, ok := unitsIn(r.flags); ok {
		return r, [2][]model.Fault{badUS, badSI}[sys]
	}
	// A flag that is at fault in both systems is told at once, one whose bare number is too much in
	// one of them with the job.
	in := func(list []model.Fault) func(model.Fault) bool {
		return func(f model.Fault) bool {
			return slices.ContainsFunc(list, func(other model.Fault) bool { return other.Src == f.Src })
		}
	}
	not := func(in func(model.Fault) bool) func(model.Fault) bool {
		return func(f model.Fault) bool { return !in(f) }
	}
	always := slices.DeleteFunc(slices.Clone(badUS), not(in(badSI)))
	r.base[model.US].late, r.base[model.SI].late = slices.DeleteFunc(badUS, in(always)), slices.DeleteFunc(badSI, in(always))
	return r, always
}

// start resolves defaults and flags for one system of units.
func (r *Resolver) start(sys model.System) (model.Settings, []model.Fault) {
	s := model.Settings{From: map[string]model.Origin{}, Raw: map[string]string{}}
	for _, d := range r.defs {
		if bad := set(&s, d, Given{Text: d.Default}, model.US); bad != nil {
			panic("a default that its own setting refuses: " + bad.What)
		}
	}
	s.Units = sys
	var faults []model.Fault
	if r.terms != nil {
		for _, g := range r.terms.Given {
			faults = append(faults, r.give(&s, g, model.OriginTerms)...)
		}
	}
	for _, g := range r.flags {
		faults = append(faults, r.give(&s, g, model.OriginFlag)...)
	}
	return s, faults
}

// unitsIn finds the system of units that a source gives; what is no system is reported where it is
// set.
func unitsIn(given []Given) (model.System, bool) {
	for _, g := range given {
		if sys, ok := model.ParseSystem(g.Text); ok && g.Name == "units" {
			return sys, true
		}
	}
	return model.US, false
}

// Known tells whether a name is a setting, and whether a section's row may override it.
func (r *Resolver) Known(name string) (known, bySection bool) {
	i, ok := r.index[name]
	return ok, ok && r.defs[i].BySection > 0
}

// Job resolves a job's settings. fallbackName is the job's name where none is given (the folder's).
// given keeps the order of the file, so that faults do; names that are no settings are skipped,
// empty texts are not given.
func (r *Resolver) Job(fallbackName string, given []Given) (model.Settings, []model.Fault) {
	sys, ok := unitsIn(r.flags)
	if !ok {
		sys, _ = unitsIn(given)
	}
	s := r.base[sys].settings
	given = r.withOwn(given)
	faults := r.base[sys].late
	faults = append(faults[:len(faults):len(faults)], r.giveAll(&s, given, model.OriginJob)...)
	if r.terms != nil && r.terms.OwnTarget && s.From["target"] == model.OriginTerms && noDefaultTarget(s.Material) != "" {
		r.ownTarget(&s, given)
	}
	follow(&s)
	r.fit(&s)
	if s.Job == "" {
		s.Job = fallbackName
	}
	return s, append(faults, r.relations(s, given)...)
}

// Section resolves a section's settings on top of its job's.
func (r *Resolver) Section(job model.Settings, given []Given) (model.Settings, []model.Fault) {
	s := job
	given = r.withoutOwn(given)
	faults := r.giveAll(&s, given, model.OriginSection)
	follow(&s)
	r.fit(&s)
	for _, g := range given {
		if (g.Name == "target" || g.Name == "aim" || g.Name == "ceiling") && !cell.Blank(g.Text) {
			return s, append(faults, r.bounds(s, given)...)
		}
	}
	return s, faults
}

// follow lets an aim that nobody gave go with a target that somebody did.
func follow(s *model.Settings) {
	if s.From["aim"] == model.OriginDefault && s.From["target"] != model.OriginDefault {
		s.Aim = model.AimOverTarget * s.Target
	}
}

// giveAll sets what a source gives. The maps of s may be shared with other jobs, so they are copied
// first.
func (r *Resolver) giveAll(s *model.Settings, given []Given, from model.Origin) []model.Fault {
	var faults []model.Fault
	copied := false
	for i, g := range given {
		known, bySection := r.Known(g.Name)
		if !known || from == model.OriginSection && !bySection || cell.Blank(g.Text) {
			continue
		}
		if !copied {
			s.From, s.Raw, copied = maps.Clone(s.From), maps.Clone(s.Raw), true
		}
		said := func(before Given) bool { return before.Name == g.Name && !cell.Blank(before.Text) }
		if first := slices.IndexFunc(given[:i], said); first >= 0 {
			what := fmt.Sprintf("%s is given twice, first in row %d", g.Name, given[first].Src.Row)
			faults = append(faults, model.Fault{Src: g.Src, What: what, Hint: "keep one of the two rows"})
			continue
		}
		faults = append(faults, r.give(s, g, from)...)
	}
	return faults
}

// give sets one setting. A value that a flag overrules is checked all the same: a fault in a file
// is a fault.
func (r *Resolver) give(s *model.Settings, g Given, from model.Origin) []model.Fault {
	d := r.defs[r.index[g.Name]]
	switch before := s.From[g.Name]; {
	case from < model.OriginTerms && before == model.OriginTerms:
		if bad := r.overrule(s, d, g); bad != nil {
			return []model.Fault{*bad}
		}
		return nil
	case from < before && before == model.OriginFlag:
		unused := *s
		s = &unused
	default:
		s.From[g.Name], s.Raw[g.Name] = from, g.Text
	}
	if bad := set(s, d, g, g.system(s)); bad != nil {
		return []model.Fault{*bad}
	}
	return nil
}

// system is what a bare number of it is in.
func (g *Given) system(s *model.Settings) model.System {
	if g.In != nil {
		return *g.In
	}
	return s.Units
}

// relations refuses settings that cannot hold together, or not with the material.
func (r *Resolver) relations(s model.Settings, given []Given) []model.Fault {
	faults := r.bounds(s, given)
	if c := s.Confidence; !(c > 0.5 && c < 1) {
		faults = append(faults, r.fault(given, fmt.Sprintf("confidence %.4g is not above 0.5 and below 1", c), "write 0.95, as is usual", "confidence"))
	}
	if s.BagsLeft > s.BagsLoaded {
		what := fmt.Sprintf("bags_left %.6g is more than bags_loaded %.6g", s.BagsLeft, s.BagsLoaded)
		faults = append(faults, r.fault(given, what, "count both again", "bags_left", "bags_loaded"))
	}
	faults = append(faults, r.weighed(s, given)...)
	if reason := noDefaultTarget(s.Material); reason != "" && s.From["target"] == model.OriginDefault {
		what := fmt.Sprintf("material %s has no default target: %s", s.Material, reason)
		faults = append(faults, r.fault(given, what, "write the density that its maker or your program asks for as target, and an aim and a ceiling with it", "material"))
	}
	return faults
}

// bounds refuses an aim below the target and a ceiling below the aim.
func (r *Resolver) bounds(s model.Settings, given []Given) []model.Fault {
	var faults []model.Fault
	u := s.Units.Unit(model.ShowDensity)
	said := func(name string, v float64) string {
		return fmt.Sprintf("%s %.4g %s (%s)", name, u.In(v), u.Symbol, s.From[name])
	}
	if s.Aim < s.Target {
		hint := fmt.Sprintf("leave the aim out, or write %.3g %s: by counting it takes 10 %% over the target to prove it", u.In(model.AimOverTarget*s.Target), u.Symbol)
		faults = append(faults, r.fault(given, said("aim", s.Aim)+" is below "+said("target", s.Target), hint, "target", "aim"))
	}
	if s.Ceiling < s.Aim {
		hint := fmt.Sprintf("write a ceiling too: %.3g %s, some 29 %% over the target, is common practice", u.In(1.286*s.Target), u.Symbol)
		faults = append(faults, r.fault(given, said("ceiling", s.Ceiling)+" is below "+said("aim", s.Aim), hint, "aim", "ceiling", "target"))
	}
	return faults
}

// oddBag is how far weighed bags may lie from their label before a unit or a tare must be wrong.
const oddBag = 0.25

// weighed refuses bags that weigh no more than their wrapper, or nothing like their label.
func (r *Resolver) weighed(s model.Settings, given []Given) []model.Fault {
	if len(s.BagChecks) == 0 {
		return nil
	}
	var sum float64
	for _, v := range s.BagChecks {
		sum += v - s.BagTare
	}
	net, u := sum/float64(len(s.BagChecks)), s.Units.Unit(model.ShowMass)
	switch {
	case net <= 0:
		what := fmt.Sprintf("bag_checks less bag_tare leaves %.4g %s", u.In(net), u.Symbol)
		return []model.Fault{r.fault(given, what, "weigh an empty wrapper again", "bag_tare", "bag_checks")}
	case math.Abs(net-s.BagWeight) > oddBag*s.BagWeight:
		what := fmt.Sprintf("bag_checks average %.4g %s and bag_weight says %.4g %s", u.In(net), u.Symbol, u.In(s.BagWeight), u.Symbol)
		return []model.Fault{r.fault(given, what, "check their units, lb or kg", "bag_checks", "bag_weight")}
	}
	return nil
}

// fault places a fault where the first of the names that anybody gave is given: in the file, else
// at its flag.
func (r *Resolver) fault(given []Given, what, hint string, names ...string) model.Fault {
	var terms []Given
	if r.terms != nil {
		terms = r.terms.Given
	}
	for _, list := range [][]Given{r.flags, terms, given} {
		for _, name := range names {
			for _, g := range list {
				if g.Name == name && strings.TrimSpace(g.Text) != "" {
					return model.Fault{Src: g.Src, What: what, Hint: hint}
				}
			}
		}
	}
	return model.Fault{What: what, Hint: hint}
}

// noDefaultTarget says why the published 3.5 lb/ft³, which holds for dry cellulose in closed
// cavities, is no target for a material. Sources: Standard Work Specifications 4.1103.1 (mineral
// fibre and glass are judged by air permeance); a damp spray is held by its binder and weighed wet.
func noDefaultTarget(material string) string {
	m := strings.ToLower(material)
	for _, word := range []string{"mineral", "rock", "stone", "slag", "glass"} {
		if strings.Contains(m, word) {
			return "blown mineral fiber and glass are judged by air permeance, 3.5 cfm/ft2 at 50 Pa at most, not by a published density"
		}
	}
	for _, word := range []string{"damp", "wet", "spray", "stabilized", "stabilised"} {
		if strings.Contains(m, word) {
			return "a damp-sprayed material is held by its binder and weighs in wet; 3.5 lb/ft3 is published for dry cellulose"
		}
	}
	return ""
}

// set reads a setting's text into s; bare numbers are in the units of sys.
func set(s *model.Settings, d model.SettingDef, g Given, sys model.System) *model.Fault {
	var bad *cell.Refusal
	switch d.Kind {
	case model.SettingText:
		d.SetWord(s, cell.Text(g.Text))
	case model.SettingDate:
		var day time.Time
		if day, bad = cell.Date(d.Name, g.Text); bad == nil && !day.IsZero() {
			d.SetWord(s, day.Format("2006-01-02"))
		}
	case model.SettingWord:
		bad = setWord(s, d, g.Text)
	default:
		bad = setNumber(s, d, g, sys)
	}
	if bad == nil {
		return nil
	}
	return &model.Fault{Src: g.Src, What: bad.What, Hint: bad.Hint}
}

// setWord takes one of the choices; yes and no in every way that a cell says them.
func setWord(s *model.Settings, d model.SettingDef, text string) *cell.Refusal {
	if to, ok := d.Field(s).(*model.Answer); ok {
		answer, bad := cell.YesNo(d.Name, text)
		if bad == nil {
			*to = answer
		}
		return bad
	}
	w, bad := cell.OneOf(d.Name, text, d.Choices)
	if bad == nil && w != "" {
		d.SetWord(s, w)
	}
	return bad
}

// setNumber takes a count, a share, a quantity or a list.
func setNumber(s *model.Settings, d model.SettingDef, g Given, sys model.System) *cell.Refusal {
	form := SettingForm(d, sys, g.Comma)
	switch p := d.Field(s).(type) {
	case *float64:
		v, bad := form.Number(g.Text)
		if bad == nil {
			*p = v
		}
		return bad
	case *[]float64:
		v, _, bad := form.List(g.Text, nil)
		if d.Kind == model.SettingDifferences {
			v, bad = form.Differences(g.Text)
			if n := len(v); bad == nil && n > 0 && n < fewestChecks {
				bad = &cell.Refusal{What: fmt.Sprintf("%s %s has too few: %d", d.Name, g.Text, n), Hint: "have a second person measure five bays or more"}
			}
		}
		if bad == nil {
			*p = v
		}
		return bad
	}
	panic("a numeric setting without a number: " + d.Name)
}

// fewestChecks is how many differences tell anything about how two people read a tape.
const fewestChecks = 5

// SettingForm says how a numeric setting's text is read in a job's system of units.
func SettingForm(d model.SettingDef, sys model.System, comma bool) cell.Form {
	f := cell.FormOf(d.Name, &model.Figure{Show: d.Show, Count: d.Kind == model.SettingCount, Zero: d.Zero, Min: d.Min, Max: d.Max}, sys)
	if f.Comma = comma; d.Kind == model.SettingShare {
		f.Unit = model.Unit{Dimension: model.DimShare, Factor: 1}
		f.Max = cmp.Or(f.Max, 1)
	}
	return f
}
