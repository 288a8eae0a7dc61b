package fields

import (
	"bayproof/model"
	"bayproof/report/say"
	"bayproof/verify"
	"bayproof/verify/audit"
)

// Manual is everything that `fields` prints.
type Manual struct {
	Job      *model.Job // nil where no job was named
	Columns  []Column
	Settings []Setting
	Entries  []Entry
	Codes    []Code
}

// Code is one code of a job's results or of a review.
type Code struct {
	verify.CodeInfo
	Innocent string // of a review's finding: the explanation that has to be ruled out first
}

// Setting is one setting, and with a job its value and where that came from.
type Setting struct {
	Name    string
	Section string // the section whose row overrides the job; empty for the job's own
	Default string
	Meaning string
	Value   string
	Source  string
}

// New puts the manual together; with a job, each setting has its value.
func New(job *model.Job) Manual {
	return Manual{Job: job, Columns: Columns(), Settings: settings(job), Entries: Entries(), Codes: codes()}
}

// codes are those of a job and then those of a review.
func codes() []Code {
	var all []Code
	for _, c := range verify.Codes() {
		all = append(all, Code{CodeInfo: c})
	}
	for _, c := range audit.Codes() {
		all = append(all, Code{c, say.Innocent(c.Code)})
	}
	return all
}

func settings(job *model.Job) []Setting {
	var all []Setting
	for _, def := range model.SettingDefs() {
		s := Setting{Name: def.Name, Default: def.Default, Meaning: def.Meaning}
		if job == nil {
			all = append(all, s)
			continue
		}
		words := say.UnitsOf(job)
		s.Value, s.Source = words.Setting(def, &job.Settings), job.Settings.From[def.Name].String()
		all = append(all, s)
		for _, section := range job.Sections {
			if section.Settings.From[def.Name] == model.OriginSection {
				s.Section = section.Name
				s.Value, s.Source = words.Setting(def, &section.Settings), model.OriginSection.String()
				all = append(all, s)
			}
		}
	}
	return all
}
