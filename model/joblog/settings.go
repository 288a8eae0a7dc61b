package joblog

import (
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
// jobs of a run; it is not changed by use.
type Resolver struct {
	defs  []model.SettingDef
	index map[string]int
	base  [2]model.Settings // defaults and flags, by system of units
	flags map[string]string // by setting name
}

// NewResolver reads the flags (by setting name or by flag name). Faults name the flag as their file.
func NewResolver(flags map[string]string) (*Resolver, []model.Fault) {
	return &Resolver{defs: model.SettingDefs()}, nil
}

// Known tells whether a name is a setting, and whether a section's row may override it.
func (r *Resolver) Known(name string) (known, bySection bool) { return false, false }

// Job resolves a job's settings. fallbackName is the job's name where none is given (the folder's). given keeps the
// order of the file, so that faults do; names that are no settings are skipped, empty texts are not given.
func (r *Resolver) Job(fallbackName string, given []Given) (model.Settings, []model.Fault) {
	return r.base[0], nil
}

// Section resolves a section's settings on top of its job's.
func (r *Resolver) Section(job model.Settings, given []Given) (model.Settings, []model.Fault) {
	return job, nil
}

var _ = cell.Blank
