package fields

import (
	"bayproof/model"
	"bayproof/report/say"
	"bayproof/verify"
)

// Manual is everything that `fields` prints.
type Manual struct {
	Job      *model.Job // nil where no job was named
	Columns  []Column
	Settings []Setting
	Entries  []Entry
	Codes    []verify.CodeInfo
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
	return Manual{Job: job, Columns: Columns(), Settings: settings(job), Entries: Entries(), Codes: verify.Codes()}
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
