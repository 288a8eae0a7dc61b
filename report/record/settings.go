package record

import (
	"math"
	"strconv"

	"bayproof/model"
	"bayproof/report/say"
)

// settingRow is one setting with its value, where it came from and what it means.
type settingRow struct {
	Name, Value, Source, Meaning string
	Differs                      bool // a verdict rests on it, and it is not the default
}

// settings lists all settings of the job, then what sections override.
func (b *builder) settings() []settingRow {
	var out []settingRow
	job := b.f.Job
	for _, d := range model.SettingDefs() {
		out = append(out, b.setting(d, &job.Settings, ""))
	}
	for _, s := range job.Sections {
		for _, d := range model.SettingDefs() {
			if o := s.Settings.From[d.Name]; o == model.OriginSection {
				out = append(out, b.setting(d, &s.Settings, s.Name))
			}
		}
	}
	return out
}

func (b *builder) setting(d model.SettingDef, s *model.Settings, section string) settingRow {
	origin := s.From[d.Name]
	row := settingRow{Name: d.Name, Value: orBlank(b.words.Setting(d, s)), Source: originWord(origin), Meaning: d.Meaning}
	if section != "" {
		row.Name += " of " + section
	}
	row.Differs = say.Differs(d, s)
	return row
}

// plainNumber writes a setting's number with no more digits than anybody sets.
func plainNumber(x float64) string {
	return strconv.FormatFloat(math.Round(x*1e4)/1e4, 'f', -1, 64)
}
