// A program's terms: settings that hold against a job's own, and the evidence that it asks for. A
// job's own value of such a setting is read and checked all the same, kept as overruled, and told;
// so nothing that somebody wrote is lost.

package joblog

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"bayproof/model"
	"bayproof/model/cell"
)

// ProgrammeName is the file of a programme's terms in a job's folder.
const ProgrammeName = "programme.csv"

// Terms are a programme's: settings that govern every job, and the evidence that is asked for.
type Terms struct {
	File, SHA256 string     // of the file; empty where nobody gave one
	Given        []Given    // the settings, in the order of the file
	Asks         model.Asks // evidence
	// OwnTarget lets a job of a material without a published target keep its own: the terms are
	// defaults, and nobody's demand.
	OwnTarget bool
}

// ReadTerms reads a programme's file: rows of name and value, as in job.csv. Bare numbers are in
// the units that its row units names, else in those of a US job: they mean the same in every job.
func ReadTerms(file string, raw []byte) (*Terms, []model.Fault) {
	r := &reader{}
	t := r.termsIn(file, raw)
	return t, r.f.sorted([]string{file})
}

// termsIn is ReadTerms with the faults among the reader's.
func (r *reader) termsIn(file string, raw []byte) *Terms {
	sum := sha256.Sum256(raw)
	t := &Terms{File: file, SHA256: hex.EncodeToString(sum[:])}
	text, ok := decode(file, 1, string(raw), &r.f)
	if !ok {
		return t
	}
	in, settings := model.US, model.SettingDefs()
	seen := map[string]int{}
	r.eachNamed(file, text, func(g Given, at model.Source) {
		if first, again := seen[g.Name]; again && !cell.Blank(g.Text) {
			r.f.addf(at, "keep one of the two rows", "%s is given twice, first in row %d", g.Name, first)
			return
		}
		setting := slices.IndexFunc(settings, func(d model.SettingDef) bool { return d.Name == g.Name })
		ask := slices.IndexFunc(model.AskDefs(), func(d model.AskDef) bool { return d.Name == g.Name })
		switch {
		case setting < 0 && ask < 0:
			r.strangeName(at, g.Name, true)
		case cell.Blank(g.Text):
		case setting >= 0 && settings[setting].OneJob:
			r.f.addf(at, "leave it out: it stands in the job's own job.csv", "%s is of one job alone: no program says it", g.Name)
		case g.Name == "units":
			in, ok = model.ParseSystem(g.Text)
			if !ok {
				r.f.addf(g.Src.Source, "write us or si", "units %s is not one of its words", cell.Text(g.Text))
			}
		case setting >= 0:
			g.In = &in
			t.Given = append(t.Given, g)
		default:
			if what, hint := setAsk(model.AskDefs()[ask], &t.Asks, g.Text); what != "" {
				r.f.add(g.Src.Source, what, hint)
			}
		}
		if !cell.Blank(g.Text) {
			seen[g.Name] = g.Src.Row
		}
	})
	return t
}

// setAsk reads the value of an ask into its field, whose type says what it is: a share of the bays
// (yes is all of them, no is none), a number of them, or yes or no. It says what is wrong and what
// to write, nothing where all is well.
func setAsk(d model.AskDef, asks *model.Asks, value string) (what, hint string) {
	value = cell.Text(value)
	answer, bad := cell.YesNo(d.Name, value)
	switch p := d.Field(asks).(type) {
	case *float64:
		if bad == nil {
			*p = map[model.Answer]float64{model.Yes: 1}[answer]
			return "", ""
		}
		form := SettingForm(model.SettingDef{Name: d.Name, Kind: model.SettingShare, Zero: true, Max: 1}, model.US, false)
		v, bad := form.Number(value)
		if bad != nil || math.IsNaN(v) {
			return fmt.Sprintf("%s %s is not a share", d.Name, value), "write a share up to 1, a percentage, or yes or no"
		}
		*p = v
	case *int:
		n, err := strconv.Atoi(value)
		if err != nil || n < 0 || n > 1000 {
			return fmt.Sprintf("%s %s is not a whole number from 0 to 1000", d.Name, value), "write a whole number"
		}
		*p = n
	case *bool:
		if bad != nil {
			return fmt.Sprintf("%s %s is neither yes nor no", d.Name, value), "write yes or no"
		}
		*p = answer == model.Yes
	}
	return "", ""
}

// Complete gives what a programme does not say of the four settings that no job may choose for
// itself their usual values.
func (t *Terms) Complete() *Terms {
	t.OwnTarget = !t.Govern("target")
	for _, d := range model.SettingDefs() {
		switch d.Name {
		case "target", "confidence", "ceiling", "rule":
			if !t.Govern(d.Name) {
				t.Given = append(t.Given, Given{Name: d.Name, Text: d.Default})
			}
		}
	}
	return t
}

// Govern tells whether the terms govern a setting.
func (t *Terms) Govern(name string) bool {
	return t != nil && slices.ContainsFunc(t.Given, func(g Given) bool { return g.Name == name })
}

// among splits values by whether the terms govern them.
func (t *Terms) among(given []Given) (governed, rest []Given) {
	for _, g := range given {
		if t.Govern(g.Name) {
			governed = append(governed, g)
		} else {
			rest = append(rest, g)
		}
	}
	return governed, rest
}

// Split parts settings of a command line by whether the terms govern them.
func (t *Terms) Split(flags map[string]string) (governed, rest map[string]string) {
	governed, rest = map[string]string{}, map[string]string{}
	for name, text := range flags {
		if t.Govern(name) {
			governed[name] = text
		} else {
			rest[name] = text
		}
	}
	return governed, rest
}

// readTerms takes the terms that lie beside the log. Where others govern, which come from whoever
// sets many jobs side by side, the job's hold in what those do not say and are values of its own in
// the rest, as flags are that its record was made with.
func (r *reader) readTerms() {
	file := r.name(ProgrammeName)
	terms, own := r.opt.Terms, []Given(nil)
	if raw, ok := r.bytes(file); ok {
		there := r.termsIn(file, raw)
		r.terms = &model.Terms{Input: model.Input{File: file, SHA256: there.SHA256}, Asks: there.Asks}
		if terms == nil {
			terms = there
		} else {
			merged := *terms
			var rest []Given
			own, rest = terms.among(there.Given)
			merged.Given = append(slices.Clip(merged.Given), rest...)
			terms = &merged
		}
		var faults []model.Fault
		r.resolver, faults = newResolver(r.opt.Flags, terms)
		r.f.addAll(slices.DeleteFunc(faults, func(f model.Fault) bool { return f.Src.File != file })) // the others were told
	}
	for _, name := range slices.Sorted(maps.Keys(r.opt.Own)) {
		own = slices.DeleteFunc(own, func(g Given) bool { return g.Name == name })
		own = append(own, Given{Name: name, Text: r.opt.Own[name], Src: model.Place{Source: model.Source{File: "--" + strings.ReplaceAll(name, "_", "-")}}})
	}
	r.resolver.own = own
}

// withOwn puts what a job has of its own by terms or flags over what its files give of the same.
func (r *Resolver) withOwn(given []Given) []Given {
	return append(slices.Clip(r.own), r.withoutOwn(given)...)
}

// withoutOwn leaves out what such terms or flags held against.
func (r *Resolver) withoutOwn(given []Given) []Given {
	if len(r.own) == 0 {
		return given
	}
	return slices.DeleteFunc(slices.Clone(given), func(g Given) bool {
		return slices.ContainsFunc(r.own, func(own Given) bool { return own.Name == g.Name })
	})
}

// TermsOf are the settings that a US job which says nothing has under these flags and terms: what
// all jobs are judged by.
func TermsOf(flags map[string]string, terms *Terms) (model.Settings, []model.Fault) {
	r, faults := newResolver(flags, terms)
	st := r.base[model.US].settings
	follow(&st)
	r.fit(&st)
	return st, append(faults, r.relations(st, nil)...)
}

// ownTarget gives a job of a material without a published target its own back; without one it is
// refused as ever.
func (r *Resolver) ownTarget(s *model.Settings, given []Given) {
	s.From, s.Raw = maps.Clone(s.From), maps.Clone(s.Raw)
	s.From["target"] = model.OriginDefault
	s.Overruled = slices.DeleteFunc(slices.Clone(s.Overruled), func(o model.Overruled) bool { return o.Name == "target" })
	for _, g := range given {
		if g.Name == "target" && !cell.Blank(g.Text) {
			r.give(s, g, model.OriginJob) // its faults were told
		}
	}
}

// fit lets an aim follow a target or a ceiling that the terms govern, where the job's own does not
// go with them: an aim of a job's own is no fault in a programme that it did not make.
func (r *Resolver) fit(s *model.Settings) {
	if r.terms == nil || s.From["aim"] == model.OriginFlag || s.Target <= s.Aim && s.Aim <= s.Ceiling {
		return
	}
	if aim := model.AimOverTarget * s.Target; aim <= s.Ceiling {
		s.Aim = aim
	} else if s.Target <= s.Ceiling {
		s.Aim = s.Ceiling
	}
}

// overrule checks a value that the terms govern and notes it where it differs from theirs.
func (r *Resolver) overrule(s *model.Settings, d model.SettingDef, g Given) *model.Fault {
	own := *s
	if bad := set(&own, d, g, g.system(s)); bad != nil {
		return bad
	}
	used, mine := said(d, s), said(d, &own)
	if used == mine { // a section may say again what the terms do, and its job another thing
		s.Overruled = slices.DeleteFunc(slices.Clone(s.Overruled), func(o model.Overruled) bool { return o.Name == d.Name })
		return nil
	}
	if slices.ContainsFunc(s.Overruled, func(o model.Overruled) bool { return o.Name == d.Name && o.Own == mine }) {
		return nil
	}
	s.Overruled = append(s.Overruled[:len(s.Overruled):len(s.Overruled)], model.Overruled{Name: d.Name, Own: mine, Used: used, Src: g.Src, Value: d.Field(&own)})
	return nil
}

// said writes a setting as a person would, in the job's units.
func said(d model.SettingDef, s *model.Settings) string {
	if w, ok := d.Word(s); ok {
		return w
	}
	v, ok := d.Number(s)
	switch {
	case !ok:
		return s.Raw[d.Name]
	case d.Kind == model.SettingQuantity:
		u := s.Units.Unit(d.Show)
		return strings.TrimSpace(fmt.Sprintf("%.4g %s", u.In(v), strings.ReplaceAll(u.Symbol, "3", "³")))
	case d.Kind == model.SettingShare:
		return fmt.Sprintf("%.4g %%", 100*v)
	}
	return fmt.Sprintf("%.4g", v)
}
