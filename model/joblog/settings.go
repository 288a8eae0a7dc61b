package joblog

import (
	"maps"

	"bayproof/model"
	"bayproof/model/cell"
)

// Given is the text that one source gives for one setting, with its place.
type Given struct {
	Name  string // as in the table of settings
	Text  string
	Src   model.Source
	Comma bool // its file's decimal mark is a comma
}

// Resolver resolves settings: a flag, else the section's row, else the job's own value, else the default. One serves all
// jobs of a run; use does not change it.
type Resolver struct {
	defs  []model.SettingDef
	index map[string]int
	flags []Given // in the order of the table
	base  [2]base // by system of units, which decides what a bare number in a flag means
}

// base is a job that gives nothing: defaults and flags.
type base struct {
	settings model.Settings
	late     []model.Fault // faults of flags that hold in this system alone
}

// NewResolver reads the flags, by setting name or by flag name. Faults name the flag as their file.
func NewResolver(flags map[string]string) (*Resolver, []model.Fault) {
	r := &Resolver{defs: model.SettingDefs(), index: map[string]int{}}
	for i, d := range r.defs {
		r.index[d.Name] = i
		for _, name := range []string{d.Name, d.Flag()} {
			if text, ok := flags[name]; ok {
				r.flags = append(r.flags, Given{Name: d.Name, Text: text, Src: model.Source{File: "--" + d.Flag()}})
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
	always := both(badUS, badSI)
	r.base[model.US].late, r.base[model.SI].late = without(badUS, always), without(badSI, always)
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
	for _, g := range r.flags {
		faults = append(faults, r.give(&s, g, model.OriginFlag)...)
	}
	return s, faults
}

// unitsIn finds the system of units that a source gives; what is no system is reported where it is set.
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
	return ok, ok && r.defs[i].BySection
}

// Job resolves a job's settings. fallbackName is the job's name where none is given (the folder's). given keeps the
// order of the file, so that faults do; names that are no settings are skipped, empty texts are not given.
func (r *Resolver) Job(fallbackName string, given []Given) (model.Settings, []model.Fault) {
	sys, ok := unitsIn(r.flags)
	if !ok {
		sys, _ = unitsIn(given)
	}
	s := r.base[sys].settings
	faults := r.base[sys].late
	faults = append(faults[:len(faults):len(faults)], r.giveAll(&s, given, model.OriginJob)...)
	if s.Job == "" {
		s.Job = fallbackName
	}
	return s, append(faults, r.relations(s, given)...)
}

// Section resolves a section's settings on top of its job's.
func (r *Resolver) Section(job model.Settings, given []Given) (model.Settings, []model.Fault) {
	s := job
	faults := r.giveAll(&s, given, model.OriginSection)
	for _, g := range given {
		if (g.Name == "target" || g.Name == "aim" || g.Name == "ceiling") && !cell.Blank(g.Text) {
			return s, append(faults, r.bounds(s, given)...)
		}
	}
	return s, faults
}

// giveAll sets what a source gives. The maps of s may be shared with other jobs, so they are copied first.
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
		if bad, ok := twice(given[:i], g); ok {
			faults = append(faults, bad)
			continue
		}
		faults = append(faults, r.give(s, g, from)...)
	}
	return faults
}

// give sets one setting. A value that a flag overrules is checked all the same: a fault in a file is a fault.
func (r *Resolver) give(s *model.Settings, g Given, from model.Origin) []model.Fault {
	if from != model.OriginFlag && s.From[g.Name] == model.OriginFlag {
		scratch := *s
		s = &scratch
	} else {
		s.From[g.Name], s.Raw[g.Name] = from, g.Text
	}
	sys := s.Units
	if bad := set(s, r.defs[r.index[g.Name]], g, sys); bad != nil {
		return []model.Fault{*bad}
	}
	return nil
}
